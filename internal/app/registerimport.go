package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
	"witnessmark/internal/table"
)

// registerMost is how many instruments a register may have by lists: as many as are listed.
const registerMost = store.RegisterMost

// RegisterPlan is what taking a list of instruments in changes, or what there is to mend in it first. An instrument that is here
// already is known by a kind and its serial number: nothing of it changes but that a calibration is entered.
type RegisterPlan struct {
	Problems     []table.Problem // nothing is taken in before there are none
	New          []InstrumentRow
	Calibrations []ListedCalibration // of instruments that are here already
	Rows         int
	Digest       string // of all that is shown; ImportRegister asks for it
}

// ListedCalibration is a calibration that the list has of an instrument that is here already.
type ListedCalibration struct {
	Line         int
	Instrument   uuid.UUID
	Name, Serial string              // as the register has them
	Was          store.RegisterEvent // the last calibration that counts; zero for none
	Now          NewCalibration
}

// Earlier says that it is older than what counts today, which then stays.
func (l ListedCalibration) Earlier() bool {
	return l.Now.event(l.Instrument).DoneAt.Before(l.Was.DoneAt)
}

// CheckRegister says what taking a list in would change, and keeps nothing.
func (a *App) CheckRegister(ctx context.Context, c account.Caller, list []byte) (RegisterPlan, error) {
	return a.takeRegisterIn(ctx, c, list, func(RegisterPlan) error { return errShown })
}

// ImportRegister takes a list in, as it was shown: digest is the one of the plan that somebody read. Where it would change
// something else by now, that is Conflict; a list with problems is Invalid. The same list once more changes nothing.
func (a *App) ImportRegister(ctx context.Context, c account.Caller, list []byte, digest string) (RegisterPlan, error) {
	plan, err := a.takeRegisterIn(ctx, c, list, func(p RegisterPlan) error { return asShown(p.Digest, digest) })
	return plan, mended(plan.Problems, err)
}

// takeRegisterIn works out what a list changes, asks whether it is to stay, and then does it.
func (a *App) takeRegisterIn(ctx context.Context, c account.Caller, list []byte, stay func(RegisterPlan) error) (RegisterPlan, error) {
	if err := account.May(c, account.KeepRegister); err != nil {
		return RegisterPlan{}, err
	}
	rows, problems := readInstruments(list, date(a.today()))
	plan := RegisterPlan{Problems: problems, Rows: len(rows)}
	if len(problems) > 0 {
		return plan, nil
	}
	err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		k, err := knownInstruments(ctx, t, rows)
		if err != nil {
			return err
		}
		if plan = k.plan(rows); len(plan.Problems) > 0 {
			return errShown
		}
		if err := stay(plan); err != nil {
			return err
		}
		fresh, events, err := a.registerRows(plan)
		if err == nil {
			t.TakeInstrumentsIn(fresh, events, c.Person)
		}
		return err
	})
	if errors.Is(err, errShown) {
		err = nil
	}
	return plan, err
}

// knownRegister is what the register knows of the instruments of a list.
type knownRegister struct {
	names        map[int][]store.RegisterMatch // by line
	instruments  map[uuid.UUID]store.Registered
	calibrations map[uuid.UUID][]store.RegisterEvent // those that were struck out among them
	registered   int                                 // instruments in all
}

// knownInstruments looks the rows' instruments up, and holds those that are there.
func knownInstruments(ctx context.Context, t *store.Tx, rows []InstrumentRow) (knownRegister, error) {
	var n store.RegisterNames
	for _, r := range rows {
		for _, kind := range r.Kinds {
			n.Lines, n.Kinds, n.Serials = append(n.Lines, r.Line), append(n.Kinds, kind), append(n.Serials, r.Serial)
		}
	}
	k := knownRegister{names: map[int][]store.RegisterMatch{}, instruments: map[uuid.UUID]store.Registered{}, calibrations: map[uuid.UUID][]store.RegisterEvent{}}
	matches, registered, err := t.MatchRegistered(ctx, n)
	if err != nil {
		return k, err
	}
	k.registered = registered
	var ids []uuid.UUID
	for _, m := range matches {
		k.names[m.Line] = append(k.names[m.Line], m)
		if m.Register != uuid.Nil {
			ids = append(ids, m.Register)
		}
	}
	list, calibrations, err := t.HoldRegistered(ctx, ids)
	for _, g := range list {
		k.instruments[g.ID] = g
	}
	for _, e := range calibrations {
		k.calibrations[e.Register] = append(k.calibrations[e.Register], e)
	}
	return k, err
}

