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
	"witnessmark/internal/store"
)

// soonDays is how long before its day an instrument is said to be due (our own value).
const soonDays = 30

// RegisterRow is an instrument of the centre's register as it stands today.
type RegisterRow struct {
	store.Registered
	Doubt       decision.Doubt      // of a reading taken now
	Due         brief.Day           // the last day on which its calibration holds; "" where none is known
	Soon        bool                // that day is within thirty days
	Calibration store.RegisterEvent // the last that counts; zero where none is entered
	Checked     time.Time           // the last check in house; zero for none
}

// InUse says whether trainees may take it in hand.
func (r RegisterRow) InUse() bool { return r.RetiredAt.IsZero() }

// Register lists the centre's instruments as they stand today, those in use first, by name.
func (a *App) Register(ctx context.Context, c account.Caller) ([]RegisterRow, error) {
	if err := account.May(c, account.SeeRegister); err != nil {
		return nil, err
	}
	list, latest, err := a.db.Register(ctx, c.Centre)
	if err != nil {
		return nil, err
	}
	of := map[uuid.UUID][]store.RegisterEvent{}
	for _, e := range latest {
		of[e.Register] = append(of[e.Register], e)
	}
	rows := make([]RegisterRow, len(list))
	for i, g := range list {
		rows[i] = a.registerRow(g, of[g.ID])
	}
	return rows, nil
}

// RegisterPage is a page of the register, with how all of it stands.
type RegisterPage struct {
	Rows    []RegisterRow
	In      int // instruments that fit, on every page
	All     int // instruments of the register
	Page    Page
	Waits   RegisterWaits
	Waiting []RegisterRow // in use, and wrong, overdue or due soon, in this order
}

// FindRegister lists a page of the instruments whose name, serial number or kinds have all that was typed, in any order; nothing typed is
// every one. What waits is of the whole register, so all of it is read. Page counts from 1; one after the last is empty.
func (a *App) FindRegister(ctx context.Context, c account.Caller, typed string, page int) (p RegisterPage, err error) {
	rows, err := a.Register(ctx, c)
	if err != nil {
		return p, err
	}
	p.All, p.Waits, p.Waiting = len(rows), WaitsIn(rows), waitingIn(rows)
	words := searchWords(typed)
	rows = slices.DeleteFunc(rows, func(r RegisterRow) bool {
		said := strings.ToLower(strings.Join(append([]string{r.Name, r.Serial}, r.Kinds...), "\n"))
		return slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(said, w) })
	})
	var from int
	p.In = len(rows)
	p.Page, from = pageOf(page, listPage, p.In)
	p.Rows = rows[min(from, p.In):min(from+listPage, p.In)]
	return p, nil
}

// waitingIn are those in use that somebody has to see to: wrong, overdue, due soon.
func waitingIn(rows []RegisterRow) []RegisterRow {
	var wrong, overdue, soon []RegisterRow
	for _, r := range rows {
		switch {
		case !r.InUse(), r.Doubt == decision.Uncalibrated:
		case r.Doubt == decision.Overdue:
			overdue = append(overdue, r)
		case r.Doubt != "":
			wrong = append(wrong, r)
		case r.Soon:
			soon = append(soon, r)
		}
	}
	return slices.Concat(wrong, overdue, soon)
}

// registerRow says how an instrument stands, by what counts of its calibrations and checks.
func (a *App) registerRow(g store.Registered, events []store.RegisterEvent) RegisterRow {
	row := RegisterRow{Registered: g, Doubt: decision.DoubtOf(checkupsOf(events), a.now(), a.today())}
	for _, e := range events {
		switch {
		case !e.StruckAt.IsZero():
		case e.What == decision.Calibration:
			row.Due, row.Calibration = dayText(e.DueOn), e
		default:
			row.Checked = e.DoneAt
		}
	}
	soon := dayOf(a.now().AddDate(0, 0, soonDays))
	row.Soon = row.Doubt == "" && row.Due != "" && row.Due <= soon
	return row
}

// checkupsOf are the events that count, in their order.
func checkupsOf(events []store.RegisterEvent) []decision.Checkup {
	var cs []decision.Checkup
	for _, e := range events {
		if e.StruckAt.IsZero() {
			cs = append(cs, checkupOf(e))
		}
	}
	return cs
}

func checkupOf(e store.RegisterEvent) decision.Checkup {
	c := decision.Checkup{What: e.What, Good: e.Good, Due: dayText(e.DueOn), From: e.DoneAt, Until: e.DoneAt}
	if e.What == decision.Calibration {
		c.Until = e.DoneAt.In(London()).AddDate(0, 0, 1)
	}
	return c
}

// RegisterSheet is one instrument with all that was found of it, in the order in which it was done.
type RegisterSheet struct {
	RegisterRow
	Events   []RegisterEvent
	MayKeep  bool // calibrate, strike out, retire
	MayCheck bool
}

// RegisterEvent is a calibration or check in house; of one that found it wrong, with what it puts in question.
type RegisterEvent struct {
	store.RegisterEvent
	Touched store.TouchedSum
	From    time.Time // of the readings in question; zero where it was never known to read true
	To      time.Time // zero where it still is not known to
}

// Bad says whether it found the instrument wrong, and counts.
func (e RegisterEvent) Bad() bool { return !e.Good && e.StruckAt.IsZero() }

// badMost bounds how many events of one instrument are counted out on its page (our own value).
const badMost = 4

