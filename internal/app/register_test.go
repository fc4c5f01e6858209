package app_test

import (
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// registered puts an ohmmeter with the serial number into the register.
func (c *centre) registered(t *testing.T, serial string) uuid.UUID {
	t.Helper()
	id, err := c.AddToRegister(t.Context(), c.manager, app.NewRegistered{Name: "Ohmmeter", Serial: serial, Kinds: []string{"  Low-resistance  Ohmmeter"}})
	must(t, err)
	return id
}

// calibrated enters a calibration so many days before now.
func (c *centre) calibrated(t *testing.T, id uuid.UUID, daysAgo int, good bool, due brief.Day) uuid.UUID {
	t.Helper()
	n := app.NewCalibration{ID: uuid.New(), On: c.now.AddDate(0, 0, -daysAgo).Truncate(24 * time.Hour), Good: good, Certificate: "C-1"}
	if good {
		n.Due = day(t, due)
	} else {
		n.Words = "0.1 Ω too low throughout."
	}
	must(t, c.Calibrate(t.Context(), c.manager, id, n))
	return n.ID
}

func day(t *testing.T, d brief.Day) time.Time {
	t.Helper()
	at, err := time.Parse(time.DateOnly, string(d))
	must(t, err)
	return at
}

// blockedBy says whether the tutor is kept from "met" for a reason that holds the words.
func (c *centre) blockedBy(t *testing.T, id uuid.UUID, words string) bool {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	for _, k := range s.Criteria {
		if strings.Contains(strings.Join(k.Blocked, " "), words) {
			return true
		}
	}
	return false
}

// handedWith hands the sample brief over, its continuity read with the ohmmeter of a serial number.
func (c *centre) handedWith(t *testing.T, serial string) (attempt, hand uuid.UUID) {
	t.Helper()
	ctx := t.Context()
	attempt = c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, attempt, true, true))
	hand = c.inHand(t, attempt, serial, "")
	entries := c.model(t, attempt)
	for i := range entries {
		if entries[i].Item == "continuity" {
			entries[i].Instrument = hand
		}
	}
	c.photos(t, attempt)
	c.typed(t, attempt, entries)
	must(t, c.HandOver(ctx, c.trainee, attempt, nil, true))
	c.mark(t, attempt)
	return attempt, hand
}

// The serial number is typed in many ways; what the register says of the instrument counts, and an overdue one keeps a
// safety-critical criterion from being met until somebody accepts the reading with a reason.
func TestOverdueInstrumentBlocks(t *testing.T) {
	c := newCentre(t)
	id := c.registered(t, "OM-21 0443")
	attempt, _ := c.handedWith(t, "om210443")
	const overdue = "its instrument was overdue for calibration"
	if w := c.itemOf(t, attempt, "continuity").Lines[0].Entry.With; w.Register != id || w.Doubt != decision.Uncalibrated || !c.blockedBy(t, attempt, "its instrument had no calibration that the register knows of") {
		t.Errorf("with nothing known of it: %+v", w)
	}
	c.calibrated(t, id, 400, true, brief.Day(c.now.AddDate(0, 0, -35).Format(time.DateOnly)))
	if w := c.itemOf(t, attempt, "continuity").Lines[0].Entry.With; !w.OutOfDate || !c.blockedBy(t, attempt, overdue) {
		t.Errorf("overdue: %+v, blocked %v", w, c.blockedBy(t, attempt, overdue))
	}
	s, err := c.Sheet(t.Context(), c.tutor, attempt)
	must(t, err)
	must(t, c.Override(t.Context(), c.tutor, attempt, s.Revision, app.Override{Item: "continuity", Phase: brief.NoPhase, Verdict: marking.Correct, Words: "I measured it beside them."}))
	if c.blockedBy(t, attempt, overdue) {
		t.Error("accepted with a reason, and blocked still")
	}
	c.calibrated(t, id, 20, true, brief.Day(c.now.AddDate(1, 0, 0).Format(time.DateOnly)))
	if w := c.itemOf(t, attempt, "continuity").Lines[0].Entry.With; w.Wrong() != "" {
		t.Errorf("calibrated in time after all: %+v", w)
	}
}

