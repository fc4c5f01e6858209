package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// Two trainees of one cohort hand in the same photos and readings, typed before the hold point was released.
func TestWhatIsAlikeIsAskedAbout(t *testing.T) {
	c := newCentre(t)
	una := c.person(t, "una", account.Trainee)
	must(t, c.AddMember(t.Context(), c.manager, c.cohort, una.Person, store.PartTrainee))
	toms := c.set(t)
	c.do(t, toms)
	if s := c.mark(t, toms); slices.ContainsFunc(s.Asks, func(a app.Ask) bool { return strings.Contains(a.Text, "una") }) {
		t.Errorf("with nothing handed in by the other: %v", s.Asks)
	}
	tom := c.trainee
	c.trainee = una
	tasks, err := c.MyTasks(t.Context(), una)
	must(t, err)
	unas := tasks[0].Attempt
	must(t, c.OpenAttempt(t.Context(), una, unas, true, true))
	must(t, c.RecordEntries(t.Context(), una, unas, c.model(t, unas)))
	c.photos(t, unas)
	c.now = c.now.Add(10 * time.Minute)
	must(t, c.EnterCheckReading(t.Context(), c.tutor, unas, app.CheckReading{Item: "continuity"}, password))
	must(t, c.ReleaseHold(t.Context(), c.tutor, unas, "wire", ""))
	must(t, c.HandOver(t.Context(), una, unas, nil, true))
	s := c.mark(t, unas)
	for _, want := range []string{
		"Ask Person who took the readings, and with whom: all ",
		"are the same to the last digit as those of Person tom.",
		"the same picture is in the work of Person tom.",
		"before the hold point of this stage was released at ",
	} {
		if !slices.ContainsFunc(s.Asks, func(a app.Ask) bool { return strings.Contains(a.Text, want) }) {
			t.Errorf("nothing is asked that holds %q: %v", want, s.Asks)
		}
	}
	if i := slices.IndexFunc(s.Asks, func(a app.Ask) bool { return a.Item == "before" }); i < 0 || s.Asks[0].Item != "" {
		t.Errorf("the questions stand in another order: %v", s.Asks)
	}
	for _, who := range []account.Caller{tom, una} {
		id := toms
		if who.Person == una.Person {
			id = unas
		}
		own, err := c.Sheet(t.Context(), who, id)
		must(t, err)
		if len(own.Asks) > 0 {
			t.Errorf("%s reads what they will be asked: %v", who.Name, own.Asks)
		}
	}
}

// One reading that differs is enough for the readings to be one's own.
func TestReadingsOfOnesOwn(t *testing.T) {
	c := newCentre(t)
	una := c.person(t, "una", account.Trainee)
	must(t, c.AddMember(t.Context(), c.manager, c.cohort, una.Person, store.PartTrainee))
	c.do(t, c.set(t))
	c.trainee = una
	tasks, err := c.MyTasks(t.Context(), una)
	must(t, err)
	id := tasks[0].Attempt
	must(t, c.OpenAttempt(t.Context(), una, id, true, true))
	entries := c.model(t, id)
	for i := range entries {
		if entries[i].Item == "tf" {
			entries[i].Text = "70.1"
		}
	}
	must(t, c.RecordEntries(t.Context(), una, id, entries))
	c.photos(t, id)
	must(t, c.HandOver(t.Context(), una, id, nil, true))
	if s := c.mark(t, id); slices.ContainsFunc(s.Asks, func(a app.Ask) bool { return strings.Contains(a.Text, "who took the readings") }) {
		t.Errorf("asked about readings of their own: %v", s.Asks)
	}
}
