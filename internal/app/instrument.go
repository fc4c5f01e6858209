package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// serialMost bounds what is typed of a label, in characters.
const serialMost = 100

// NewInstrument is an instrument as a trainee takes it in hand. Its id is made where it was chosen.
type NewInstrument struct {
	decision.Instrument
	ChosenAt time.Time // on the phone; zero where unknown
	PhoneClock
}

// ChooseInstrument keeps which instrument a trainee has in hand for a kind that the brief names. Any is taken, also one whose
// calibration has run out: that is said beside what is read with it. The same sent again has no effect; like what was typed,
// it may come after handing over, since a late signal is no late work.
func (a *App) ChooseInstrument(ctx context.Context, c account.Caller, id uuid.UUID, n NewInstrument) error {
	n.Serial = strings.TrimSpace(n.Serial)
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		l, err := a.lockWork(ctx, t, c, id)
		if err != nil {
			return err
		}
		if err := account.May(c, account.Record, l.standings...); err != nil {
			return err
		}
		if err := checkInstrument(l.brief, n.Instrument); err != nil {
			return err
		}
		row := store.Instrument{
			ID: n.ID, Attempt: id, Kind: n.Kind, Serial: n.Serial, CalibrationDue: date(n.Due), ChosenAt: n.ChosenAt, ReceivedAt: a.now(),
			Clock: n.clock(a.now()), By: c.Person,
		}
		was, err := t.Instrument(ctx, n.ID)
		switch {
		case err == nil:
			return sameInstrument(was, row)
		case fault.KindOf(err) != fault.KindNotFound:
			return err
		}
		if err := l.admits(n.ID, decision.SealEntry, "", n.moment(n.ChosenAt, a.now())); err != nil {
			return err
		}
		return t.AddInstrument(ctx, row)
	})
}

// sameInstrument is Conflict where under the id there is another instrument than the one that came.
func sameInstrument(was, now store.Instrument) error {
	if was.Attempt == now.Attempt && instrumentOf(was) == instrumentOf(now) {
		return nil
	}
	return fault.Conflict("Another instrument was kept before from this same form. Load the page again and choose it once more.")
}

// checkInstrument refuses an instrument of a kind that the brief does not name, or one that cannot be told from others.
func checkInstrument(b *brief.Brief, n decision.Instrument) error {
	switch {
	case !slices.ContainsFunc(b.Stages, func(st brief.Stage) bool { return slices.Contains(kindsOf(&st), n.Kind) }):
		return fault.Invalid("kind", "The brief names no such instrument.")
	case n.ID == uuid.Nil:
		return fault.Invalid("id", "Every instrument needs an id of its own.")
	case n.Serial == "":
		return fault.Invalid("serial", "Type the serial number as it stands on the label.")
	case utf8.RuneCountInString(n.Serial) > serialMost || strings.ContainsFunc(n.Serial, unkept):
		return fault.Invalid("serial", "Type the serial number as it stands on the label, in at most %d characters.", serialMost)
	case n.Due != "" && date(n.Due).IsZero():
		return fault.Invalid("due", "Type the date as day, month and year.")
	}
	return nil
}

// unkept says of a character that the database cannot keep it, or that it came damaged.
func unkept(r rune) bool { return r == 0 || r == utf8.RuneError }

// kindsOf lists the kinds of instrument that the readings of a stage name, each once, in order.
func kindsOf(st *brief.Stage) []string {
	var kinds []string
	for i := range st.Items {
		if r := st.Items[i].Reading; r != nil && r.Instrument != "" && !slices.Contains(kinds, r.Instrument) {
			kinds = append(kinds, r.Instrument)
		}
	}
	return kinds
}

func instrumentOf(i store.Instrument) decision.Instrument {
	return decision.Instrument{ID: i.ID, Kind: i.Kind, Serial: i.Serial, Due: dayText(i.CalibrationDue)}
}

// readWith is the instrument that an entry was read with, and what speaks against it at that moment; zero where none was
// named, or where it is not here yet. Where the register knows the instrument, its calibrations count and not the label's day.
func readWith(j store.JobSheet, e store.Entry) portfolio.ReadWith {
	for _, i := range j.Instruments {
		if i.ID != e.Instrument {
			continue
		}
		at := e.CapturedAt
		if at.IsZero() {
			at = e.ReceivedAt
		}
		return handAt(j, i, at)
	}
	return portfolio.ReadWith{}
}

