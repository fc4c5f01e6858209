package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// NewCalibration is what a certificate says.
type NewCalibration struct {
	ID          uuid.UUID // made with the form: the same again has no effect
	On          time.Time // a date
	Good        bool      // within what it has to be, as it came
	Certificate string
	Due         time.Time // a date: the last day on which it holds; zero only where it was found wrong
	Points      []store.RegisterPoint
	Words       string // of one that is not good, what was found
}

// Calibrate enters a calibration. One that found the instrument wrong puts readings in question; nothing is undone by it.
func (a *App) Calibrate(ctx context.Context, c account.Caller, id uuid.UUID, n NewCalibration) error {
	if err := account.May(c, account.KeepRegister); err != nil {
		return err
	}
	n.Certificate, n.Words = strings.TrimSpace(n.Certificate), strings.TrimSpace(n.Words)
	if err := n.check(date(a.today())); err != nil {
		return err
	}
	return a.addEvent(ctx, c, n.event(id))
}

// event is the calibration as the register keeps it of an instrument: without the hour, which nobody knows.
func (n NewCalibration) event(instrument uuid.UUID) store.RegisterEvent {
	y, m, d := n.On.Date()
	return store.RegisterEvent{
		ID: n.ID, Register: instrument, What: decision.Calibration, DoneAt: time.Date(y, m, d, 0, 0, 0, 0, London()), Good: n.Good,
		Certificate: n.Certificate, DueOn: n.Due, Points: n.Points, Words: n.Words,
	}
}

func (n NewCalibration) check(today time.Time) error {
	switch {
	case n.On.IsZero():
		return fault.Invalid("on", "Choose the day of the calibration, as the certificate has it.")
	case n.On.After(today):
		return fault.Invalid("on", "That day is still to come.")
	case n.Certificate == "" || tooLong(n.Certificate, registerText):
		return fault.Invalid("certificate", "Type the number of the certificate, in at most %d characters.", registerText)
	case n.Good && n.Due.IsZero():
		return fault.Invalid("due", "Choose the last day on which this calibration holds.")
	case !n.Due.IsZero() && n.Due.Before(n.On):
		return fault.Invalid("due", "That is before the calibration.")
	case len(n.Points) > pointsMost || slices.ContainsFunc(n.Points, func(p store.RegisterPoint) bool {
		return p.At == "" || p.Error == "" || tooLong(p.At+p.Error, registerText) || !strings.ContainsAny(p.At, "0123456789") || !strings.ContainsAny(p.Error, "0123456789")
	}):
		return fault.Invalid("points", "Write each point on a line of its own, as the value and the difference that was found there: 60 °C: +0.3 K. There is room for %d.", pointsMost)
	}
	return wrongNeedsWords(n.Good, n.Words)
}

func tooLong(s string, most int) bool {
	return utf8.RuneCountInString(s) > most || strings.ContainsFunc(s, unkept)
}

func wrongNeedsWords(good bool, words string) error {
	if !good && words == "" || tooLong(words, textMost) {
		return fault.Invalid("words", "Say what was found, in at most %d characters.", textMost)
	}
	return nil
}

// NewInHouse is a check that was done in house.
type NewInHouse struct {
	ID    uuid.UUID // made with the form: the same again has no effect
	What  decision.Check
	At    time.Time // zero for now
	Found string    // what it read
	Good  bool
	Words string // of one that is not good, what was found
}

// CheckInHouse enters a check that was done in house.
func (a *App) CheckInHouse(ctx context.Context, c account.Caller, id uuid.UUID, n NewInHouse) error {
	if err := account.May(c, account.CheckInHouse); err != nil {
		return err
	}
	n.Found, n.Words = strings.TrimSpace(n.Found), strings.TrimSpace(n.Words)
	if n.At.IsZero() {
		n.At = a.now()
	}
	switch {
	case !slices.Contains(decision.Checks(), n.What):
		return fault.Invalid("what", "Choose which check it was.")
	case n.At.After(a.now().Add(decision.ClockSlack)):
		return fault.Invalid("at", "That is still to come.")
	case n.Found == "" || tooLong(n.Found, registerText):
		return fault.Invalid("found", "Type what it read, in at most %d characters.", registerText)
	}
	if err := wrongNeedsWords(n.Good, n.Words); err != nil {
		return err
	}
	return a.addEvent(ctx, c, store.RegisterEvent{ID: n.ID, Register: id, What: n.What, DoneAt: n.At.Truncate(time.Microsecond), Good: n.Good, Found: n.Found, Words: n.Words})
}

func (a *App) addEvent(ctx context.Context, c account.Caller, e store.RegisterEvent) error {
	if e.ID == uuid.Nil {
		return fault.Invalid("id", "Every entry needs an id of its own. Load the page again.")
	}
	e.EnteredAt = a.now()
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if _, _, err := t.OneOfRegister(ctx, e.Register); err != nil {
			return err
		}
		return t.AddRegisterEvent(ctx, e, c.Person)
	})
}

// StrikeCheckup says that a calibration or check was entered by mistake, so that it counts no more. It stays to be read.
func (a *App) StrikeCheckup(ctx context.Context, c account.Caller, id, event uuid.UUID, words string) error {
	words, err := a.keeping(c, words)
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		_, events, err := t.OneOfRegister(ctx, id)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(events, func(e store.RegisterEvent) bool { return e.ID == event }) {
			return hidden("calibration or check")
		}
		return t.StrikeRegisterEvent(ctx, event, c.Person, a.now(), words)
	})
}