// OneOfRegister is one instrument of the register. Of the last few events that found it wrong it counts what they put in question.
func (a *App) OneOfRegister(ctx context.Context, c account.Caller, id uuid.UUID) (RegisterSheet, error) {
	if err := account.May(c, account.SeeRegister); err != nil {
		return RegisterSheet{}, err
	}
	g, events, err := a.db.OneOfRegister(ctx, c.Centre, id)
	if err != nil {
		return RegisterSheet{}, err
	}
	s := RegisterSheet{RegisterRow: a.registerRow(g, events), MayKeep: account.May(c, account.KeepRegister) == nil, MayCheck: account.May(c, account.CheckInHouse) == nil}
	for _, e := range events {
		s.Events = append(s.Events, RegisterEvent{RegisterEvent: e})
	}
	counted := 0
	for i := range slices.Backward(s.Events) {
		e := &s.Events[i]
		if !e.Bad() || counted == badMost {
			continue
		}
		counted++
		e.From, e.To = touchedSpan(events, e.ID)
		if e.Touched, err = a.db.TouchedSum(ctx, c.Centre, store.Touched{Register: id, Event: e.ID, From: e.From, To: e.To}); err != nil {
			return RegisterSheet{}, err
		}
	}
	return s, nil
}

// touchedSpan is the span of readings that one of the events puts in question.
func touchedSpan(events []store.RegisterEvent, id uuid.UUID) (from, to time.Time) {
	counting := slices.DeleteFunc(slices.Clone(events), func(e store.RegisterEvent) bool { return !e.StruckAt.IsZero() })
	i := slices.IndexFunc(counting, func(e store.RegisterEvent) bool { return e.ID == id })
	return decision.Touched(checkupsOf(counting), i)
}

// NewRegistered is an instrument to be put into the register.
type NewRegistered struct {
	Name, Serial, Measures, Resolution, Accuracy string
	Kinds                                        []string // as briefs name them
}

// Limits on what is typed of an instrument, in characters, and of kinds and points (our own values).
const (
	registerText = 200
	kindsMost    = 12
	pointsMost   = 40
)

// tidy takes away what does not matter.
func (n *NewRegistered) tidy() {
	for _, s := range []*string{&n.Name, &n.Serial, &n.Measures, &n.Resolution, &n.Accuracy} {
		*s = strings.TrimSpace(*s)
	}
	n.Kinds = kindsTyped(n.Kinds)
}

// registered is the row of an instrument that is new today.
func (a *App) registered(n NewRegistered, id uuid.UUID) store.Registered {
	return store.Registered{ID: id, Name: n.Name, Serial: n.Serial, Kinds: n.Kinds, Measures: n.Measures, Resolution: n.Resolution, Accuracy: n.Accuracy, AddedAt: a.now()}
}

// AddToRegister puts an instrument into the register.
func (a *App) AddToRegister(ctx context.Context, c account.Caller, n NewRegistered) (uuid.UUID, error) {
	if err := account.May(c, account.KeepRegister); err != nil {
		return uuid.Nil, err
	}
	n.tidy()
	if err := n.check(); err != nil {
		return uuid.Nil, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return t.AddRegistered(ctx, a.registered(n, id), c.Person)
	})
}

// KindsIn are the kinds in a text, with semicolons or line ends between: a kind may have a comma, as in "gauge, 0 to 4 bar".
func KindsIn(text string) []string {
	return kindsTyped(strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '\n' }))
}

// kindsTyped is kinds in small letters, each once.
func kindsTyped(kinds []string) []string {
	var out []string
	for _, k := range kinds {
		if k = strings.ToLower(strings.Join(strings.Fields(k), " ")); k != "" && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

func (n NewRegistered) check() error {
	long := func(s string) bool {
		return utf8.RuneCountInString(s) > registerText || strings.ContainsFunc(s, unkept)
	}
	switch {
	case n.Name == "" || long(n.Name):
		return fault.Invalid("name", "Give it the name by which people here know it, in at most %d letters.", registerText)
	case strings.Trim(n.Serial, " ./_-") == "" || utf8.RuneCountInString(n.Serial) > serialMost || strings.ContainsFunc(n.Serial, unkept):
		return fault.Invalid("serial", "Type the serial number as it stands on the label, in at most %d characters.", serialMost)
	case len(n.Kinds) == 0 || len(n.Kinds) > kindsMost || slices.ContainsFunc(n.Kinds, long):
		return fault.Invalid("kinds", "Say which kinds of instrument it is, as briefs name them, at most %d.", kindsMost)
	case long(n.Measures):
		return fault.Invalid("measures", "Say it in at most %d letters.", registerText)
	case long(n.Resolution):
		return fault.Invalid("resolution", "Say it in at most %d letters.", registerText)
	case long(n.Accuracy):
		return fault.Invalid("accuracy", "Say it in at most %d letters.", registerText)
	}
	return nil
}

// RetireFromRegister takes an instrument out of use. What was read with it stays as it is.
func (a *App) RetireFromRegister(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	words, err := a.keeping(c, words)
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if _, _, err := t.OneOfRegister(ctx, id); err != nil {
			return err
		}
		return t.RetireRegistered(ctx, id, c.Person, a.now(), words)
	})
}

// keeping says whether the caller keeps the register, and why they do what they do.
func (a *App) keeping(c account.Caller, words string) (string, error) {
	if err := account.May(c, account.KeepRegister); err != nil {
		return "", err
	}
	return needWords(words)
}

// needWords is what somebody said, which is not nothing.
func needWords(words string) (string, error) {
	words = strings.TrimSpace(words)
	if words == "" || utf8.RuneCountInString(words) > textMost || strings.ContainsFunc(words, unkept) {
		return "", fault.Invalid("words", "Say why, in at most %d characters, so that whoever reads this later can follow you.", textMost)
	}
	return words, nil
}
