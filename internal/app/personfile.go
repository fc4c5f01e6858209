package app

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// PersonFile is what is kept of a person's standing at the centre: roles, registrations, cohorts, and those that they left.
func (a *App) PersonFile(ctx context.Context, c account.Caller, id uuid.UUID) (store.PersonFile, error) {
	if err := account.May(c, account.SeePeople); err != nil {
		return store.PersonFile{}, err
	}
	f, err := a.db.PersonFile(ctx, c.Centre, id)
	if account.May(c, account.WithdrawTrainee) != nil { // why somebody left is nobody else's to read
		f.Leaving = nil
		for i := range f.Left {
			f.Left[i].Words, f.Left[i].BackWords = "", ""
		}
	}
	return f, err
}

// Deciding says whether what a person decides today stands by itself, and why it does or waits for a countersignature.
func (a *App) Deciding(p store.Person) (alone bool, why string) {
	today := date(a.today())
	return p.Caller().DecidesAlone(today), p.Caller().WhyAlone("Their decisions", today)
}

// Unqualified says whether a person samples without an award for it that is in force today. It is something to look at.
func (a *App) Unqualified(p store.Person) bool {
	who := p.Caller()
	return who.Has(account.QualityAssurer) && !who.Registered(account.AssurerAward, date(a.today()))
}

// NewRegistration is a registration, approval or award to be entered.
type NewRegistration struct {
	Kind   string // one of account.RegistrationKinds
	Number string // with its title, where it is an award
	From   time.Time
	To     time.Time // zero where it does not end
}

// number tidies a number under which something is registered.
func number(s string) (string, error) {
	s = strings.TrimSpace(s)
	if s == "" || len([]rune(s)) > 100 {
		return "", fault.Invalid("number", "Give the number, at most 100 letters.")
	}
	return s, nil
}

// span refuses days that cannot be first and last of anything.
func span(fromField, toField string, from, to time.Time) error {
	switch {
	case from.IsZero() || from.Year() < 1950 || from.Year() > 2200:
		return fault.Invalid(fromField, "Give the first day.")
	case !to.IsZero() && to.Before(from):
		return fault.Invalid(toField, "The last day is before the first. Change one of them.")
	case !to.IsZero() && to.Year() > 2200:
		return fault.Invalid(toField, "Leave the last day empty where it does not end.")
	}
	return nil
}

// AddRegistration enters a registration, approval or award of somebody else.
func (a *App) AddRegistration(ctx context.Context, c account.Caller, person uuid.UUID, n NewRegistration) error {
	if err := account.May(c, account.ManagePeople); err != nil {
		return err
	}
	if person == c.Person {
		return fault.Forbidden("This would be your own registration. Ask another manager to enter it, from the paper.")
	}
	if !slices.Contains(account.RegistrationKinds(), n.Kind) {
		return fault.Invalid("kind", "Choose what it is for.")
	}
	num, err := number(n.Number)
	if err != nil {
		return err
	}
	if err := span("from", "to", n.From, n.To); err != nil {
		return err
	}
	if n.To.IsZero() {
		n.To = account.Endless()
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if _, err := t.Person(ctx, person); err != nil {
			return err
		}
		g := account.Registration{Kind: n.Kind, Number: num, ValidFrom: n.From, ValidTo: n.To}
		a.logAward(ctx, t, c, person, "entered", g)
		return t.AddRegistration(ctx, person, g)
	})
}

// EndRegistration gives a registration another last day, as where it was withdrawn or renewed.
func (a *App) EndRegistration(ctx context.Context, c account.Caller, person uuid.UUID, kind, number string, on time.Time) error {
	if err := account.May(c, account.ManagePeople); err != nil {
		return err
	}
	if person == c.Person {
		return fault.Forbidden("This is your own registration. Ask another manager to change it, from the paper.")
	}
	p, err := a.db.Person(ctx, c.Centre, person)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(p.Registrations, func(g account.Registration) bool { return g.Kind == kind && g.Number == number })
	if i < 0 {
		return hidden("registration")
	}
	if on.IsZero() || on.Before(p.Registrations[i].ValidFrom) {
		return fault.Invalid("on", "Give the last day, not before the first.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		g := p.Registrations[i]
		g.ValidTo = on
		a.logAward(ctx, t, c, person, "ended", g)
		return t.EndRegistration(ctx, person, kind, number, on)
	})
}

// logAward has the decision log keep what was entered of an assessor's award: from it follows whose decisions stand by themselves.
func (a *App) logAward(ctx context.Context, t *store.Tx, c account.Caller, person uuid.UUID, what string, g account.Registration) {
	if g.Kind != account.AssessorAward {
		return
	}
	t.Log(ctx, ledger.Leaf{Kind: ledger.KindAward, Subject: person, At: a.now(), Facts: map[string]string{"what": what}, Secrets: map[string]string{
		"number": g.Number, "from": g.ValidFrom.Format(time.DateOnly), "to": g.ValidTo.Format(time.DateOnly), "by": c.Name}})
}

// NewAwardRegistration is a trainee's registration with the awarding organisation, to be entered.
type NewAwardRegistration struct {
	Unit         string // "" for every unit
	Number       string
	RegisteredOn time.Time
	EndsOn       time.Time // zero where it does not end
}

// AddAwardRegistration enters a trainee's registration with the awarding organisation.
func (a *App) AddAwardRegistration(ctx context.Context, c account.Caller, person uuid.UUID, n NewAwardRegistration) (uuid.UUID, error) {
	if err := account.May(c, account.ManagePeople); err != nil {
		return uuid.Nil, err
	}
	num, err := number(n.Number)
	if err != nil {
		return uuid.Nil, err
	}
	if err := span("registered_on", "ends_on", n.RegisteredOn, n.EndsOn); err != nil {
		return uuid.Nil, err
	}
	if n.Unit = strings.TrimSpace(n.Unit); n.Unit != "" {
		if _, err := a.db.UnitOn(ctx, c.Centre, n.Unit, date(a.today())); err != nil {
			return uuid.Nil, fault.Invalid("unit", "There is no unit %s here. Choose one, or leave it empty for every unit.", n.Unit)
		}
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.Person(ctx, person)
		if err != nil {
			return err
		}
		if !p.Caller().Has(account.Trainee) {
			return fault.Conflict("%s is not a trainee. Give them the role first.", p.Name)
		}
		return t.AddAwardRegistration(ctx, store.AwardRegistration{ID: id, Person: person, Unit: n.Unit, Number: num,
			RegisteredOn: n.RegisteredOn, EndsOn: n.EndsOn, EnteredBy: c.Person, EnteredAt: a.now()})
	})
}

// EndAwardRegistration gives a registration with the awarding organisation its last day; mistake has it count no longer at all.
func (a *App) EndAwardRegistration(ctx context.Context, c account.Caller, person, id uuid.UUID, on time.Time, mistake bool) error {
	if err := account.May(c, account.ManagePeople); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		of, err := t.AwardRegistrations(ctx, []uuid.UUID{person})
		if err != nil {
			return err
		}
		i := slices.IndexFunc(of[person], func(g store.AwardRegistration) bool { return g.ID == id })
		switch {
		case i < 0:
			return hidden("registration")
		case mistake:
			return t.TakeBackAwardRegistration(ctx, id, c.Person, a.now())
		case on.IsZero() || on.Before(of[person][i].RegisteredOn):
			return fault.Invalid("on", "Give the last day, not before the first.")
		}
		return t.EndAwardRegistration(ctx, id, on)
	})
}