// plan tells what is new from what is here already, and what each row changes.
func (k knownRegister) plan(rows []InstrumentRow) RegisterPlan {
	p := RegisterPlan{Rows: len(rows)}
	lines := map[string]int{} // by kind and serial number, and by instrument
	for _, r := range rows {
		wrong := rowProblems{line: r.Line}
		id := k.instrumentOf(r, lines, &wrong)
		switch {
		case len(wrong.list) > 0:
		case id == uuid.Nil && r.Name == "":
			wrong.add(instrumentName, "The register has no “%s” with this serial number. Mend the kind or the number, or give a new instrument its name.", r.Kinds[0])
		case id == uuid.Nil && r.Retired:
			wrong.add(instrumentRetired, "The register does not have this one. Leave its row out.")
		case id == uuid.Nil:
			p.New = append(p.New, r)
		default:
			if l, ok := k.known(id, r, &wrong); ok {
				p.Calibrations = append(p.Calibrations, l)
			}
		}
		p.Problems = append(p.Problems, wrong.list...)
	}
	if n := k.registered + len(p.New); len(p.New) > 0 && n > registerMost {
		p.Problems = append([]table.Problem{{Message: fmt.Sprintf("The register would have %d instruments. It has room for %d.", n, registerMost)}}, p.Problems...)
	}
	p.sum()
	return p
}

// instrumentOf is which instrument of the register a row is about; Nil for a new one. lines remembers what stood where.
func (k knownRegister) instrumentOf(r InstrumentRow, lines map[string]int, wrong *rowProblems) (id uuid.UUID) {
	once := func(thing string) {
		if first, ok := lines[thing]; ok && first != r.Line && len(wrong.list) == 0 {
			wrong.add(instrumentSerial, "This instrument stands on line %d already. Keep one row an instrument.", first)
		}
		lines[thing] = r.Line
	}
	var lacks string
	for _, m := range k.names[r.Line] {
		once(m.Kind + "\n" + m.Key)
		switch {
		case m.Register == uuid.Nil:
			lacks = m.Kind
		case id != uuid.Nil && id != m.Register:
			wrong.add(instrumentKinds, "The register has two instruments of these kinds with this serial number, %s and %s. Give each a row of its own.",
				k.instruments[id].Name, k.instruments[m.Register].Name)
			return id
		default:
			id = m.Register
			once(id.String())
		}
	}
	if id != uuid.Nil && lacks != "" {
		wrong.add(instrumentKinds, "The register has %s with this serial number, but not as a “%s”. Leave that kind out.", k.instruments[id].Name, lacks)
	}
	return id
}

// known says what the row changes of an instrument that is here already: a calibration, or nothing.
func (k knownRegister) known(id uuid.UUID, r InstrumentRow, wrong *rowProblems) (l ListedCalibration, changes bool) {
	g := k.instruments[id]
	for _, x := range []struct {
		column   int
		was, now string
	}{{instrumentName, g.Name, r.Name}, {instrumentRange, g.Measures, r.Measures}, {instrumentResolution, g.Resolution, r.Resolution}, {instrumentAccuracy, g.Accuracy, r.Accuracy}} {
		switch {
		case x.now == "" || x.now == x.was:
		case x.was == "":
			wrong.add(x.column, "The register says nothing here of %s, and what stands there stays. Leave the cell empty.", g.Name)
		default:
			wrong.add(x.column, "The register says “%s” here, and what stands there stays. Write it so, or leave the cell empty.", x.was)
		}
	}
	if r.Retired && g.RetiredAt.IsZero() {
		wrong.add(instrumentRetired, "%s is in use. It is taken out of use on its own page, with a reason.", g.Name)
	}
	if r.Calibration.On.IsZero() {
		return l, false
	}
	l = ListedCalibration{Line: r.Line, Instrument: id, Name: g.Name, Serial: g.Serial, Now: r.Calibration}
	entered := k.entered(&l, wrong)
	if !entered && !g.RetiredAt.IsZero() {
		wrong.add(instrumentCalibrated, "%s is out of use, so no calibration is entered of it.", g.Name)
	}
	return l, !entered && len(wrong.list) == 0
}

