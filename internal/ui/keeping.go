package ui

import (
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// KeepingPage is how a centre keeps and erases.
type KeepingPage struct {
	Frame
	Keeping app.Keeping
	Form    Form
	Kinds   []Option
	Units   []Option
	People  []Option
}

func (*KeepingPage) template() string { return "keeping" }

// KindWords is a kind of record as people read it.
func (*KeepingPage) KindWords(k app.RetentionKind) string {
	return map[app.RetentionKind]string{"decisions": "decisions and sampling", "work": "what was handed in", "details": "a person's name and details"}[k]
}

// PurgeWords says how it stands with a purge.
func PurgeWords(p app.Purge) string {
	switch {
	case !p.DoneAt.IsZero():
		return "erased, " + day(p.DoneAt)
	case !p.DroppedAt.IsZero():
		return "dropped by " + p.DroppedByName + ", " + day(p.DroppedAt)
	case !p.ApprovedAt.IsZero():
		return "approved by " + p.ApprovedByName + ", being erased"
	}
	return "waits for another person until " + day(p.ProposedAt.Add(app.PurgeWait)) + " or later"
}

// PurgeWords says how it stands with a purge.
func (*KeepingPage) PurgeWords(p app.Purge) string { return PurgeWords(p) }

func (u *UI) keeping(c echo.Context, who account.Caller) error {
	return u.showKeeping(c, who, Form{})
}

func (u *UI) showKeeping(c echo.Context, who account.Caller, f Form) error {
	k, err := u.app.Keeping(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &KeepingPage{Frame: Frame{Title: "Keeping and erasing", Here: "/centre"}, Keeping: k, Form: f, People: namedOptions(k.People), Units: []Option{{Text: "every unit"}}}
	for _, kind := range []app.RetentionKind{"decisions", "work", "details"} {
		p.Kinds = append(p.Kinds, Option{Value: string(kind), Text: p.KindWords(kind)})
	}
	for _, x := range k.Units {
		p.Units = append(p.Units, Option{Value: x.Code, Text: x.Code + " " + x.Title})
	}
	return u.render(c, who, f.Status(), p)
}

type retentionForm struct {
	Kind   app.RetentionKind `form:"kind" validate:"required,max=20" say:"Choose what is kept."`
	Unit   string            `form:"unit" validate:"max=100"`
	Months int               `form:"months" validate:"min=1,max=600" say:"Say for how many months: from 1 to 600."`
	Words  string            `form:"words" validate:"required" say:"Say where the rule comes from."`
}

func (u *UI) setRetention(c echo.Context, who account.Caller) error {
	var f retentionForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.SetRetention(c.Request().Context(), who, app.RetentionRule{Unit: f.Unit, Kind: f.Kind, Months: f.Months, Words: f.Words})
	}
	return u.kept(c, who, err, "rule", "The rule is kept. Where several apply, the longest counts.")
}

type holdForm struct {
	Person  uuid.UUID `form:"person" validate:"required" say:"Choose a person."`
	Attempt uuid.UUID `form:"attempt"`
	Words   string    `form:"words" validate:"required" say:"Say why it is held."`
}

func (u *UI) placeHold(c echo.Context, who account.Caller) error {
	var f holdForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.PlaceHold(c.Request().Context(), who, app.LegalHold{Person: f.Person, Attempt: f.Attempt, Words: f.Words})
	}
	return u.kept(c, who, err, "hold", "It is held: nothing of it is erased until somebody lets it go.")
}

type liftForm struct {
	Words string `form:"words" validate:"required" say:"Say why it is let go."`
}

func (u *UI) liftHold(c echo.Context, who account.Caller) error {
	var f liftForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LiftHold(c.Request().Context(), who, id, f.Words)
	}
	return u.kept(c, who, err, "lift-"+id.String(), "It is let go.")
}

// kept goes back to the page of keeping, or shows it again with what there is to mend.
func (u *UI) kept(c echo.Context, who account.Caller, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(form Form) error { return u.showKeeping(c, who, form) })
	}
	return u.taken(c, "/keeping", notice)
}

func (u *UI) proposePurge(c echo.Context, who account.Caller) error {
	id, err := u.app.ProposePurge(c.Request().Context(), who)
	if err != nil {
		return u.kept(c, who, err, "propose", "")
	}
	return u.taken(c, "/keeping/"+id.String(), "It is proposed. Another person can approve it after a fortnight.")
}

// PurgePage is what a purge names.
type PurgePage struct {
	Frame
	Purge app.PurgeList
	Pages Paged
	Form  Form
}

func (*PurgePage) template() string { return "purge" }

// Words says how it stands with the purge.
func (p *PurgePage) Words() string { return PurgeWords(p.Purge.Purge) }

// Open says whether it is neither approved nor dropped.
func (p *PurgePage) Open() bool { return p.Purge.ApprovedAt.IsZero() && p.Purge.DroppedAt.IsZero() }

func (u *UI) purge(c echo.Context, who account.Caller) error { return u.showPurge(c, who, Form{}) }

func (u *UI) showPurge(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	pages := newPaged(c, "/keeping/"+id.String())
	l, err := u.app.PurgeList(c.Request().Context(), who, id, pages.Page-1)
	if err != nil {
		return err
	}
	p := &PurgePage{Frame: Frame{Title: "To be erased", Here: "/centre"}, Purge: l, Pages: pages.over(l.Purge.Items), Form: f.For("purge")}
	if !l.ApprovedAt.IsZero() && l.DoneAt.IsZero() {
		p.Again = reload
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) approvePurge(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err := u.app.ApprovePurge(c.Request().Context(), who, id); err != nil {
		return u.again(c, err, "purge", func(form Form) error { return u.showPurge(c, who, form) })
	}
	return u.taken(c, "/keeping/"+id.String(), "It is approved, and being erased. What is held stays.")
}

func (u *UI) dropPurge(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err := u.app.DropPurge(c.Request().Context(), who, id); err != nil {
		return u.again(c, err, "purge", func(form Form) error { return u.showPurge(c, who, form) })
	}
	return u.taken(c, "/keeping", "It is dropped. Nothing was erased.")
}

type exportForm struct {
	Person uuid.UUID `form:"person"`
	Before bool      `form:"before"`
}

// exportPerson gives everything kept of a person as a zip: the one chosen, or whoever asks.
func (u *UI) exportPerson(c echo.Context, who account.Caller) error {
	var f exportForm
	if err := u.read(c, &f); err != nil {
		return err
	}
	if f.Person == uuid.Nil {
		f.Person = who.Person
	}
	x, err := u.app.ExportPerson(c.Request().Context(), who, f.Person, f.Before)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "application/zip")
	h.Set(echo.HeaderContentDisposition, attachment(x.Name))
	h.Set(echo.HeaderLastModified, u.now().UTC().Format(time.RFC1123))
	c.Response().WriteHeader(200)
	return x.Write(c.Response())
}
