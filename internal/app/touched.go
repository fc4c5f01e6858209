package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// touchedPage is how many attempts a page of touched readings has (our own value).
const touchedPage = 20

// TouchedList is what an instrument that was found wrong puts in question, a page of it.
type TouchedList struct {
	Instrument store.Registered
	Event      RegisterEvent
	Attempts   []TouchedAttempt
	Page       Page
}

// listPage is how many rows a page of a list has (our own value).
const listPage = 100

// Page is one page of a longer list.
type Page struct{ Number, Of int }

// Previous and Next are the numbers of the pages beside it; 0 for none.
func (p Page) Previous() int { return p.Number - 1 }

// Next is the number of the page after it; 0 for none.
func (p Page) Next() int {
	if p.Number >= p.Of {
		return 0
	}
	return p.Number + 1
}

// pageOf is the page asked for among so many things, and from which of them on it goes.
func pageOf(number, each, all int) (p Page, offset int) {
	p = Page{Number: max(number, 1), Of: max((all+each-1)/each, 1)}
	return p, (p.Number - 1) * each
}

// spanOf is the part of a list that is on the page asked for.
func spanOf(number int) store.Span {
	_, offset := pageOf(number, listPage, 0)
	return store.Span{Limit: listPage, Offset: offset}
}

// TouchedAttempt is one attempt with the readings that are in question and what rests on them.
type TouchedAttempt struct {
	store.TouchedAttempt
	Readings []TouchedReading
	Rests    []decision.Record // decisions on criteria, as they stand
	MayLook  bool
}

// TouchedReading is one of the readings.
type TouchedReading struct {
	store.TouchedReading
	Title  string // of its item, with its phase
	Safety bool
}

// What somebody may have found of such readings.
const (
	TouchedStands = "stands" // they are right all the same, for a reason in words
	TouchedAgain  = "again"  // they are to be taken again
	TouchedAfresh = "afresh" // what rests on them is to be decided afresh
)

// TouchedOutcomes lists them in the order in which they are offered.
func TouchedOutcomes() []string { return []string{TouchedStands, TouchedAgain, TouchedAfresh} }

// TouchedWords says an outcome as people read it.
func TouchedWords(outcome string) string {
	switch outcome {
	case TouchedStands:
		return "stands all the same"
	case TouchedAgain:
		return "to be measured again"
	case TouchedAfresh:
		return "to be decided afresh"
	}
	return ""
}

// TouchedBy lists the readings that an event puts in question, with the decisions that rest on them: to a tutor those of the
// cohorts that they teach. Page counts from 1.
func (a *App) TouchedBy(ctx context.Context, c account.Caller, instrument, event uuid.UUID, page int) (TouchedList, error) {
	return a.touched(ctx, c, instrument, event, page, touchedPage)
}

// touchedMost bounds a list of all of it, in attempts (our own value).
const touchedMost = 2000

// AllTouchedBy is TouchedBy on one page, to be taken along as a table.
func (a *App) AllTouchedBy(ctx context.Context, c account.Caller, instrument, event uuid.UUID) (TouchedList, error) {
	return a.touched(ctx, c, instrument, event, 1, touchedMost)
}

func (a *App) touched(ctx context.Context, c account.Caller, instrument, event uuid.UUID, page, each int) (TouchedList, error) {
	if err := account.May(c, account.SeeTouched); err != nil {
		return TouchedList{}, err
	}
	g, events, err := a.db.OneOfRegister(ctx, c.Centre, instrument)
	if err != nil {
		return TouchedList{}, err
	}
	q, e, err := questioned(c, events, event)
	if err != nil {
		return TouchedList{}, err
	}
	_, q.Offset = pageOf(page, each, 0)
	q.Limit = each
	list, err := a.db.Touched(ctx, c.Centre, q)
	if err != nil {
		return TouchedList{}, err
	}
	e.Touched = list.Sum
	l := TouchedList{Instrument: g, Event: e}
	l.Page, _ = pageOf(page, each, list.Sum.Attempts)
	for _, at := range list.Attempts {
		b, err := a.briefs.brief(at.Digest, func() (string, error) {
			v, err := a.db.BriefVersion(ctx, c.Centre, at.Brief, at.Version)
			return v.Source, err
		})
		if err != nil {
			return TouchedList{}, err
		}
		l.Attempts = append(l.Attempts, TouchedAttempt{
			TouchedAttempt: at, Readings: touchedReadings(b, at.Attempt, list.Readings), Rests: restingOn(b, at.Attempt, list),
			MayLook: account.May(c, account.LookAgain, account.Teaches) == nil && at.Trainee != c.Person,
		})
	}
	return l, nil
}

// questioned asks for what an event puts in question, as the caller may see it.
func questioned(c account.Caller, events []store.RegisterEvent, id uuid.UUID) (store.Touched, RegisterEvent, error) {
	i := slices.IndexFunc(events, func(e store.RegisterEvent) bool { return e.ID == id })
	if i < 0 {
		return store.Touched{}, RegisterEvent{}, hidden("calibration or check")
	}
	e := RegisterEvent{RegisterEvent: events[i]}
	if !e.Bad() {
		return store.Touched{}, e, fault.Conflict("This puts no reading in question: it found the instrument right, or it was struck out.")
	}
	e.From, e.To = touchedSpan(events, id)
	q := store.Touched{Register: e.Register, Event: id, From: e.From, To: e.To}
	if account.As(c, account.SeeTouched) == account.Tutor && !c.Has(account.QualityAssurer) && !c.Has(account.Manager) {
		q.Tutor = c.Person
	}
	return q, e, nil
}

