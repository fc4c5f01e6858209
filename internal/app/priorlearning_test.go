package app_test

import (
	"bytes"
	"io"
	"slices"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// A claim of prior learning is proved by files, decided criterion by criterion by a tutor who did not make it, each once, and what is met
// counts where the trainee's criteria are counted. Who may not see it learns of none.
func TestPriorLearning(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	claim := app.NewPrior{Trainee: c.trainee.Person, Unit: "H2", Criteria: []string{"H2/1.2", "H2/1.1", "H2/1.2"}, Words: "Two years with a firm."}
	for name, change := range map[string]func(*app.NewPrior){
		"for nothing":       func(n *app.NewPrior) { n.Criteria = nil },
		"without words":     func(n *app.NewPrior) { n.Words = " " },
		"of no such unit":   func(n *app.NewPrior) { n.Unit = "H9" },
		"of no such number": func(n *app.NewPrior) { n.Criteria = []string{"H2/9.9"} },
	} {
		n := claim
		change(&n)
		_, err := c.ClaimPrior(ctx, c.trainee, n)
		wantKind(t, "a claim "+name, err, fault.KindInvalid)
	}
	_, err := c.ClaimPrior(ctx, c.manager, claim)
	wantKind(t, "a manager claiming", err, fault.KindForbidden)
	id, err := c.ClaimPrior(ctx, c.trainee, claim)
	must(t, err)
	decide := func(who account.Caller, ref string, o decision.Outcome, words string) error {
		return c.DecidePrior(ctx, who, id, ref, o, words)
	}
	wantKind(t, "met without proof", decide(c.tutor, "H2/1.1", decision.Met, "The letter says so."), fault.KindConflict)
	proof := picture(t, 3)
	must(t, c.AddPriorFile(ctx, c.trainee, id, "letter.jpg", bytes.NewReader(proof)))
	wantKind(t, "a quality assurer adding proof", c.AddPriorFile(ctx, c.person(t, "iris", account.QualityAssurer), id, "x.jpg", bytes.NewReader(proof)), fault.KindForbidden)
	wantKind(t, "the trainee deciding", decide(c.trainee, "H2/1.1", decision.Met, "Mine."), fault.KindForbidden)
	wantKind(t, "a tutor of others", decide(c.other, "H2/1.1", decision.Met, "Fine."), fault.KindNotFound)
	wantKind(t, "what was not claimed", decide(c.tutor, "H2/2.1", decision.Met, "Fine."), fault.KindInvalid)
	wantKind(t, "without words", decide(c.tutor, "H2/1.1", decision.Met, ""), fault.KindInvalid)
	learner := c.tutor
	learner.Registrations = nil
	wantKind(t, "whose decisions wait for a countersignature", decide(learner, "H2/1.1", decision.Met, "The letter says so."), fault.KindForbidden)
	apart, err := c.DeclareConflict(ctx, c.second, c.second.Person, c.trainee.Person, "My brother.")
	must(t, err)
	wantKind(t, "with a conflict of interest", decide(c.second, "H2/1.1", decision.Met, "The letter says so."), fault.KindForbidden)
	must(t, c.EndConflict(ctx, c.manager, apart, "They are no relations."))
	must(t, decide(c.tutor, "H2/1.1", decision.Met, "The letter says so."))
	wantKind(t, "the same twice", decide(c.tutor, "H2/1.1", decision.NotYetMet, "Or not."), fault.KindConflict)
	must(t, decide(c.tutor, "H2/1.2", decision.NotYetMet, "No reading of theirs is in it."))
	wantKind(t, "proof after the end", c.AddPriorFile(ctx, c.trainee, id, "late.jpg", bytes.NewReader(proof)), fault.KindConflict)

	p, err := c.Prior(ctx, c.trainee, id)
	must(t, err)
	if p.Open() || p.MayAdd || p.MayDecide || len(p.Files) != 1 || !slices.Equal(p.Criteria, []string{"H2/1.1", "H2/1.2"}) {
		t.Errorf("at the end the trainee reads %+v", p)
	}
	f, err := c.OpenPriorFile(ctx, c.tutor, id, p.Files[0].ID)
	must(t, err)
	defer f.Content.Close()
	if got, err := io.ReadAll(f.Content); err != nil || !bytes.Equal(got, proof) {
		t.Errorf("the proof is %d bytes, %v; want %d", len(got), err, len(proof))
	}
	met, err := c.db.PriorMet(ctx, c.id, []uuid.UUID{c.trainee.Person})
	if err != nil || len(met) != 1 || met[0].Criterion != "H2/1.1" {
		t.Errorf("met by prior learning are %+v, %v; want H2/1.1", met, err)
	}
	conn, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer conn.Close(ctx)
	if _, err = conn.Exec(ctx, `UPDATE prior_decision SET outcome = 'met'`); err == nil {
		t.Error("the database lets a decision on prior learning be changed")
	}
}

// A certificate whose criteria rest on prior learning says so, before it is claimed and for ever after.
func TestAClaimSaysWhatRestsOnPriorLearning(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, err := c.ClaimPrior(ctx, c.trainee, app.NewPrior{Trainee: c.trainee.Person, Unit: "H3", Criteria: []string{"H3/1.10"}, Words: "Two years with a firm."})
	must(t, err)
	must(t, c.AddPriorFile(ctx, c.trainee, id, "letter.jpg", bytes.NewReader(picture(t, 4))))
	must(t, c.DecidePrior(ctx, c.tutor, id, "H3/1.10", decision.Met, "The letter says so."))
	c.enrolled(t, c.now.AddDate(-1, 0, 0))
	_, err = c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.trainee.Person}, "")
	wantKind(t, "what nobody looked at", err, fault.KindConflict)
	must(t, c.LookAtPrior(ctx, c.person(t, "iris", account.QualityAssurer), id, app.LookPrior{Criteria: []string{"H3/1.10"}, Outcome: decision.Agree}))
	ready, err := c.Claimable(ctx, c.manager, "H3", nil)
	must(t, err)
	if len(ready.Ready) != 1 || !slices.Equal(ready.Ready[0].Prior, []string{"H3/1.10"}) {
		t.Fatalf("ready are %+v, want the trainee, by prior learning", ready.Ready)
	}
	made, err := c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.trainee.Person}, "")
	must(t, err)
	_, items, err := c.Claim(ctx, c.manager, made)
	must(t, err)
	if len(items) != 1 || len(items[0].Attempts) != 0 || !slices.Equal(items[0].Prior, []string{"H3/1.10"}) {
		t.Errorf("the claim rests on %+v, want on prior learning alone", items)
	}
}

// A tutor who claims for a trainee does not decide on it themselves.
func TestWhoClaimedDoesNotDecide(t *testing.T) {
	c := newCentre(t)
	id, err := c.ClaimPrior(t.Context(), c.tutor, app.NewPrior{Trainee: c.trainee.Person, Unit: "H2", Criteria: []string{"H2/1.1"}, Words: "Two years with a firm."})
	must(t, err)
	must(t, c.AddPriorFile(t.Context(), c.tutor, id, "letter.jpg", bytes.NewReader(picture(t, 4))))
	wantKind(t, "who claimed deciding", c.DecidePrior(t.Context(), c.tutor, id, "H2/1.1", decision.Met, "The letter says so."), fault.KindForbidden)
}
