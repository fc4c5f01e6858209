package app_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

func TestACheckReadingAsksForThePassword(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	r := app.CheckReading{Item: "continuity", Text: "0.12"}
	wantKind(t, "a wrong password", c.EnterCheckReading(ctx, c.tutor, id, r, "not this one"), fault.KindInvalid)
	// Who may not check learns nothing of a password.
	wantKind(t, "the trainee", c.EnterCheckReading(ctx, c.trainee, id, r, "not this one"), fault.KindForbidden)
	wantKind(t, "a stranger", c.EnterCheckReading(ctx, c.other, id, r, "not this one"), fault.KindNotFound)
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if len(s.Records) != 0 {
		t.Fatalf("a refused check left %+v", s.Records)
	}
	must(t, c.EnterCheckReading(ctx, c.tutor, id, r, password))
	s, err = c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if len(s.Records) != 1 || s.Records[0].Value != "0.12" || s.Records[0].ByName != c.tutor.Name || !s.Records[0].At.Equal(c.now) {
		t.Errorf("the check is kept as %+v", s.Records)
	}
}

func TestObserving(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	in := decision.Observation{Subject: "continuity", Outcome: decision.SteppedIn, Words: "The lead was live."}
	wantKind(t, "before it is started", c.Observe(ctx, c.tutor, id, in), fault.KindConflict)
	c.do(t, id)
	must(t, c.Observe(ctx, c.tutor, id, in))
	must(t, c.Observe(ctx, c.tutor, id, decision.Observation{Subject: "continuity", Outcome: decision.Seen, Took: time.Minute}))
	sheet := c.mark(t, id)
	met := decision.Judgement{Criterion: "H3/1.10", Outcome: decision.Met}
	if err := c.Decide(ctx, c.tutor, id, sheet.Revision, met); fault.KindOf(err) != fault.KindConflict || !strings.Contains(err.Error(), "stepped in") {
		t.Errorf("met where a tutor stepped in: %v, want a Conflict that says so", err)
	}
	must(t, c.Observe(ctx, c.tutor, id, decision.Observation{Subject: "continuity", Outcome: decision.TakenBack, Words: "It was the next bay."}))
	sheet, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	must(t, c.Decide(ctx, c.tutor, id, sheet.Revision, met))
}

// A stop holds the spanner: what a phone captured before it still comes in, what came after does not.
func TestWhatComesInWhileStopped(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	stopped := c.now
	must(t, c.SafetyStop(ctx, c.tutor, id, ""))
	must(t, c.SafetyStop(ctx, c.second, id, "Water by the spur."))
	wantKind(t, "stopping again without a word", c.SafetyStop(ctx, c.tutor, id, " "), fault.KindConflict)
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if stops := decision.Stops(s.Records); len(stops) != 2 || stops[1].ByName != c.second.Name {
		t.Errorf("the stops that stand: %+v", stops)
	}
	c.now = c.now.Add(time.Hour)
	believed := int64(0)
	steady := app.PhoneClock{SentAt: c.now, Believed: &believed}
	slow := app.PhoneClock{SentAt: c.now.Add(-30 * time.Minute)} // the phone's clock is half an hour behind
	for _, x := range []struct {
		name  string
		at    time.Time
		clock app.PhoneClock
		want  fault.Kind // 0 where it comes in
	}{
		{"before", stopped.Add(-time.Minute), steady, 0},
		{"after", stopped.Add(time.Minute), steady, fault.KindConflict},
		{"at no known time", time.Time{}, app.PhoneClock{}, fault.KindConflict},
		{"before by a slow clock, after by ours", stopped.Add(-time.Minute), slow, fault.KindConflict},
		{"before by ours too", stopped.Add(-time.Hour), slow, 0},
	} {
		e := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}, CapturedAt: x.at, PhoneClock: x.clock}
		_, file := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg", DeviceAt: x.at, PhoneClock: x.clock}, bytes.NewReader(picture(t, 3)))
		for what, err := range map[string]error{"a line": c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{e}), "a photo": file} {
			if x.want == 0 && err != nil || x.want != 0 && fault.KindOf(err) != x.want {
				t.Errorf("%s captured %s: %v, want kind %d", what, x.name, err, x.want)
			}
		}
	}
	must(t, c.ClearStop(ctx, c.tutor, id, "Dried."))
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.6"}}}))
}

// Clearing a stop lets nobody begin who had not begun: the plan, the risk assessment and the site are still asked for.
func TestStoppedBeforeItBegan(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	must(t, c.SafetyStop(ctx, c.tutor, id, "The bay floods."))
	e := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}, CapturedAt: c.now.Add(-time.Minute)}
	wantKind(t, "a line while it is stopped", c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{e}), fault.KindConflict)
	wantKind(t, "starting while it is stopped", c.OpenAttempt(ctx, c.trainee, id, true, true), fault.KindConflict)
	must(t, c.ClearStop(ctx, c.tutor, id, "Dried."))
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if s.State != decision.Planned || !s.OpenedAt.IsZero() {
		t.Fatalf("cleared, it is %s, opened at %v; want planned and not opened", s.State, s.OpenedAt)
	}
	wantKind(t, "a line before it is started", c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{e}), fault.KindConflict)
	wantKind(t, "starting without the risk assessment", c.OpenAttempt(ctx, c.trainee, id, true, false), fault.KindInvalid)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
}

// A watched board is told once for all of its watchers, whatever changed it.
func TestWatchingABoard(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	if _, err := c.WatchBoard(ctx, c.other, c.cohort); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("a tutor of another cohort: %v, want NotFound", err)
	}
	first, err := c.WatchBoard(ctx, c.tutor, c.cohort)
	must(t, err)
	second, err := c.WatchBoard(ctx, c.manager, c.cohort)
	must(t, err)
	told := func(after string) {
		t.Helper()
		for _, watcher := range []<-chan struct{}{first, second} {
			select {
			case <-watcher:
			case <-time.After(time.Minute): // only so that a failure ends
				t.Fatalf("nobody was told after %s", after)
			}
		}
	}
	revision := func() string {
		r, err := c.db.BoardRevision(ctx, c.id, c.cohort)
		must(t, err)
		return r
	}
	told("beginning to watch")
	last := revision()
	for _, x := range []struct {
		what string
		do   func() error
	}{
		{"starting", func() error { return c.OpenAttempt(ctx, c.trainee, id, true, true) }},
		{"typing", func() error {
			return c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}})
		}},
		{"a photo", func() error {
			_, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(picture(t, 4)))
			return err
		}},
		{"a stop", func() error { return c.SafetyStop(ctx, c.trainee, id, "Water.") }},
		{"its clearing", func() error { return c.ClearStop(ctx, c.tutor, id, "Dried.") }},
	} {
		must(t, x.do())
		if now := revision(); now == last {
			t.Errorf("%s leaves the board's revision at %s", x.what, now)
		} else {
			last = now
		}
		told(x.what)
	}
}