// touchedReadings are those of one attempt, with the titles that its brief has for them.
func touchedReadings(b *brief.Brief, attempt uuid.UUID, all []store.TouchedReading) []TouchedReading {
	var rs []TouchedReading
	for _, r := range all {
		if r.Attempt != attempt {
			continue
		}
		t := TouchedReading{TouchedReading: r, Title: r.Item}
		if it, _, ok := b.Item(r.Item); ok {
			t.Title = it.Title
			t.Safety = it.Reading != nil && it.Reading.Safety
			if t.Unit == "" && it.Reading != nil {
				t.Unit = it.Reading.Unit
			}
		}
		if r.Phase != brief.NoPhase {
			t.Title += ", " + r.Phase.Words()
		}
		rs = append(rs, t)
	}
	return rs
}

// restingOn are the decisions of an attempt that rest on the readings: on a criterion that one of their items bears on, or a figure or
// choice worked from one of them, or that names such an item as its evidence.
func restingOn(b *brief.Brief, attempt uuid.UUID, l store.TouchedList) []decision.Record {
	items, refs := map[string]bool{}, map[string]bool{}
	for _, r := range l.Readings {
		if r.Attempt == attempt {
			items[r.Item] = true
		}
	}
	for i := range b.Stages {
		for k := range b.Stages[i].Items {
			it := &b.Stages[i].Items[k]
			if !items[it.Key] && !slices.ContainsFunc(b.RestsOn(it), func(r *brief.Item) bool { return items[r.Key] }) {
				continue
			}
			items[it.Key] = true
			for _, own := range it.Criteria {
				refs[b.Ref(own)] = true
			}
		}
	}
	var out []decision.Record
	for _, r := range l.Records {
		named := slices.ContainsFunc(r.Evidence, func(key string) bool { return items[key] })
		if r.Attempt == attempt && r.Outcome != decision.TakenBack && (named || refs[r.Subject]) {
			out = append(out, r)
		}
	}
	return out
}

// Look is what somebody found when they looked again.
type Look struct {
	ID      uuid.UUID // made with the form: the same again has no effect
	Outcome string
	Words   string
}

// LookAtTouched keeps what the caller found of an attempt's readings that an event puts in question. It undoes nothing: what
// follows from it is decided on the attempt itself.
func (a *App) LookAtTouched(ctx context.Context, c account.Caller, instrument, event, attempt uuid.UUID, k Look) error {
	j, err := a.db.SheetHead(ctx, c.Centre, attempt)
	if err != nil {
		return err
	}
	if err := a.mayLook(c, j.Attempt); err != nil {
		return err
	}
	k.Words = strings.TrimSpace(k.Words)
	switch {
	case k.ID == uuid.Nil:
		return fault.Invalid("id", "Every entry needs an id of its own. Load the page again.")
	case TouchedWords(k.Outcome) == "":
		return fault.Invalid("outcome", "Choose what you found.")
	}
	if k.Words, err = needWords(k.Words); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		_, events, err := t.OneOfRegister(ctx, instrument)
		if err != nil {
			return err
		}
		q, _, err := questioned(c, events, event)
		if err != nil {
			return err
		}
		if touched, err := t.Touches(ctx, q, attempt); err != nil {
			return err
		} else if !touched {
			return hidden("attempt")
		}
		return t.LookAtTouched(ctx, k.ID, event, attempt, k.Outcome, k.Words, c.Person, a.now())
	})
}

// mayLook says whether the caller may look again at an attempt: nobody does at their own.
func (a *App) mayLook(c account.Caller, at store.Attempt) error {
	st := standings(c, at)
	if err := hide(account.May(c, account.SeeAttempt, st...), "attempt"); err != nil {
		return err
	}
	if at.Trainee == c.Person {
		return fault.Forbidden("This is your own work, so somebody else has to look at it.")
	}
	return account.May(c, account.LookAgain, st...)
}

// RegisterWaits counts what waits in the register.
type RegisterWaits struct{ Wrong, Overdue, Soon, Uncalibrated int }

// RegisterWaits counts the instruments in use that were found wrong, that are overdue, that are due within thirty days, and that
// have no calibration entered.
func (a *App) RegisterWaits(ctx context.Context, c account.Caller) (RegisterWaits, error) {
	rows, err := a.Register(ctx, c)
	if err != nil {
		return RegisterWaits{}, err
	}
	return WaitsIn(rows), nil
}

// WaitsIn counts them on a list.
func WaitsIn(rows []RegisterRow) RegisterWaits {
	var w RegisterWaits
	for _, r := range rows {
		switch {
		case !r.InUse():
		case r.Doubt == decision.Overdue:
			w.Overdue++
		case r.Doubt == decision.Uncalibrated:
			w.Uncalibrated++
		case r.Doubt != "":
			w.Wrong++
		case r.Soon:
			w.Soon++
		}
	}
	return w
}
