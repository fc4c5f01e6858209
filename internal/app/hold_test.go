package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// behindWire is the sample brief with what is measured safety-critical: that stage has no hold point of its own, and stands behind the one
// before the controls.
func behindWire() *brief.Brief {
	b := sample.Brief()
	tr := b.Stages[2].Items[2].Reading
	tr.Safety, tr.CheckWithin = true, "0.5 K"
	return b
}

// tookReturn does that brief, the return temperature typed ten minutes before the release of the controls' hold point.
func (c *centre) tookReturn(t *testing.T) uuid.UUID {
	t.Helper()
	id := c.setBrief(t, behindWire())
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	of := func(e app.NewEntry) bool { return e.Item == "tr" }
	all := c.model(t, id)
	early := all[slices.IndexFunc(all, of)]
	early.CapturedAt, early.PhoneClock = c.now.Add(-10*time.Minute), app.PhoneClock{SentAt: c.now, Believed: new(int64)}
	must(t, c.RecordEntries(t.Context(), c.trainee, id, []app.NewEntry{early}))
	c.typed(t, id, slices.DeleteFunc(all, of))
	must(t, c.EnterCheckReading(t.Context(), c.tutor, id, app.CheckReading{Item: "tr", Phase: brief.AsLeft}, password))
	c.photos(t, id)
	return id
}

// What was measured at a stage without a hold point of its own, before that of an earlier stage was released, is marked, asked about and
// carries no "met" by itself; each says whose hold point is meant.
func TestReadingBehindAnEarlierHoldPoint(t *testing.T) {
	c := newCentre(t)
	id := c.tookReturn(t)
	must(t, c.HandOver(t.Context(), c.trainee, id, nil, true))
	s := c.mark(t, id)
	if l := lineOf(t, s, "tr"); l.Entry.Order != decision.Before || l.Entry.HoldOf != 2 {
		t.Errorf("it is marked %q of stage %d, want before that of stage 2", l.Entry.Order, l.Entry.HoldOf)
	}
	if l := lineOf(t, s, "qv"); l.Entry.Order != decision.After || l.Entry.HoldOf != 2 {
		t.Errorf("what came after is marked %q of stage %d", l.Entry.Order, l.Entry.HoldOf)
	}
	if l := lineOf(t, s, "dt"); l.Entry.Order != "" {
		t.Errorf("what is worked out is marked %q", l.Entry.Order)
	}
	if got := c.blocks(t, id); !strings.Contains(got, "it was put down before the hold point of stage 2 (Controls) was released") {
		t.Errorf("against met stands %q", got)
	}
	if !slices.ContainsFunc(s.Asks, func(a app.Ask) bool {
		return a.Item == "tr" && strings.Contains(a.Text, "before the hold point of stage 2 (Controls) was released at ")
	}) {
		t.Errorf("it is not asked about: %+v", s.Asks)
	}
	met := func() error {
		return c.Decide(t.Context(), c.tutor, id, c.sheet(t, id).Revision, decision.Judgement{Criterion: "H2/1.2", Outcome: decision.Met})
	}
	wantKind(t, "met", met(), fault.KindConflict)
	must(t, c.Override(t.Context(), c.tutor, id, c.sheet(t, id).Revision, app.Override{Item: "tr", Phase: brief.AsLeft, Verdict: marking.Correct, Words: "I stood beside them and read it."}))
	must(t, met())
}

// While the hold point stands, the stages behind it say so to the trainee.
func TestStagesSayWhatTheyWaitFor(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	waits := func() (of []int) {
		s, err := c.Sheet(t.Context(), c.trainee, id)
		must(t, err)
		for _, st := range s.Stages {
			of = append(of, st.Behind)
		}
		return of
	}
	if got, want := waits(), []int{0, 0, 2, 0}; !slices.Equal(got, want) {
		t.Errorf("the stages wait for %v, want %v: the second has the hold point, at the last nothing is done at the rig", got, want)
	}
	c.typed(t, id, c.model(t, id))
	if got := waits(); !slices.Equal(got, []int{0, 0, 0, 0}) {
		t.Errorf("released, and the stages wait for %v", got)
	}
}

// What is done again in the next attempt stands behind no hold point before a stage all of whose work was carried over: nobody works there
// again, and nobody releases it. Where one thing is to be done again there, it stands.
func TestNextAttemptBehindAHoldPointThatWasPassed(t *testing.T) {
	for _, c := range []struct {
		name   string
		noise  string   // the criterion that the noise of the pump, behind the hold point, bears on
		again  []string // criteria that are not met in the first attempt
		order  decision.Order
		holdOf int
	}{
		{"measured again", "H2/1.2", []string{"H2/2.1"}, "", 0},
		{"with some of the work behind the hold point", "H2/2.1", []string{"H2/2.1"}, decision.Before, 2},
		{"with all of it", "H2/1.2", []string{"H2/1.2", "H2/2.1"}, decision.Before, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := newCentre(t)
			b := behindWire()
			b.Stages[2].Items[2].Criteria, b.Stages[1].Items[1].Criteria = []string{"H2/2.1"}, []string{c.noise}
			next := n.sentOn(t, n.setBrief(t, b), c.again)
			n.now = n.now.AddDate(0, 0, 1)
			must(t, n.OpenAttempt(t.Context(), n.trainee, next, true, true))
			n.now = n.now.Add(time.Hour)
			must(t, n.RecordEntries(t.Context(), n.trainee, next, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "tr", Phase: brief.AsLeft, Text: "51.3"},
				CapturedAt: n.now.Add(-time.Minute), PhoneClock: app.PhoneClock{SentAt: n.now, Believed: new(int64)}}}))
			if l := lineOf(t, n.sheet(t, next), "tr"); l.Entry.Order != c.order || l.Entry.HoldOf != c.holdOf {
				t.Errorf("done again it is marked %q of stage %d, want %q of %d", l.Entry.Order, l.Entry.HoldOf, c.order, c.holdOf)
			}
		})
	}
}

// sentOn does an attempt at a brief, decides every criterion met but those, and gives the next attempt.
func (c *centre) sentOn(t *testing.T, id uuid.UUID, again []string) uuid.UUID {
	t.Helper()
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	c.typed(t, id, c.model(t, id))
	must(t, c.EnterCheckReading(t.Context(), c.tutor, id, app.CheckReading{Item: "tr", Phase: brief.AsLeft}, password))
	c.photos(t, id)
	must(t, c.HandOver(t.Context(), c.trainee, id, nil, true))
	s := c.mark(t, id)
	for _, k := range s.Criteria {
		o := decision.Met
		if slices.Contains(again, k.Ref) {
			o = decision.NotYetMet
		}
		s = c.decide(t, id, k.Ref, o)
	}
	must(t, c.AskForMore(t.Context(), c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
	tasks, err := c.MyTasks(t.Context(), c.trainee)
	must(t, err)
	return tasks[0].Attempt
}

// lineOf is the last line of an item.
func lineOf(t *testing.T, s app.Sheet, item string) app.SheetLine {
	t.Helper()
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == item && it.Lines[len(it.Lines)-1].Entry != nil {
				return it.Lines[len(it.Lines)-1]
			}
		}
	}
	t.Fatalf("nothing stands in %s", item)
	return app.SheetLine{}
}