// handAt is an instrument in hand as it stood at a moment.
func handAt(j store.JobSheet, i store.Instrument, at time.Time) portfolio.ReadWith {
	w := portfolio.ReadWith{Instrument: instrumentOf(i)}
	known, ok := j.Checkups[i.ID]
	if !ok {
		w.OutOfDate = w.Instrument.OutOfDate(dayOf(at))
		return w
	}
	w.Register, w.Doubt = known.Register, decision.DoubtOf(checkupsOf(known.Events), at, dayOf(at))
	if due := dueAt(known.Events, at); due != "" {
		w.Due = due
	}
	w.OutOfDate = w.Doubt == decision.Overdue
	return w
}

// inHandNow is an instrument in hand as it stands at this moment: by the register where that knows it.
func inHandNow(j store.JobSheet, in decision.Instrument, now time.Time) portfolio.ReadWith {
	for _, i := range j.Instruments {
		if i.ID == in.ID {
			return handAt(j, i, now)
		}
	}
	return portfolio.ReadWith{}
}

// dueAt is the last day of the calibration that held at a moment; "" for none.
func dueAt(events []store.RegisterEvent, at time.Time) brief.Day {
	due := brief.Day("")
	for _, e := range events {
		if e.What == decision.Calibration && !e.DoneAt.After(at) {
			due = dayText(e.DueOn)
		}
	}
	return due
}

// SheetInstrument is a kind of instrument with the one in hand and the photos of its label.
type SheetInstrument struct {
	decision.Instrument      // the latest chosen; only Kind where none was
	OutOfDate           bool // today
	Labels              []SheetFile
	Before              []SheetInstrument  // chosen earlier, in order; what was read then was read with them
	Choices             []InstrumentChoice // of the centre's register, where the trainee may choose
}

// InstrumentChoice is an instrument of the centre's register that may be taken in hand.
type InstrumentChoice struct {
	Serial string
	Words  string // its name, and how its calibration stands today
}

// choices lists what the register has of the kinds that an attempt's readings name, and lays it beside each.
func (a *App) choices(ctx context.Context, centre int64, s *Sheet) error {
	var kinds []string
	for _, st := range s.Stages {
		for _, in := range st.Instruments {
			kinds = append(kinds, in.Kind)
		}
	}
	if len(kinds) == 0 {
		return nil
	}
	known, err := a.db.RegisterChoices(ctx, centre, kinds)
	if err != nil {
		return err
	}
	today := a.today()
	for i := range s.Stages {
		for k := range s.Stages[i].Instruments {
			in := &s.Stages[i].Instruments[k]
			for _, g := range known {
				if g.Kind == strings.ToLower(in.Kind) {
					in.Choices = append(in.Choices, InstrumentChoice{g.Serial, g.Name + ", " + calibrationWords(g, today)})
				}
			}
		}
	}
	return nil
}

// calibrationWords says how an instrument's calibration stands on a day.
func calibrationWords(g store.RegisterChoice, today brief.Day) string {
	due := dayText(g.DueOn)
	switch {
	case !g.Calibrated:
		return "no calibration known"
	case !g.Good:
		return "found to read wrong"
	case due == "":
		return "calibrated"
	case due < today:
		return "overdue for calibration"
	}
	return "calibration due " + g.DueOn.Format("2 January 2006")
}

// assembleInstruments lays out the kinds that a stage needs. Whether one is out of date today is the caller's to say.
func assembleInstruments(st *brief.Stage, at portfolio.Attempt) []SheetInstrument {
	var ins []SheetInstrument
	for _, kind := range kindsOf(st) {
		in := SheetInstrument{Instrument: decision.Instrument{Kind: kind}}
		for _, i := range at.Instruments {
			if i.Kind != kind {
				continue
			}
			before := in.Before
			if in.ID != uuid.Nil {
				in.Before = nil
				before = append(before, in)
			}
			in = SheetInstrument{Instrument: i, Labels: filesOf(decision.LabelItem(i.ID), at), Before: before}
		}
		ins = append(ins, in)
	}
	return ins
}

// carryInstruments copies the instruments that carried entries were taken with, has the entries name the copies, and tells
// under which item the photos of each label go on.
func (a *App) carryInstruments(ctx context.Context, t *store.Tx, l *loaded, to uuid.UUID, entries []store.Entry) (label map[string]string, err error) {
	now := map[uuid.UUID]uuid.UUID{}
	label = map[string]string{}
	for _, i := range l.Instruments {
		if !slices.ContainsFunc(entries, func(e store.Entry) bool { return e.Instrument == i.ID }) {
			continue
		}
		id, err := newID()
		if err != nil {
			return nil, err
		}
		now[i.ID], label[decision.LabelItem(i.ID)] = id, decision.LabelItem(id)
		i.ID, i.Attempt = id, to
		if err := t.AddInstrument(ctx, i); err != nil {
			return nil, err
		}
	}
	for i := range entries {
		entries[i].Instrument = now[entries[i].Instrument] // none where it never came
	}
	return label, nil
}
