package ui

import (
	"fmt"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// CommentView is a comment with the title of the item that it is on.
type CommentView struct {
	app.BriefComment
	On   string // the item's title, or the whole brief
	At   string // where the item stands on the page; "" where it is gone, or the whole is meant
	Form Form
}

// Comments are what was said of the version's items, those without an answer first.
func (p *BriefPage) Comments() []CommentView {
	var open, done []CommentView
	for _, c := range p.Text.Comments {
		v := CommentView{BriefComment: c, On: "the whole brief", Form: p.Form.For("answer-" + c.ID.String())}
		if c.Item != "" {
			v.On = c.Item + ", which is no longer there"
			if p.Text.Brief != nil {
				if it, _, ok := p.Text.Brief.Item(c.Item); ok {
					v.On, v.At = it.Title, "item-"+it.Key
				}
			}
		}
		if c.Open() {
			open = append(open, v)
		} else {
			done = append(done, v)
		}
	}
	return append(open, done...)
}

// ItemChoice is the choice of the item that a comment is on.
func (p *BriefPage) ItemChoice() Field {
	os := []Option{{Value: "", Text: "the whole brief"}}
	if p.Sheet != nil {
		for _, st := range p.Sheet.Stages {
			for _, it := range st.Items {
				os = append(os, Option{Value: it.Key, Text: fmt.Sprint(it.Number) + " " + it.Title})
			}
		}
	}
	return p.Form.For("comment").Field("item", "On").From(os)
}

type commentForm struct {
	Item  string `form:"item" validate:"max=200" say:"Choose an item."`
	Words string `form:"words" validate:"required,max=2000" say:"Say what is to be looked at, in at most 2000 letters."`
}

func (u *UI) commentBrief(c echo.Context, who account.Caller) error {
	var f commentForm
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.CommentBrief(c.Request().Context(), who, id, version, f.Item, f.Words)
	}
	if err != nil {
		return u.again(c, err, "comment", func(form Form) error { return u.showBrief(c, who, form) })
	}
	return u.taken(c, fmt.Sprintf("/briefs/%s/%d#comments", id, version), "Said. The draft is not published before it is answered.")
}

type answerForm struct {
	Comment uuid.UUID `form:"comment" validate:"required" say:"Load the page again."`
	Words   string    `form:"words" validate:"required,max=2000" say:"Say what you changed, or why it stays as it is."`
}

func (u *UI) answerComment(c echo.Context, who account.Caller) error {
	var f answerForm
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.AnswerComment(c.Request().Context(), who, id, version, f.Comment, f.Words)
	}
	if err != nil {
		return u.again(c, err, "answer-"+f.Comment.String(), func(form Form) error { return u.showBrief(c, who, form) })
	}
	return u.taken(c, fmt.Sprintf("/briefs/%s/%d#comments", id, version), "Answered.")
}
