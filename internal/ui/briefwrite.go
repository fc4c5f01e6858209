package ui

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// The sides of the sheet.
const (
	front = "front" // the form
	back  = "back"  // the file's text
)

// EditPage is a brief being written: one sheet with a form on its front and the file's text on its back. Whichever side is up is
// the one that counts; the other is made of it when the sheet is turned over.
type EditPage struct {
	Frame
	Form     Form
	Side     string
	Front    *BriefForm // nil while the back is up
	Source   string     // the file's text; while the front is up, as it was when it was last turned
	Over     string     // digest of the version that the writing started from
	Back     string     // the page of that version
	Instead  string     // what saving puts this in place of, where that needs saying
	Theirs   *Theirs    // what somebody else saved in between; nil where nobody did
	NewKey   string     // a key that no brief has, in the text of one that was opened under another; "" where it is not so
	Changed  bool       // what stands here is not saved
	Checked  bool
	Ready    bool
	Problems brief.Problems
	Callable template.HTML // the functions that a formula may call
}

func (*EditPage) template() string { return "edit" }

// Turned is the text of the button that turns the sheet over.
func (p *EditPage) Turned() string {
	if p.Side == front {
		return "Turn over: the file's text"
	}
	return "Turn over: the form"
}

// Theirs is what somebody else saved while the sheet was being filled in.
type Theirs struct {
	app.BriefVersion
	Lines []brief.DiffLine // from theirs to what stands on the sheet
}

// Counts says by how much the two differ.
func (t *Theirs) Counts() string { return diffCounts(t.Lines) }

// LiveForm is what of a sheet being written changes while it is: what the checker says, and the formulas as they are printed.
type LiveForm struct {
	EditPage
}

func (*LiveForm) template() string { return "editlive" }

// sheetForm is the sheet as it is sent, besides the fields of its front.
type sheetForm struct {
	Source string `form:"source" validate:"required" say:"Write the brief's text."`
	Side   string `form:"side" validate:"omitempty,oneof=front back"`
	Over   string `form:"over" validate:"max=64"`
	Back   string `form:"back"`
	Theirs string `form:"theirs" validate:"max=64"` // digest of what somebody else saved in between, as it was shown
	Do     string `form:"do" validate:"required,max=200"`
}

// written is a sheet that was sent, with the text that it comes to.
type written struct {
	sheetForm
	text     string
	brief    *brief.Brief   // of the front; nil where the back was up
	fields   brief.Fields   // of the front
	problems brief.Problems // in what was typed, of which the text knows nothing
	at       string         // the path at which the page opens
	refused  error          // why it was not saved
}

// opened is the brief whose page the writing started from; zero where it started from none.
func (w written) opened() uuid.UUID {
	rest, ok := strings.CutPrefix(w.Back, "/briefs/")
	id, _, _ := strings.Cut(rest, "/")
	if opened, err := uuid.Parse(id); ok && err == nil {
		return opened
	}
	return uuid.Nil
}

// readSheet reads a sheet that was sent, and makes the change to its front that a button asked for.
func (u *UI) readSheet(c echo.Context) (written, error) {
	var w written
	err := u.read(c, &w.sheetForm)
	w.Source = strings.ReplaceAll(w.Source, "\r\n", "\n") // as browsers send it
	w.text = w.Source
	if err != nil || w.Side != front {
		return w, err
	}
	w.fields = brief.Fields(c.Request().PostForm)
	w.brief, w.problems = w.fields.Brief()
	if change, ok := brief.ParseChange(w.Do); ok {
		if change.Do == "add" && change.Form == "" {
			change.Form = brief.Form(w.fields.Get("form-of:" + change.Path))
		}
		if at, ok := change.Apply(w.brief); ok {
			w.at, w.fields = at, brief.FieldsOf(w.brief)
		}
	} else if len(w.problems) == 0 {
		w.fields = brief.FieldsOf(w.brief) // as it will be read
	}
	text, problems := brief.FieldsOf(w.brief).Text([]byte(w.Source))
	w.text, w.problems = string(text), append(w.problems, problems...)
	return w, nil
}

func (u *UI) newBrief(c echo.Context, who account.Caller) error {
	return u.writing(c, who, http.StatusOK, u.page(front, starter, "A new brief"))
}

// page is a sheet with a text, one of its sides up: the back where the text cannot be read.
func (u *UI) page(side, source, title string) *EditPage {
	p := &EditPage{Frame: Frame{Title: title, Here: "/briefs"}, Side: side, Source: source}
	p.turn(written{text: source}, nil)
	return p
}

