package store_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// again is a bench on which the tutor sent Ann's first attempt back, and others decided the second: the first criterion was met in the
// first attempt and is carried over under the name of whoever planned the second.
type again struct {
	sampled
	quinn, sita uuid.UUID // who countersigned the first attempt, and who judged the second
	second      uuid.UUID // Ann's second attempt, signed off
	decided     uuid.UUID // the record of what was decided in the second alone
}

// byAt is a record of somebody's on an attempt.
func (b bench) byAt(t *testing.T, attempt, by uuid.UUID, kind decision.Kind, subject, outcome string) decision.Record {
	t.Helper()
	r := b.record(t, kind, subject, outcome)
	r.Attempt, r.By = attempt, by
	return r
}

// appended says what the database has against a record.
func (b bench) appended(t *testing.T, r decision.Record) error {
	t.Helper()
	return b.Write(t.Context(), b.centre, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), r) })
}

func newAgain(t *testing.T) again {
	t.Helper()
	b := newBench(t)
	g := again{sampled: newSampled(t, b), quinn: b.newPerson(t, "Quentin Second", account.QualityAssurer), sita: b.newPerson(t, "Sita Tutor", account.Tutor), second: newID(t)}
	first := b.byAt(t, b.annDoes, g.quinn, decision.KindCountersign, b.unit+"/1.1", "countersigned")
	carried := b.byAt(t, g.second, g.sita, decision.KindCriterion, b.unit+"/1.1", string(decision.Met))
	carried.Value = "1"
	own := b.byAt(t, g.second, g.sita, decision.KindCriterion, b.unit+"/1.2", string(decision.Met))
	g.decided = own.ID
	carried.At, own.At = monday.Add(48*time.Hour), monday.Add(48*time.Hour)
	b.write(t, func(tx *store.Tx) error {
		ctx := t.Context()
		if err := errors.Join(tx.AppendRecord(ctx, first), tx.AddAttempts(ctx, []store.NewAttempt{{ID: g.second, Task: b.task, Trainee: b.ann, Number: 2, State: decision.Planned, CarriedFrom: b.annDoes}}),
			tx.AppendRecord(ctx, carried), tx.AppendRecord(ctx, own), tx.AppendRecord(ctx, b.byAt(t, g.second, g.sita, decision.KindSignOff, "", "signed off"))); err != nil {
			return err
		}
		a, err := tx.LockAttempt(ctx, g.second)
		if err != nil {
			return err
		}
		a.State, a.SignedOffAt = decision.SignedOff, monday
		_, err = tx.SaveAttempt(ctx, a)
		return err
	})
	return g
}

// Whoever judged or countersigned an attempt has part in the next one, which takes over what was met: the database refuses them there.
func TestPartGoesOnWithWhatIsCarriedOver(t *testing.T) {
	g := newAgain(t)
	ctx := t.Context()
	m, err := g.draw(t, 1, 3)
	if err != nil {
		t.Fatal(err)
	}
	for who, id := range map[string]uuid.UUID{"the tutor of the first": g.tutor, "who countersigned it": g.quinn, "the trainee": g.ann} {
		kind(t, who+" samples the second", g.say(t, m.ID, g.second, id, decision.Agree), fault.KindForbidden)
		kind(t, who+" clears the second", g.appended(t, g.byAt(t, g.second, id, decision.KindClear, "", "cleared")), fault.KindForbidden)
	}
	kind(t, "who judged the first sets the second aside", g.appended(t, g.byAt(t, g.second, g.tutor, decision.KindSetAside, "", "set aside")), fault.KindForbidden)
	if w, err := g.Sample(ctx, g.centre, m.ID, g.quinn, store.Span{Limit: 100}); err != nil || !slices.ContainsFunc(w.Drawn, func(d store.Drawn) bool { return d.Attempt == g.second && d.HadPart }) {
		t.Errorf("drawn: %+v, %v; want a part in the second", w.Drawn, err)
	}
	j, err := g.JobSheet(ctx, g.centre, g.second)
	if err != nil || !j.HadPart(g.tutor) || !j.HadPart(g.quinn) || !j.HadPart(g.sita) || j.HadPart(g.assurer) {
		t.Errorf("part in the second: before %v, %v", j.Before, err)
	}
	for _, id := range []uuid.UUID{g.annDoes, g.bobDoes, g.second} {
		if err := g.say(t, m.ID, id, g.assurer, decision.Agree); err != nil {
			t.Fatal(err)
		}
	}
	for who, want := range map[uuid.UUID]int{g.assurer: 3, g.quinn: 1} { // Bob's alone
		g.write(t, func(tx *store.Tx) error {
			k, err := tx.LockClearable(ctx, m.ID, who, 10)
			if err != nil || len(k.Attempts) != want || k.All != want {
				t.Errorf("%d clearable of %d, %v; want %d", len(k.Attempts), k.All, err, want)
			}
			return nil
		})
	}
	// A conflict of interest leaves out the one attempt, not all of them: here with who judged Ann's second.
	g.write(t, func(tx *store.Tx) error {
		return tx.AddConflict(ctx, store.Conflict{ID: newID(t), Person: g.assurer, Other: g.sita, Words: "Married.", DeclaredBy: g.assurer, DeclaredAt: monday})
	})
	g.write(t, func(tx *store.Tx) error {
		k, err := tx.LockClearable(ctx, m.ID, g.assurer, 10)
		if err != nil || len(k.Attempts) != 2 || k.All != 2 || !slices.Equal(k.Apart, []string{"Ann Apprentice"}) || slices.Contains(k.Attempts, g.second) {
			t.Errorf("with a conflict of interest: %+v, %v", k, err)
		}
		return nil
	})
	claiming, err := g.Claiming(ctx, g.centre, g.unit, []uuid.UUID{g.cohort}, g.assurer)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range claiming.Trainees {
		for _, a := range p.Attempts {
			if a.Apart != (a.ID == g.second) {
				t.Errorf("claiming %s's attempt %d: apart %v", p.Name, a.Number, a.Apart)
			}
		}
	}
}

