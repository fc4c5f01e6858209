package app_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// recognised is a claim of prior learning for criteria of a unit, which the tutor finds met.
func (c *centre) recognised(t *testing.T, unit string, refs ...string) uuid.UUID {
	t.Helper()
	id, err := c.ClaimPrior(t.Context(), c.trainee, app.NewPrior{Trainee: c.trainee.Person, Unit: unit, Criteria: refs, Words: "Two years with a firm."})
	must(t, err)
	must(t, c.AddPriorFile(t.Context(), c.trainee, id, "letter.jpg", bytes.NewReader(picture(t, 3))))
	for _, ref := range refs {
		must(t, c.DecidePrior(t.Context(), c.tutor, id, ref, decision.Met, "The letter says so."))
	}
	return id
}

// met lists what the trainee met by prior learning.
func (c *centre) met(t *testing.T) (refs []string) {
	t.Helper()
	met, err := c.db.PriorMet(t.Context(), c.id, []uuid.UUID{c.trainee.Person})
	must(t, err)
	for _, m := range met {
		refs = append(refs, m.Criterion)
	}
	return refs
}

// Somebody without part in it looks at each recognised criterion once; what they disagree with is out of use, and the decision stays.
func TestPriorLearningIsLookedAt(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	iris, noor := c.person(t, "iris", account.QualityAssurer), c.person(t, "noor", account.QualityAssurer)
	id := c.recognised(t, "H2", "H2/1.1", "H2/1.2")
	look := func(who account.Caller, o decision.SampleOutcome, words string, refs ...string) error {
		return c.LookAtPrior(ctx, who, id, app.LookPrior{Criteria: refs, Outcome: o, Words: words})
	}
	waits, err := c.CentreWaits(ctx, iris)
	must(t, err)
	p, err := c.Prior(ctx, iris, id)
	must(t, err)
	if waits.Unseen != 1 || p.PriorSheet.Unseen != 2 || !p.MayLook || !slices.Equal(p.Unseen(), []string{"H2/1.1", "H2/1.2"}) {
		t.Errorf("before, %d wait and the assurer reads %+v", waits.Unseen, p)
	}
	for who, person := range map[string]account.Caller{"the trainee": c.trainee, "who decided": c.tutor, "a manager": c.manager} {
		wantKind(t, who+" looking", look(person, decision.Agree, "", "H2/1.1"), fault.KindForbidden)
	}
	wantKind(t, "nothing", look(iris, decision.Agree, ""), fault.KindInvalid)
	wantKind(t, "a disagreement without words", look(iris, decision.Disagree, "", "H2/1.1"), fault.KindInvalid)
	wantKind(t, "what was not claimed", look(iris, decision.Agree, "", "H2/2.1"), fault.KindConflict)
	wantKind(t, "an action for nobody", look(iris, decision.AgreeWithAction, "Thin.", "H2/1.1"), fault.KindInvalid)
	for name, other := range map[string]account.Caller{"the trainee": c.trainee, "who decided": c.tutor} {
		apart, err := c.DeclareConflict(ctx, iris, iris.Person, other.Person, "We share a house.")
		must(t, err)
		wantKind(t, "a conflict of interest with "+name, look(iris, decision.Agree, "", "H2/1.1"), fault.KindForbidden)
		must(t, c.EndConflict(ctx, c.manager, apart, "No more."))
	}
	must(t, look(iris, decision.Agree, "", "H2/1.1"))
	wantKind(t, "the same twice", look(noor, decision.Disagree, "Not so.", "H2/1.1"), fault.KindConflict)
	must(t, look(noor, decision.Disagree, "No reading of theirs is in it.", "H2/1.2"))
	p, err = c.Prior(ctx, c.trainee, id)
	must(t, err)
	d := p.Decision("H2/1.2")
	if d.Outcome != decision.Met || d.Look == nil || d.Look.ByName != noor.Name || d.InUse() || len(p.Unseen()) > 0 || p.MayLook {
		t.Errorf("afterwards the trainee reads %+v with %+v", p, d.Look)
	}
	if got := c.met(t); !slices.Equal(got, []string{"H2/1.1"}) {
		t.Errorf("met by prior learning are %q, want what was agreed with", got)
	}
	id = c.recognised(t, "H2", "H2/1.2") // with better proof
	if got := c.met(t); !slices.Equal(got, []string{"H2/1.1", "H2/1.2"}) {
		t.Errorf("claimed again, met are %q, want both", got)
	}
}

