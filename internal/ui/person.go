package ui

import (
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// PersonPage is one person: what they are registered for, and where they belong.
type PersonPage struct {
	Frame
	Form       Form
	File       app.PersonFile
	Row        PersonRow
	Held       []HeldRegistration
	Units      []Option
	Kinds      []Option
	May        bool            // enter and end registrations, and say who signs in
	Mine       bool            // the reader's own page
	Remarks    []Hint          // what is worth a look
	Invitation *InvitationLink // shown once, right after it was made
}

func (*PersonPage) template() string { return "person" }

// HeldRegistration is a registration as the page shows it.
type HeldRegistration struct {
	account.Registration
	Today time.Time
}

// State says how the registration stands today.
func (h HeldRegistration) State() string { return spanState(h.ValidFrom, h.ValidTo, h.Ends(), h.Today) }

// spanState says how something that has a first and perhaps a last day stands on a day.
func spanState(from, to time.Time, ends bool, today time.Time) string {
	switch {
	case today.Before(from):
		return "from " + date(from)
	case ends && today.After(to):
		return "ended " + date(to)
	case ends:
		return "in force to " + date(to)
	}
	return "in force"
}

// AwardState says how a registration with the awarding organisation stands.
func (p *PersonPage) AwardState(g app.AwardRegistration) string {
	return spanState(g.RegisteredOn, g.EndsOn, !g.EndsOn.IsZero(), p.today())
}

func (p *PersonPage) today() time.Time {
	if len(p.Held) > 0 {
		return p.Held[0].Today
	}
	return time.UnixMilli(p.Drawn).UTC()
}

// Trainee says whether the person is one.
func (p *PersonPage) Trainee() bool { return p.File.Caller().Has(account.Trainee) }

// Hint is a sentence about something to look at.
type Hint string

func (u *UI) person(c echo.Context, who account.Caller) error { return u.showPerson(c, who, Form{}) }

func (u *UI) showPerson(c echo.Context, who account.Caller, f Form) error {
	return u.showInvited(c, who, f, nil)
}

func (u *UI) showInvited(c echo.Context, who account.Caller, f Form, link *InvitationLink) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	file, err := u.app.PersonFile(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &PersonPage{Frame: Frame{Title: file.Name, Here: "/people"}, Form: f, File: file, Row: u.personRow(file.Person, who),
		Mine: file.ID == who.Person, Invitation: link, May: account.As(who, account.ManagePeople) != ""}
	if !who.Has(account.Manager) {
		p.Here = "/centre"
	}
	for _, g := range file.Registrations {
		p.Held = append(p.Held, HeldRegistration{g, u.now().UTC()})
	}
	for _, k := range account.RegistrationKinds() {
		p.Kinds = append(p.Kinds, Option{Value: k, Text: sentence(account.Registration{Kind: k}.KindWords())})
	}
	p.Remarks = u.personRemarks(file)
	if p.May && p.Trainee() {
		units, err := u.app.Units(c.Request().Context(), who)
		if err != nil {
			return err
		}
		p.Units = []Option{{Text: "Every unit"}}
		for _, x := range units {
			p.Units = append(p.Units, Option{Value: x.Code, Text: x.Code + " " + x.Title})
		}
	}
	return u.render(c, who, f.Status(), p)
}

// personRemarks says what about a person's standing is worth a look.
func (u *UI) personRemarks(f app.PersonFile) []Hint {
	var hints []Hint
	if alone, why := u.app.Deciding(f.Person); f.Caller().Has(account.Tutor) && (!alone || f.BeforeAlone) {
		hints = append(hints, Hint(why))
	} else if f.Caller().Has(account.QualityAssurer) && f.BeforeAlone {
		hints = append(hints, Hint("They countersign until "+date(f.BeforeUntil)+", as they did before the award counted. After that they do with an assessor’s award in date."))
	}
	if u.app.Unqualified(f.Person) {
		hints = append(hints, "No quality assurer's award is in force.")
	}
	if f.Caller().Has(account.Trainee) && len(f.Awards) == 0 {
		hints = append(hints, "Not registered with the awarding organisation. What is assessed before that day may have to be set aside.")
	}
	return hints
}

// personForm answers a form of the page of a person.
func (u *UI) personForm(c echo.Context, who account.Caller, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(f Form) error { return u.showPerson(c, who, f) })
	}
	return u.taken(c, "/people/"+c.Param("id"), notice)
}

type registrationForm struct {
	Kind   string    `form:"kind" validate:"required" say:"Choose what it is for."`
	Number string    `form:"number" validate:"required,max=400" say:"Give the number, at most 100 letters."`
	From   time.Time `form:"from" validate:"required" say:"Give the first day."`
	To     time.Time `form:"to"`
}

func (u *UI) addRegistration(c echo.Context, who account.Caller) error {
	var f registrationForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.AddRegistration(c.Request().Context(), who, id, app.NewRegistration{Kind: f.Kind, Number: f.Number, From: f.From, To: f.To})
	}
	return u.personForm(c, who, err, "registration", "It is entered.")
}