// turn lays out the side that is up. Where the text cannot be read only the back can be shown.
func (p *EditPage) turn(w written, problems brief.Problems) {
	if p.Side != front {
		return
	}
	b, fields := w.brief, w.fields
	if b == nil {
		var err error
		if b, err = brief.Read([]byte(w.text)); err != nil {
			p.Side = back
			return
		}
		fields = brief.FieldsOf(b)
	}
	p.Front = newBriefForm(b, fields, problems, w.at)
}

func (u *UI) editBrief(c echo.Context, who account.Caller) error {
	t, err := u.versionOf(c, who)
	if err != nil {
		return err
	}
	p := &EditPage{
		Frame: Frame{Title: "Change: " + t.Title, Here: "/briefs"}, Side: front, Source: t.Source, Over: t.Digest,
		Back: fmt.Sprintf("/briefs/%s/%d", t.BriefVersion.Brief, t.Version), Checked: true, Ready: t.Ready(), Problems: t.Problems,
	}
	if newest := t.Versions[0]; newest.Version != t.Version { // from an earlier version
		p.Title = fmt.Sprintf("From version %d: %s", t.Version, t.Title)
		p.Over, p.Instead = newest.Digest, instead(newest)
	}
	p.turn(written{text: t.Source}, t.Problems)
	return u.writing(c, who, http.StatusOK, p)
}

func (u *UI) saveBrief(c echo.Context, who account.Caller) error {
	w, err := u.readSheet(c)
	if w.Side != "" && c.FormValue("whole") == "" { // its last field: a slow page can be sent before it has come
		return fault.Conflict("This page had not come to its end when you sent it, so nothing of it was taken. Go back, wait until it is all there, then do it again.")
	}
	if err != nil {
		return u.again(c, err, "brief", func(form Form) error { return u.renderEdit(c, who, w, form) })
	}
	switch {
	case w.Do == "save-over" && w.Theirs != "":
		w.Do, w.Over = "save", w.Theirs
	case w.Do == "save-new":
		w.Do, w.Over = "save", ""
	}
	if w.Do != "save" {
		return u.renderEdit(c, who, w, Form{})
	}
	if err := w.problems.Fault(); err != nil {
		return u.again(c, err, "brief", func(form Form) error { return u.renderEdit(c, who, w, form) })
	}
	id, version, err := u.app.SaveBriefOf(c.Request().Context(), who, w.opened(), w.text, w.Over)
	if w.refused = err; err != nil {
		return u.again(c, err, "brief", func(form Form) error { return u.renderEdit(c, who, w, form) })
	}
	return u.taken(c, fmt.Sprintf("/briefs/%s/%d", id, version), "The draft is kept.")
}

// renderEdit shows the sheet as it was filled in with what the checker says of it, turned over where that was asked for.
func (u *UI) renderEdit(c echo.Context, who account.Caller, w written, form Form) error {
	b, problems, err := u.app.CheckBrief(c.Request().Context(), who, w.text)
	if err != nil {
		return err
	}
	p := EditPage{
		Frame: Frame{Title: "A brief being written", Here: "/briefs"}, Form: form.For("brief"), Side: cmp.Or(w.Side, back), Source: w.text, Over: w.Over,
		Back: samePage(w.Back), Changed: true, Checked: true, Problems: append(w.problems, problems...),
	}
	p.Ready = b != nil && p.Problems.Err() == nil
	if b != nil {
		p.Title = cmp.Or(b.Title, p.Title)
	}
	if w.Do == "turn" && len(w.problems) == 0 {
		p.Side = map[string]string{front: back, back: front}[p.Side]
	}
	if p.turn(w, p.Problems); w.Do == "turn" && p.Side == back && w.Side != front {
		p.Form = newForm("brief", nil, &fault.Error{Kind: fault.KindConflict, Message: "The front can be shown once the text can be read. Mend what the list names first."}, 0)
	}
	if f, ok := fault.As(w.refused); ok && f.Kind == fault.KindConflict && b != nil {
		v, err := u.app.NewestOfKey(c.Request().Context(), who, b.Key)
		switch opened := w.opened(); {
		case fault.KindOf(err) == fault.KindNotFound && w.Over != "":
			p.NewKey = b.Key
		case err == nil && (opened == uuid.Nil || opened == v.Brief):
			p.Theirs = &Theirs{v, brief.Differences(v.Source, w.text)}
		}
	}
	if w.Do == "look" {
		return u.render(c, who, http.StatusOK, &LiveForm{p})
	}
	return u.writing(c, who, form.Status(), &p)
}