// An action that was agreed with keeps the criterion from being claimed until somebody else closes it; who looked decides nothing of it.
func TestAnActionOnPriorLearning(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	iris := c.person(t, "iris", account.QualityAssurer)
	id := c.recognised(t, "H3", "H3/1.10")
	c.enrolled(t, c.now.AddDate(-1, 0, 0))
	must(t, c.LookAtPrior(ctx, iris, id, app.LookPrior{Criteria: []string{"H3/1.10"}, Outcome: decision.AgreeWithAction, Words: "The letter has no date.",
		Action: "Ask for the dates.", Owner: c.tutor.Person, Due: c.now.AddDate(0, 0, 7)}))
	why := func() string {
		ready, err := c.Claimable(ctx, c.manager, "H3", nil)
		must(t, err)
		if len(ready.Rest) == 0 {
			return ""
		}
		return strings.Join(ready.Rest[0].Why, " ")
	}
	if got := why(); got != "The prior learning recognised for 1.10 has an action that is still open." {
		t.Errorf("not ready because %q", got)
	}
	open, err := c.OpenActions(ctx, iris, 1)
	must(t, err)
	if len(open.Rows) != 1 || open.Rows[0].Source != app.ActionFromPrior || open.Rows[0].SourceID != id {
		t.Fatalf("open are %+v", open.Rows)
	}
	must(t, c.CloseAction(ctx, iris, open.Rows[0].ID, "The dates came by post."))
	if got := why(); got != "" {
		t.Errorf("after it was closed: %q", got)
	}
	made, err := c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.trainee.Person}, "")
	must(t, err)
	_, items, err := c.Claim(ctx, c.manager, made)
	if err != nil || len(items) != 1 || !slices.Equal(items[0].Prior, []string{"H3/1.10"}) {
		t.Errorf("the claim rests on %+v, %v", items, err)
	}
	again := c.recognised(t, "H3", "H3/1.10")
	wantKind(t, "after the claim", c.LookAtPrior(ctx, iris, again, app.LookPrior{Criteria: []string{"H3/1.10"}, Outcome: decision.Disagree, Words: "Late."}), fault.KindConflict)
	waits, err := c.CentreWaits(ctx, iris)
	if err != nil || waits.Unseen != 0 {
		t.Errorf("%d wait to be looked at after the claim, %v", waits.Unseen, err)
	}
}

// The database asks for the second person, the role and the look itself.
func TestTheDatabaseHasPriorLearningLookedAt(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.recognised(t, "H3", "H3/1.10")
	iris := c.person(t, "iris", account.QualityAssurer)
	look := func(by uuid.UUID, ref string) error {
		return c.db.Write(ctx, c.id, func(tx *store.Tx) error {
			return tx.LookAtPrior(ctx, id, store.PriorLook{Criterion: ref, Outcome: decision.Agree, By: by, At: c.now})
		})
	}
	claim := func(ref string) error {
		return c.db.Write(ctx, c.id, func(tx *store.Tx) error {
			return tx.AddClaim(ctx, store.ClaimMade{ID: newID(t), Unit: "H3", By: c.manager.Person, At: c.now},
				[]store.ClaimItem{{Trainee: c.trainee.Person, Number: "A", MetOn: c.now, Prior: []string{ref}}})
		})
	}
	wantKind(t, "a claim before", claim("H3/1.10"), fault.KindConflict)
	wantKind(t, "whose it is", look(c.trainee.Person, "H3/1.10"), fault.KindForbidden)
	wantKind(t, "who decided", look(c.tutor.Person, "H3/1.10"), fault.KindForbidden)
	wantKind(t, "no quality assurer", look(c.manager.Person, "H3/1.10"), fault.KindForbidden)
	must(t, look(iris.Person, "H3/1.10"))
	wantKind(t, "who looked deciding", c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		return tx.DecidePrior(ctx, id, store.PriorDecision{Criterion: "H3/1.10", Outcome: decision.Met, Words: "So.", By: iris.Person, At: c.now})
	}), fault.KindForbidden)
	wantKind(t, "a claim of another", claim("H3/1.11"), fault.KindConflict)
	must(t, claim("H3/1.10"))
}
