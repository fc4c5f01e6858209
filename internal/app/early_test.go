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

const early = "was put down before the hold point of its stage was released"

// blocks lists what keeps the criterion that the stage behind the hold point bears on from being met.
func (c *centre) blocks(t *testing.T, id uuid.UUID) string {
	t.Helper()
	for _, cr := range c.sheet(t, id).Criteria {
		if cr.Ref == "H2/1.2" {
			return strings.Join(cr.Blocked, " ")
		}
	}
	return ""
}

// noise types how the pump sounds.
func (c *centre) noise(t *testing.T, id uuid.UUID, captured time.Time, clock app.PhoneClock) {
	t.Helper()
	must(t, c.RecordEntries(t.Context(), c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "noise", Text: "quiet"}, CapturedAt: captured, PhoneClock: clock}}))
}

// workedWith does the sample brief, how the pump sounds typed at one time by one phone, which has signal an hour after the release.
func (c *centre) workedWith(t *testing.T, captured func(released time.Time) (time.Time, app.PhoneClock)) uuid.UUID {
	t.Helper()
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	entries := slices.DeleteFunc(c.model(t, id), func(e app.NewEntry) bool { return e.Item == "noise" })
	c.typed(t, id, entries)
	released := c.now
	c.now = c.now.Add(time.Hour)
	at, clock := captured(released)
	c.noise(t, id, at, clock)
	c.photos(t, id)
	must(t, c.HandOver(t.Context(), c.trainee, id, nil, true))
	c.mark(t, id)
	return id
}

// A safety-critical line that was captured before the release, by the phone's clock put right, carries no "met" until a tutor says with
// a reason why they accept it; where the clock is not known that is said as a doubt.
func TestReadingBeforeTheReleaseBlocks(t *testing.T) {
	ms := int64(-20 * 60_000)
	for name, w := range map[string]struct {
		captured func(time.Time) (time.Time, app.PhoneClock)
		want     string // "" where nothing blocks
	}{
		"ten minutes before": {func(r time.Time) (time.Time, app.PhoneClock) {
			return r.Add(-10 * time.Minute), app.PhoneClock{SentAt: r.Add(time.Hour), Believed: new(int64)}
		}, early},
		"before, by a phone twenty minutes fast": {func(r time.Time) (time.Time, app.PhoneClock) {
			return r.Add(10 * time.Minute), app.PhoneClock{SentAt: r.Add(80 * time.Minute), Believed: &ms}
		}, early},
		"after, sent late": {func(r time.Time) (time.Time, app.PhoneClock) {
			return r.Add(10 * time.Minute), app.PhoneClock{SentAt: r.Add(time.Hour), Believed: new(int64)}
		}, ""},
		"by a phone that says nothing of its clock": {func(r time.Time) (time.Time, app.PhoneClock) { return r.Add(-10 * time.Minute), app.PhoneClock{} }, "nothing proves that it was put down after"},
		"by a phone whose clock was set meanwhile": {func(r time.Time) (time.Time, app.PhoneClock) {
			return r.Add(10 * time.Minute), app.PhoneClock{SentAt: r.Add(time.Hour), Believed: &ms}
		}, "nothing proves that it was put down after"},
	} {
		t.Run(name, func(t *testing.T) {
			c := newCentre(t)
			id := c.workedWith(t, w.captured)
			got := c.blocks(t, id)
			if (got == "") != (w.want == "") || !strings.Contains(got, w.want) {
				t.Fatalf("against met stands %q, want %q", got, w.want)
			}
			met := func() error {
				return c.Decide(t.Context(), c.tutor, id, c.sheet(t, id).Revision, decision.Judgement{Criterion: "H2/1.2", Outcome: decision.Met})
			}
			if w.want == "" {
				must(t, met())
				return
			}
			wantKind(t, "met", met(), fault.KindConflict)
			must(t, c.Override(t.Context(), c.tutor, id, c.sheet(t, id).Revision, app.Override{Item: "noise", Phase: brief.NoPhase, Verdict: marking.Correct, Words: "I stood beside them and heard it."}))
			must(t, met())
		})
	}
}

// Done again after the release, the line of before counts no more.
func TestDoneAgainAfterTheRelease(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	c.noise(t, id, c.now.Add(-time.Minute), app.PhoneClock{SentAt: c.now, Believed: new(int64)})
	c.typed(t, id, c.model(t, id))
	c.photos(t, id)
	must(t, c.HandOver(t.Context(), c.trainee, id, nil, true))
	c.mark(t, id)
	if got := c.blocks(t, id); got != "" {
		t.Errorf("done again after the release, and blocked: %s", got)
	}
}

// What is not safety-critical stays something to ask.
func TestNotSafetyCriticalStaysAQuestion(t *testing.T) {
	c := newCentre(t)
	b := sample.Brief()
	b.Stages[1].Items[1].Observation.Safety = false
	id := c.setBrief(t, b)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	c.typed(t, id, slices.DeleteFunc(c.model(t, id), func(e app.NewEntry) bool { return e.Item == "noise" }))
	c.noise(t, id, c.now.Add(-time.Minute), app.PhoneClock{SentAt: c.now, Believed: new(int64)})
	c.photos(t, id)
	must(t, c.HandOver(t.Context(), c.trainee, id, nil, true))
	c.mark(t, id)
	if got := c.blocks(t, id); got != "" {
		t.Errorf("not safety-critical, and blocked: %s", got)
	}
	if !slices.ContainsFunc(c.sheet(t, id).Asks, func(a app.Ask) bool { return a.Item == "noise" && strings.Contains(a.Text, "before the hold point") }) {
		t.Errorf("it is not asked about: %+v", c.sheet(t, id).Asks)
	}
}