// entered says whether the calibration is in the register, and finds what counted before. One certificate may stand for what was
// found and, entered after it, for what it was put right to.
func (k knownRegister) entered(l *ListedCalibration, wrong *rowProblems) bool {
	now, struck := l.Now.event(l.Instrument), false
	var other store.RegisterEvent // of the same certificate and day, with something else on it
	for _, e := range k.calibrations[l.Instrument] {
		counts, same := e.StruckAt.IsZero(), e.Good == now.Good && e.DueOn.Equal(now.DueOn)
		if counts {
			l.Was = e
		}
		switch {
		case e.Certificate != now.Certificate || !e.DoneAt.Equal(now.DoneAt):
		case same && counts:
			return true
		case same:
			struck = true
		case counts:
			other = e
		}
	}
	switch {
	case struck:
		wrong.add(instrumentCertificate, "This calibration was entered before, and struck out as a mistake. Where it is right after all, enter it on the page of %s.", l.Name)
	case !other.DoneAt.IsZero():
		wrong.add(instrumentCertificate, "Certificate %s of that day is entered already, as one that %s. Where that is a mistake, strike it out on the page of %s first.",
			other.Certificate, standsAs(other), l.Name)
	}
	return false
}

// standsAs says what a calibration found and to when it holds, after "one that".
func standsAs(e store.RegisterEvent) string {
	switch {
	case !e.Good:
		return "found it to read wrong"
	case e.DueOn.IsZero():
		return "holds to no day"
	}
	return "holds to " + e.DueOn.Format("2 January 2006")
}

// registerRows is what the plan puts into the register.
func (a *App) registerRows(p RegisterPlan) (fresh []store.Registered, events []store.RegisterEvent, err error) {
	enter := func(instrument uuid.UUID, n NewCalibration) (err error) {
		n.ID, err = newID()
		e := n.event(instrument)
		e.EnteredAt = a.now()
		events = append(events, e)
		return err
	}
	for _, r := range p.New {
		id, err := newID()
		if err != nil {
			return nil, nil, err
		}
		fresh = append(fresh, a.registered(r.NewRegistered, id))
		if !r.Calibration.On.IsZero() {
			if err := enter(id, r.Calibration); err != nil {
				return nil, nil, err
			}
		}
	}
	for _, l := range p.Calibrations {
		if err := enter(l.Instrument, l.Now); err != nil {
			return nil, nil, err
		}
	}
	return fresh, events, nil
}

// sum makes the digest of everything that the plan shows.
func (p *RegisterPlan) sum() {
	h := sha256.New()
	said := func(n NewCalibration) []string {
		return []string{n.On.Format(time.DateOnly), n.Due.Format(time.DateOnly), n.Certificate, fmt.Sprint(n.Good), n.Words}
	}
	for _, r := range p.New {
		field(h, append([]string{r.Name, r.Serial, r.Measures, r.Resolution, r.Accuracy}, slices.Concat(r.Kinds, said(r.Calibration))...)...)
	}
	for _, l := range p.Calibrations {
		field(h, append(said(l.Now), l.Instrument.String(), l.Was.ID.String())...)
	}
	p.Digest = hex.EncodeToString(h.Sum(nil))
}