type endRegistrationForm struct {
	Kind   string    `form:"kind" validate:"required" say:"Load the page again."`
	Number string    `form:"number" validate:"required" say:"Load the page again."`
	On     time.Time `form:"on" validate:"required" say:"Give the last day, not before the first."`
}

func (u *UI) endRegistration(c echo.Context, who account.Caller) error {
	var f endRegistrationForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.EndRegistration(c.Request().Context(), who, id, f.Kind, f.Number, f.On)
	}
	return u.personForm(c, who, err, "end-"+f.Kind+"-"+f.Number, "It has another last day now.")
}

type awardForm struct {
	Unit         string    `form:"unit"`
	Number       string    `form:"number" validate:"required,max=400" say:"Give the number, at most 100 letters."`
	RegisteredOn time.Time `form:"registered_on" validate:"required" say:"Give the day."`
	EndsOn       time.Time `form:"ends_on"`
}

func (u *UI) addAward(c echo.Context, who account.Caller) error {
	var f awardForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		_, err = u.app.AddAwardRegistration(c.Request().Context(), who, id, app.NewAwardRegistration{Unit: f.Unit, Number: f.Number, RegisteredOn: f.RegisteredOn, EndsOn: f.EndsOn})
	}
	return u.personForm(c, who, err, "award", "The registration is entered.")
}

type endAwardForm struct {
	Registration uuid.UUID `form:"registration" validate:"required" say:"Load the page again."`
	On           time.Time `form:"on"`
	Do           string    `form:"do" validate:"oneof=end mistake" say:"Say whether it ends or was entered by mistake."`
}

func (u *UI) endAward(c echo.Context, who account.Caller) error {
	var f endAwardForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.EndAwardRegistration(c.Request().Context(), who, id, f.Registration, f.On, f.Do == "mistake")
	}
	notice := map[string]string{"end": "The registration has another last day now.", "mistake": "The registration counts no longer. It stays on record."}[f.Do]
	return u.personForm(c, who, err, "end-"+f.Registration.String(), notice)
}

// ConflictsPage lists conflicts of interest.
type ConflictsPage struct {
	Frame
	Form      Form
	Conflicts []app.Conflict
	Pages     Paged
	People    []Option // whom it may be with
	Whose     []Option // whose it may be, for a manager; empty for one's own
	Me        uuid.UUID
	MayEnd    bool
}

func (*ConflictsPage) template() string { return "conflicts" }

// Ends says whether the reader may end the conflict.
func (p *ConflictsPage) Ends(x app.Conflict) bool {
	return p.MayEnd && x.Stands() && !slices.Contains([]uuid.UUID{x.Person, x.Other}, p.Me)
}

func (u *UI) conflicts(c echo.Context, who account.Caller) error {
	return u.showConflicts(c, who, Form{})
}

func (u *UI) showConflicts(c echo.Context, who account.Caller, f Form) error {
	pages := newPaged(c, "/conflicts")
	list, err := u.app.Conflicts(c.Request().Context(), who, pages.Page)
	if err != nil {
		return err
	}
	pages.Of, pages.All = list.Page.Of, list.All
	people, err := u.app.People(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &ConflictsPage{Frame: Frame{Title: "Conflicts of interest", Here: "/centre"}, Form: f, Conflicts: list.Rows, Me: who.Person, Pages: pages,
		MayEnd: account.As(who, account.EndConflict) != "", People: []Option{{Text: "choose"}}}
	for _, x := range people {
		p.People = append(p.People, Option{Value: x.ID.String(), Text: x.Name})
	}
	if who.Has(account.Manager) {
		p.Whose = p.People
	}
	return u.render(c, who, f.Status(), p)
}

type conflictForm struct {
	Person uuid.UUID `form:"person"` // nobody for oneself
	Other  uuid.UUID `form:"other" validate:"required" say:"Choose a person."`
	Words  string    `form:"words"`
}

func (u *UI) declareConflict(c echo.Context, who account.Caller) error {
	var f conflictForm
	err := u.read(c, &f)
	if err == nil {
		if f.Person == uuid.Nil {
			f.Person = who.Person
		}
		_, err = u.app.DeclareConflict(c.Request().Context(), who, f.Person, f.Other, f.Words)
	}
	return u.conflictsForm(c, who, err, "declare", "It is on record. From now on neither judges what the other did.")
}

type endConflictForm struct {
	Words string `form:"words"`
}

func (u *UI) endConflict(c echo.Context, who account.Caller) error {
	var f endConflictForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.EndConflict(c.Request().Context(), who, id, f.Words)
	}
	return u.conflictsForm(c, who, err, "end-"+id.String(), "It is ended, and stays on record.")
}

func (u *UI) conflictsForm(c echo.Context, who account.Caller, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(f Form) error { return u.showConflicts(c, who, f) })
	}
	return u.taken(c, "/conflicts", notice)
}
