package app_test

import (
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// Where a tutor was named to observe, another says why they note, check or ask in that tutor's place; it stands on the record, and in the
// portfolio. The one who was named says nothing of the kind.
func TestWhoeverObservesInPlaceOfAnotherSaysWhy(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	s := c.published(t, sample.Brief())
	s.Observer = c.second.Person
	_, err := c.SetBrief(ctx, c.tutor, s)
	must(t, err)
	tasks, err := c.MyTasks(ctx, c.trainee)
	must(t, err)
	id := tasks[0].Attempt
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	acts := map[decision.Kind]func(who account.Caller, why string) error{
		decision.KindObservation: func(who account.Caller, why string) error {
			return c.Observe(ctx, who, id, decision.Observation{Subject: "wire", Outcome: decision.Seen, Words: "Neatly done.", InPlace: why})
		},
		decision.KindOral: func(who account.Caller, why string) error {
			return c.AskOrally(ctx, who, id, decision.OralQuestion{Subject: "wire", Asked: "Why dead first?", Gist: "So that nobody is hurt.", Outcome: decision.Understood, InPlace: why})
		},
		decision.KindCheckReading: func(who account.Caller, why string) error {
			return c.EnterCheckReading(ctx, who, id, app.CheckReading{Item: "continuity", InPlace: why}, password)
		},
	}
	const why = "In place of Person ruben, who was named to observe: Ruben was called to Bay 3."
	try := func(when string) {
		t.Helper()
		for kind, do := range acts {
			wantKind(t, when+", without saying why: "+string(kind), do(c.tutor, " "), fault.KindInvalid)
			wantKind(t, when+", at length: "+string(kind), do(c.tutor, strings.Repeat("x", 501)), fault.KindInvalid)
			must(t, do(c.second, ""))
			must(t, do(c.tutor, "Ruben was\ncalled to Bay 3."))
			said := map[uuid.UUID]string{}
			for _, r := range c.seenBy(t, c.tutor, id).Records {
				if r.Kind == kind {
					said[r.By] = r.Words // the last of each
				}
			}
			if got := said[c.tutor.Person]; !strings.HasSuffix(got, why) {
				t.Errorf("%s, %s says %q", when, kind, got)
			}
			if got := said[c.second.Person]; strings.Contains(got, "In place of") {
				t.Errorf("%s, %s by whoever was named says %q", when, kind, got)
			}
		}
	}
	try("at work")
	if got, other := c.seenBy(t, c.tutor, id).InsteadOf, c.seenBy(t, c.second, id).InsteadOf; got != c.second.Name || other != "" {
		t.Errorf("the sheet asks for words instead of %q and %q", got, other)
	}
	before, after := c.aroundHold(c.model(t, id))
	must(t, c.RecordEntries(ctx, c.trainee, id, before))
	must(t, c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen.")) // whoever is entitled to, be they named or not
	must(t, c.RecordEntries(ctx, c.trainee, id, after))
	c.photos(t, id)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	try("handed over")
}