// A trainee is offered what the register has in use of the kinds that the brief names, each with how its calibration stands; what is chosen
// there goes by the register's own day.
func TestRegisterIsOffered(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	in := func(days int) brief.Day { return brief.Day(c.now.AddDate(0, 0, days).Format(time.DateOnly)) }
	good, old, wrong, gone := c.registered(t, "A 1"), c.registered(t, "B 2"), c.registered(t, "C 3"), c.registered(t, "D 4")
	c.registered(t, "E 5")
	c.calibrated(t, good, 10, true, in(300))
	c.calibrated(t, old, 400, true, in(-35))
	c.calibrated(t, wrong, 5, false, "")
	must(t, c.RetireFromRegister(ctx, c.manager, gone, "Dropped."))
	attempt := c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, attempt, true, true))
	offered := func(who account.Caller) map[string]string {
		t.Helper()
		s, err := c.Sheet(ctx, who, attempt)
		must(t, err)
		got := map[string]string{}
		for _, st := range s.Stages {
			for _, k := range st.Instruments {
				for _, o := range k.Choices {
					got[o.Serial] = o.Words
				}
			}
		}
		return got
	}
	got := offered(c.trainee)
	want := map[string]string{"A 1": "Ohmmeter, calibration due " + day(t, in(300)).Format("2 January 2006"), "B 2": "Ohmmeter, overdue for calibration",
		"C 3": "Ohmmeter, found to read wrong", "E 5": "Ohmmeter, no calibration known"}
	if !maps.Equal(got, want) {
		t.Errorf("offered are %q, want %q", got, want)
	}
	if got := offered(c.tutor); len(got) != 0 {
		t.Errorf("a tutor, who reads nothing, is offered %q", got)
	}
	c.inHand(t, attempt, "A 1", "")
	s, err := c.Sheet(ctx, c.trainee, attempt)
	must(t, err)
	for _, st := range s.Stages {
		for _, k := range st.Instruments {
			if k.Serial == "A 1" && (k.Due != in(300) || k.OutOfDate) {
				t.Errorf("in hand is %+v, want it due %s", k.Instrument, in(300))
			}
		}
	}
}

// What a safety-critical choice is worked from blocks it as well: the bore goes back to a flow rate whose meter was found wrong, until
// the tutor accepts the choice or the reading with a reason.
func TestWhatRestsOnABadInstrumentBlocks(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, err := c.AddToRegister(ctx, c.manager, app.NewRegistered{Name: "Flow meter", Serial: "FM-3", Kinds: []string{"flow meter"}})
	must(t, err)
	bad := c.calibrated(t, id, 1, false, "")
	attempt := c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, attempt, true, true))
	hand := decision.Instrument{ID: newID(t), Kind: "flow meter", Serial: "FM-3"}
	must(t, c.ChooseInstrument(ctx, c.trainee, attempt, app.NewInstrument{Instrument: hand, ChosenAt: c.now}))
	entries := c.model(t, attempt)
	for i := range entries {
		if entries[i].Item == "qv" {
			entries[i].Instrument = hand.ID
		}
	}
	c.photos(t, attempt)
	c.typed(t, attempt, entries)
	must(t, c.HandOver(ctx, c.trainee, attempt, nil, true))
	c.mark(t, attempt)
	const why = "Tube size is safety-critical and is worked from Flow rate, whose instrument had been found to read wrong"
	if !c.blockedBy(t, attempt, why) {
		t.Error("the choice is not blocked by the reading that it is worked from")
	}
	s, err := c.Sheet(ctx, c.tutor, attempt)
	must(t, err)
	if err := c.Decide(ctx, c.tutor, attempt, s.Revision, decision.Judgement{Criterion: "H2/2.1", Outcome: decision.Met}); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("decided as met: %v", err)
	}
	must(t, c.Override(ctx, c.tutor, attempt, s.Revision, app.Override{Item: "tube", Verdict: marking.Correct, Words: "The bore is two sizes up: even twice the flow fits."}))
	if c.blockedBy(t, attempt, why) {
		t.Error("accepted with a reason, and blocked still")
	}
	must(t, c.Decide(ctx, c.tutor, attempt, s.Revision+1, decision.Judgement{Criterion: "H2/2.1", Outcome: decision.Met}))
	l, err := c.TouchedBy(ctx, c.tutor, id, bad, 1)
	if err != nil || len(l.Attempts) != 1 || len(l.Attempts[0].Rests) != 1 || l.Attempts[0].Rests[0].Subject != "H2/2.1" {
		t.Errorf("the list of what rests on it: %+v, %v; want the decision on the choice", l.Attempts, err)
	}
}