// The same holds of blind judging, and of looking again because of a ruling.
func TestPartInAnEarlierAttemptIsNotBlind(t *testing.T) {
	g := newAgain(t)
	ctx, standard, ruling := t.Context(), newID(t), newID(t)
	g.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddStandardisation(ctx, store.Standardisation{ID: standard, Title: "Filling", Brief: g.brief, Version: 1, Seed: 3, By: g.assurer, At: monday}, []uuid.UUID{g.second}, []uuid.UUID{g.tutor, g.assurer}),
			tx.AddRuling(ctx, store.Ruling{ID: ruling, Criterion: g.unit + "/1.2", Words: "The label is to be seen.", Doubts: store.DoubtsBoth, EffectiveOn: date(2026, 4, 3), By: g.assurer, At: monday}))
	})
	sheet, err := g.StandardisationSheet(ctx, g.centre, standard, g.tutor)
	if err != nil || !slices.Equal(sheet.Parts, []store.HadPart{{Attempt: g.second, Person: g.tutor}}) || sheet.Due != 1 {
		t.Errorf("parts %v, due %d, %v; want the tutor's alone", sheet.Parts, sheet.Due, err)
	}
	blind := func(who uuid.UUID) error {
		return g.Write(ctx, g.centre, func(tx *store.Tx) error {
			return tx.JudgeBlind(ctx, standard, []store.BlindJudgement{{Attempt: g.second, Person: who, Criterion: g.unit + "/1.2", Outcome: decision.Met, At: monday}})
		})
	}
	look := func(who uuid.UUID) error {
		return g.Write(ctx, g.centre, func(tx *store.Tx) error {
			_, err := tx.LookUnderRuling(ctx, store.Look{ID: newID(t), Ruling: ruling, Record: g.decided, Outcome: store.LookStands, By: who, At: monday})
			return err
		})
	}
	kind(t, "judging blind", blind(g.tutor), fault.KindForbidden)
	kind(t, "looking again", look(g.tutor), fault.KindForbidden)
	if err := errors.Join(blind(g.assurer), look(g.assurer)); err != nil {
		t.Errorf("without part: %v", err)
	}
}

