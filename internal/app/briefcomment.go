package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// OpenComments counts the comments that have no answer; while there are any, nobody publishes the draft.
func (k Checking) OpenComments() int {
	n := 0
	for _, c := range k.Comments {
		if c.Open() {
			n++
		}
	}
	return n
}

// CommentBrief says something of one item of a draft, or with "" of the whole of it, to whoever wrote it.
func (a *App) CommentBrief(ctx context.Context, c account.Caller, id uuid.UUID, version int, item, words string) error {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return err
	}
	if err := mayComment(c, t); err != nil {
		return err
	}
	if item != "" {
		if t.Brief == nil {
			return fault.Conflict("This draft cannot be read as it stands, so it has no items yet. Comment on the whole of it.")
		}
		if _, _, ok := t.Brief.Item(item); !ok {
			return fault.Invalid("item", "The draft has no such item any more. Choose another, or the whole brief.")
		}
	}
	if words, err = saidWords(words, "Say what is to be looked at, so that whoever wrote it can answer."); err != nil {
		return err
	}
	comment, err := newID()
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(tx *store.Tx) error {
		if t.BriefVersion, t.Said, err = tx.LockBriefVersion(ctx, id, version); err != nil {
			return err
		}
		if err := mayComment(c, t); err != nil {
			return err
		}
		return tx.AddBriefComment(ctx, store.BriefComment{ID: comment, Brief: id, Version: version, Item: item, Words: words, By: c.Person, At: a.now()})
	})
}

// AnswerComment answers a comment on a draft that the caller wrote in.
func (a *App) AnswerComment(ctx context.Context, c account.Caller, id uuid.UUID, version int, comment uuid.UUID, words string) error {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return err
	}
	switch {
	case account.May(c, account.AnswerComment) != nil:
		return account.May(c, account.AnswerComment)
	case !t.Wrote(c.Person):
		return fault.Forbidden("Whoever wrote this draft answers the comments on it: that is %s.", t.WriterName)
	case !slices.ContainsFunc(t.Comments, func(k store.BriefComment) bool { return k.ID == comment }):
		return fault.NotFound("There is no such comment on this draft.")
	}
	if words, err = saidWords(words, "Say what you changed, or why it stays as it is."); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(tx *store.Tx) error { return tx.AnswerBriefComment(ctx, comment, c.Person, a.now(), words) })
}

// saidWords are words of one person to another about a draft; empty tells what to do where there are none.
func saidWords(words, empty string) (string, error) {
	words = strings.TrimSpace(words)
	switch {
	case words == "":
		return "", fault.Invalid("words", "%s", empty)
	case len([]rune(words)) > mostSaid:
		return "", fault.Invalid("words", "This is longer than %d characters. Say it more shortly.", mostSaid)
	}
	return words, nil
}

// mayComment says whether the caller may comment on a draft: whoever may check it, before or after they are asked to.
func mayComment(c account.Caller, t BriefText) error {
	switch err := account.May(c, account.CommentBrief); {
	case err != nil:
		return err
	case t.State == store.Published:
		return alreadyPublished(t)
	case t.Wrote(c.Person):
		return fault.Forbidden("You wrote in this draft: comments are for somebody else to make, and for you to answer.")
	}
	return nil
}

// commentsAnswered refuses to publish a draft with a comment that has no answer.
func commentsAnswered(ctx context.Context, tx *store.Tx, id uuid.UUID, version int) error {
	comments, err := tx.BriefComments(ctx, id, version)
	if err != nil {
		return err
	}
	if n := (Checking{Comments: comments}).OpenComments(); n > 0 {
		return fault.Conflict("%d of the comments on this draft wait for an answer. Whoever wrote it answers them first.", n)
	}
	return nil
}