// A failed calibration lists what was read since the last good one with what rests on it; nothing is undone; struck out, it
// touches nothing.
func TestFailedCalibrationTouches(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.registered(t, "OM-1")
	c.calibrated(t, id, 100, true, brief.Day(c.now.AddDate(1, 0, 0).Format(time.DateOnly)))
	attempt, _ := c.handedWith(t, "OM 1")
	s, err := c.Sheet(ctx, c.tutor, attempt)
	must(t, err)
	var ref string
	for _, k := range s.Criteria {
		for _, item := range k.Items {
			if item == "continuity" {
				ref = k.Ref
			}
		}
	}
	must(t, c.Decide(ctx, c.tutor, attempt, s.Revision, decision.Judgement{Criterion: ref, Outcome: decision.Met}))
	c.now = c.now.AddDate(0, 0, 5)
	bad := c.calibrated(t, id, 1, false, "")
	l, err := c.TouchedBy(ctx, c.tutor, id, bad, 1)
	must(t, err)
	if len(l.Attempts) != 1 || len(l.Attempts[0].Readings) != 1 || len(l.Attempts[0].Rests) != 1 || l.Attempts[0].Rests[0].Subject != ref || !l.Attempts[0].Readings[0].Safety {
		t.Fatalf("touched are %+v", l.Attempts)
	}
	s, err = c.Sheet(ctx, c.tutor, attempt)
	must(t, err)
	if decision.Judged(s.Records, ref) == nil {
		t.Error("the decision was undone by itself")
	}
	if w := c.itemOf(t, attempt, "continuity").Lines[0].Entry.With; w.Doubt != decision.InQuestion {
		t.Errorf("the reading is %+v", w)
	}
	if l, err := c.TouchedBy(ctx, c.other, id, bad, 1); err != nil || len(l.Attempts) != 0 {
		t.Errorf("a tutor of another cohort sees %+v, %v", l.Attempts, err)
	}
	look := app.Look{ID: uuid.New(), Outcome: app.TouchedAgain, Words: "Measure it with another."}
	for _, x := range []struct {
		who  account.Caller
		want fault.Kind
	}{{c.trainee, fault.KindForbidden}, {c.other, fault.KindNotFound}, {c.manager, fault.KindForbidden}} {
		if err := c.LookAtTouched(ctx, x.who, id, bad, attempt, look); fault.KindOf(err) != x.want {
			t.Errorf("%s looks: %v", x.who.Name, err)
		}
	}
	must(t, c.LookAtTouched(ctx, c.tutor, id, bad, attempt, look))
	l, err = c.TouchedBy(ctx, c.tutor, id, bad, 1)
	must(t, err)
	if l.Event.Touched.Waiting != 0 || l.Attempts[0].Outcome != app.TouchedAgain || l.Attempts[0].LookedName != c.tutor.Name {
		t.Errorf("after the look: %+v", l)
	}
	must(t, c.StrikeCheckup(ctx, c.manager, id, bad, "It was another instrument's certificate."))
	if err := c.StrikeCheckup(ctx, c.manager, id, bad, "Twice."); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("struck out twice: %v", err)
	}
	if w := c.itemOf(t, attempt, "continuity").Lines[0].Entry.With; w.Wrong() != "" {
		t.Errorf("struck out: %+v", w)
	}
	if _, err := c.TouchedBy(ctx, c.tutor, id, bad, 1); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("what a struck event touches: %v", err)
	}
	// Round the program: the database keeps a trainee from looking at their own work.
	conn, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, `INSERT INTO register_look (centre_id, look_id, event_id, attempt_id, outcome, words, by_id, at) VALUES ($1, $2, $3, $4, 'stands', 'Fine.', $5, now())`,
		c.id, uuid.New(), bad, attempt, c.trainee.Person)
	if err == nil || !strings.Contains(err.Error(), "own work") {
		t.Errorf("the database takes a trainee's look at their own work: %v", err)
	}
}

// What waits in the register, as its page and the page of the centre count it.
func TestRegisterReminds(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	in := func(days int) brief.Day { return brief.Day(c.now.AddDate(0, 0, days).Format(time.DateOnly)) }
	for serial, due := range map[string]brief.Day{"A": in(-1), "B": in(30), "C": in(31)} {
		c.calibrated(t, c.registered(t, serial), 60, true, due)
	}
	c.registered(t, "D")
	wrong := c.registered(t, "E")
	c.calibrated(t, wrong, 60, true, in(200))
	must(t, c.CheckInHouse(ctx, c.tutor, wrong, app.NewInHouse{ID: uuid.New(), What: decision.ProvingUnit, Found: "dead", Words: "Its lead is broken."}))
	w, err := c.RegisterWaits(ctx, c.manager)
	must(t, err)
	if want := (app.RegisterWaits{Wrong: 1, Overdue: 1, Soon: 1, Uncalibrated: 1}); w != want {
		t.Errorf("waits %+v, want %+v", w, want)
	}
	k, err := c.CentreWaits(ctx, c.manager)
	must(t, err)
	if k.Instruments != 3 {
		t.Errorf("the centre's page counts %d, want 3", k.Instruments)
	}
	c.now = c.now.Add(time.Minute)
	must(t, c.CheckInHouse(ctx, c.tutor, wrong, app.NewInHouse{ID: uuid.New(), What: decision.ProvingUnit, Found: "all lamps", Good: true}))
	if w, err = c.RegisterWaits(ctx, c.manager); err != nil || w.Wrong != 0 {
		t.Errorf("put right: %+v, %v", w, err)
	}
	must(t, c.RetireFromRegister(ctx, c.manager, wrong, "Its lead broke again."))
	if err := c.RetireFromRegister(ctx, c.manager, wrong, "Again."); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("retired twice: %v", err)
	}
}