// What is carried over was assessed when it was first decided, by whoever decided it then.
func TestClaimsFollowWhatIsCarriedOver(t *testing.T) {
	g := newAgain(t)
	ctx := t.Context()
	work := func() decision.ClaimAttempt {
		t.Helper()
		c, err := g.Claiming(ctx, g.centre, g.unit, []uuid.UUID{g.cohort}, g.quinn)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range c.Trainees {
			for _, a := range p.Attempts {
				if a.ID == g.second {
					return a
				}
			}
		}
		t.Fatal("the second attempt is not there")
		return decision.ClaimAttempt{}
	}
	if a := work(); !a.FirstAt.Equal(monday) || !a.LastAt.Equal(monday.Add(48*time.Hour)) || len(a.Met) != 2 || a.Conflict {
		t.Errorf("got %+v; want it assessed from %v on", a, monday)
	}
	g.write(t, func(tx *store.Tx) error {
		return tx.AddConflict(ctx, store.Conflict{ID: newID(t), Person: g.tutor, Other: g.ann, Words: "Cousins.", DeclaredBy: g.assurer, DeclaredAt: monday})
	})
	if a := work(); !a.Conflict {
		t.Error("whoever decided what is carried over has a conflict of interest, and nothing says so")
	}
	kind(t, "claimed by the tutor's relative", g.Write(ctx, g.centre, func(tx *store.Tx) error {
		if err := tx.AddConflict(ctx, store.Conflict{ID: newID(t), Person: g.tutor, Other: g.assurer, Words: "Married.", DeclaredBy: g.sita, DeclaredAt: monday}); err != nil {
			return err
		}
		return tx.AppendRecord(ctx, g.byAt(t, g.second, g.assurer, decision.KindClaim, "", "claimed"))
	}), fault.KindForbidden)
	r := g.byAt(t, g.second, g.sita, decision.KindCriterion, g.unit+"/1.1", string(decision.Met))
	r.At = monday.Add(72 * time.Hour)
	j, err := g.JobSheet(ctx, g.centre, g.second)
	if err != nil {
		t.Fatal(err)
	}
	r.Supersedes = decision.Judged(j.Records, g.unit+"/1.1").ID
	if err := g.appended(t, r); err != nil {
		t.Fatal(err)
	}
	if a := work(); a.Conflict || !a.FirstAt.Equal(monday) {
		t.Errorf("decided afresh by another: %+v; want no conflict, assessed as early as before", a)
	}
}

// Nobody countersigns their own decision, hears an appeal against what they had part in, or decides it afresh.
func TestTheDatabaseAsksForASecondPerson(t *testing.T) {
	g := newAgain(t)
	own := g.byAt(t, g.second, g.sita, decision.KindCountersign, g.unit+"/1.2", "countersigned")
	own.Value = g.decided.String()
	kind(t, "countersigning one's own", g.appended(t, own), fault.KindForbidden)
	own.ID, own.By = newID(t), g.quinn
	if err := g.appended(t, own); err != nil {
		t.Errorf("countersigned by another: %v", err)
	}
	for who, id := range map[string]uuid.UUID{"judged it": g.sita, "countersigned it": g.quinn, "judged the one before": g.tutor} {
		kind(t, "an appeal heard by who "+who, g.appended(t, g.byAt(t, g.second, id, decision.KindAppealOutcome, "", decision.Upheld)), fault.KindForbidden)
	}
	if err := g.appended(t, g.byAt(t, g.second, g.assurer, decision.KindAppealOutcome, "", decision.Upheld)); err != nil {
		t.Fatal(err)
	}
	for _, k := range []decision.Kind{decision.KindCriterion, decision.KindOverride, decision.KindCountersign, decision.KindSignOff, decision.KindMoreToDo} {
		kind(t, string(k)+" afresh by who decided before", g.appended(t, g.byAt(t, g.second, g.sita, k, g.unit+"/1.9", string(decision.Met))), fault.KindForbidden)
	}
	fresh := g.newPerson(t, "Fay Fresh", account.Tutor)
	for _, r := range []decision.Record{g.byAt(t, g.second, fresh, decision.KindCriterion, g.unit+"/1.9", string(decision.Met)), g.byAt(t, g.second, fresh, decision.KindMoreToDo, "", "more"),
		g.byAt(t, g.second, g.sita, decision.KindOverride, "a line", "right")} { // it was decided afresh: what comes after is judged as ever
		if err := g.appended(t, r); err != nil {
			t.Errorf("%s: %v", r.Kind, err)
		}
	}
}

// Nor does anybody decide on the prior learning of somebody with whom they have a conflict of interest.
func TestTheDatabaseKeepsPriorLearningApart(t *testing.T) {
	b := newBench(t)
	ctx, prior := t.Context(), newID(t)
	b.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddPrior(ctx, store.Prior{ID: prior, Trainee: b.ann, Unit: b.unit, Criteria: []string{b.unit + "/1.1"}, Words: "Two years with a firm.", By: b.ann, At: monday}),
			tx.AddConflict(ctx, store.Conflict{ID: newID(t), Person: b.ann, Other: b.tutor, Words: "Cousins.", DeclaredBy: b.tutor, DeclaredAt: monday}))
	})
	kind(t, "a cousin deciding", b.Write(ctx, b.centre, func(tx *store.Tx) error {
		return tx.DecidePrior(ctx, prior, store.PriorDecision{Criterion: b.unit + "/1.1", Outcome: decision.Met, Words: "The letter says so.", By: b.tutor, At: monday})
	}), fault.KindForbidden)
}
