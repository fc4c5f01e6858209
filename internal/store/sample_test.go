package store_test

import (
	"errors"
	"sync"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// sampled is a bench with both attempts signed off by the tutor, an assurer, and a plan.
type sampled struct {
	bench
	assurer uuid.UUID
	plan    store.SamplingPlan
}

func newSampled(t *testing.T, b bench) sampled {
	t.Helper()
	s := sampled{bench: b, assurer: newID(t)}
	ctx := t.Context()
	s.plan = store.SamplingPlan{ID: newID(t), Name: "Spring", Stage: store.Final, Share: 50, Weights: sampling.UsualWeights(), Words: "A new tutor.", By: s.assurer, At: monday}
	b.write(t, func(tx *store.Tx) error {
		err := tx.AddPerson(ctx, store.Person{ID: s.assurer, Name: "Quinn Quality", SignInName: "quinn" + newID(t).String(), CreatedAt: monday.AddDate(-1, 0, 0),
			Roles: []account.Role{account.QualityAssurer}, Registrations: []account.Registration{storetest.Award()}})
		return errors.Join(err, tx.AddSamplingPlan(ctx, s.plan))
	})
	for _, id := range []uuid.UUID{b.annDoes, b.bobDoes} {
		b.write(t, func(tx *store.Tx) error {
			a, err := tx.LockAttempt(ctx, id)
			if err != nil {
				return err
			}
			for _, k := range []decision.Kind{decision.KindCriterion, decision.KindSignOff} {
				r := b.record(t, k, "", "")
				if r.Attempt = id; k == decision.KindCriterion {
					r.Subject, r.Outcome = b.unit+"/1.1", string(decision.Met)
				}
				if err := tx.AppendRecord(ctx, r); err != nil {
					return err
				}
			}
			a.State, a.SignedOffAt = decision.SignedOff, monday
			_, err = tx.SaveAttempt(ctx, a)
			return err
		})
	}
	return s
}

// draw draws everything that there is, and takes as many as said.
func (s sampled) draw(t *testing.T, number, size int) (store.Sample, error) {
	t.Helper()
	m := store.Sample{ID: newID(t), Plan: s.plan.ID, Number: number, Seed: "00112233445566778899aabbccddeeff", Words: "Little.", By: s.assurer, At: monday}
	return m, s.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		rows, err := tx.ToSample(t.Context(), s.plan, monday)
		if err != nil {
			return err
		}
		var items []sampling.Item
		for _, r := range rows {
			items = append(items, sampling.Item{Attempt: r.Attempt, Stratum: sampling.Stratum{Assessor: r.Assessor, Units: s.unit, Method: "from evidence", Site: "at the centre"}, Risk: 1})
		}
		l, err := sampling.NewList(items)
		if err != nil {
			return err
		}
		m.Digest, m.Listed = l.Digest(), len(items)
		drawn := l.Draw(size, m.Seed, m.Digest)
		m.Size = len(drawn)
		return tx.AddSample(t.Context(), m, l.Items(), make([][]sampling.Factor, len(items)), drawn)
	})
}

// say appends an outcome of somebody's.
func (s sampled) say(t *testing.T, sample, attempt, by uuid.UUID, outcome decision.SampleOutcome) error {
	t.Helper()
	r := s.record(t, decision.KindSample, "", string(outcome))
	r.Attempt, r.By, r.ByName, r.Role, r.Value = attempt, by, "Quinn Quality", string(account.QualityAssurer), sample.String()
	return s.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		return errors.Join(tx.AppendRecord(t.Context(), r), tx.AddSampleOutcome(t.Context(), sample, r))
	})
}

func kind(t *testing.T, what string, err error, want fault.Kind) {
	t.Helper()
	if fault.KindOf(err) != want {
		t.Errorf("%s: got %v, want kind %v", what, err, want)
	}
}

func TestASampleIsLookedAtAndCleared(t *testing.T) {
	s := newSampled(t, newBench(t))
	rows, err := s.ToSample(t.Context(), s.centre, s.plan, monday)
	if err != nil || len(rows) != 2 {
		t.Fatalf("%d to sample, %v; want both", len(rows), err)
	}
	if r := rows[0]; r.Assessor != s.tutor || !r.NewAssessor || !r.NewBrief || !r.NeverSampled || r.Disagreed || r.Observed || r.Adjusted || r.Afresh {
		t.Errorf("got %+v", r)
	}
	m, err := s.draw(t, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	if rows, err = s.ToSample(t.Context(), s.centre, s.plan, monday); err != nil || len(rows) != 0 {
		t.Errorf("%d to sample while a sample is being looked at, %v", len(rows), err)
	}
	_, err = s.draw(t, 2, 2)
	kind(t, "a sample of nothing", err, fault.KindConflict)
	if err := s.say(t, m.ID, s.annDoes, s.assurer, decision.Agree); err != nil {
		t.Fatal(err)
	}
	w, err := s.Sample(t.Context(), s.centre, m.ID, s.tutor, store.Span{Limit: 100})
	if err != nil || w.Looked != 1 || len(w.Drawn) != 2 || len(w.Strata) != 1 || w.Strata[0].Clear() || !w.Drawn[0].HadPart || !w.SettledAt.IsZero() {
		t.Errorf("half looked at: %+v, %v", w, err)
	}
	if err := s.say(t, m.ID, s.bobDoes, s.assurer, decision.AgreeWithAction); err != nil {
		t.Fatal(err)
	}
	w, err = s.Sample(t.Context(), s.centre, m.ID, s.assurer, store.Span{Limit: 100})
	if err != nil || w.SettledAt.IsZero() || !w.Strata[0].Clear() || w.Strata[0].Signed != 2 || w.Drawn[0].HadPart {
		t.Errorf("all looked at: %+v, %v", w, err)
	}
	for i, want := range []uuid.UUID{w.Drawn[0].Attempt, w.Drawn[1].Attempt, uuid.Nil} {
		part, err := s.Sample(t.Context(), s.centre, m.ID, s.assurer, store.Span{Limit: 1, Offset: i})
		if err != nil || part.Size != 2 || (len(part.Drawn) == 1) != (want != uuid.Nil) || len(part.Drawn) == 1 && part.Drawn[0].Attempt != want {
			t.Errorf("from %d on: %+v of %d, %v", i, part.Drawn, part.Size, err)
		}
	}
	if of, d, err := s.Drawn(t.Context(), s.centre, m.ID, s.bobDoes, s.assurer); err != nil || of.ID != m.ID || d.Attempt != s.bobDoes || d.Outcome != decision.AgreeWithAction {
		t.Errorf("one that was drawn: %+v of %v, %v", d, of.ID, err)
	}
	_, _, err = s.Drawn(t.Context(), s.centre, m.ID, uuid.New(), s.assurer)
	kind(t, "one that was not drawn", err, fault.KindNotFound)
	items, drawn, err := s.SampleList(t.Context(), s.centre, m.ID)
	if err != nil {
		t.Fatal(err)
	}
	l, err := sampling.NewList(items)
	if err != nil || l.Digest() != m.Digest || len(l.Draw(2, m.Seed, m.Digest)) != len(drawn) {
		t.Errorf("the kept list is not the one that was drawn from: %v", err)
	}
	s.write(t, func(tx *store.Tx) error {
		for who, want := range map[uuid.UUID]int{s.assurer: 2, s.tutor: 0, s.ann: 1} {
			k, err := tx.LockClearable(t.Context(), m.ID, who, 10)
			if err != nil || len(k.Attempts) != want {
				t.Errorf("%d clearable, %v; want %d", len(k.Attempts), err, want)
			}
		}
		if k, err := tx.LockClearable(t.Context(), m.ID, s.assurer, 1); err != nil || len(k.Attempts) != 1 || k.All != 2 || len(k.Apart) != 0 {
			t.Errorf("one at a time: %+v, %v; want 1 of 2", k, err)
		}
		return nil
	})
}

// A stratum with a disagreement clears nothing.
func TestADisagreementClearsNothing(t *testing.T) {
	s := newSampled(t, newBench(t))
	m, err := s.draw(t, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	w, err := s.Sample(t.Context(), s.centre, m.ID, s.assurer, store.Span{Limit: 100})
	if err != nil || len(w.Drawn) != 1 {
		t.Fatal(w.Drawn, err)
	}
	undrawn := s.annDoes
	if w.Drawn[0].Attempt == undrawn {
		undrawn = s.bobDoes
	}
	kind(t, "an outcome on what was not drawn", s.say(t, m.ID, undrawn, s.assurer, decision.Agree), fault.KindNotFound)
	if err := s.say(t, m.ID, w.Drawn[0].Attempt, s.assurer, decision.Disagree); err != nil {
		t.Fatal(err)
	}
	s.write(t, func(tx *store.Tx) error {
		k, err := tx.LockClearable(t.Context(), m.ID, s.assurer, 10)
		if err != nil || len(k.Attempts) != 0 {
			t.Errorf("%v clearable, %v", k.Attempts, err)
		}
		return nil
	})
	rows, err := s.ToSample(t.Context(), s.centre, s.plan, monday)
	if err != nil || len(rows) != 2 || !rows[0].Disagreed || rows[0].NeverSampled {
		t.Errorf("after a disagreement %+v, %v", rows, err)
	}
}

// The database itself refuses whoever goes round the program.
func TestTheDatabaseKeepsSamplersApart(t *testing.T) {
	s := newSampled(t, newBench(t))
	m, err := s.draw(t, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	kind(t, "a tutor samples their own decisions", s.say(t, m.ID, s.annDoes, s.tutor, decision.Agree), fault.KindForbidden)
	kind(t, "a trainee samples their own work", s.say(t, m.ID, s.annDoes, s.ann, decision.Agree), fault.KindForbidden)
	clear := s.record(t, decision.KindClear, "", "cleared")
	kind(t, "a tutor clears their own decisions", s.Write(t.Context(), s.centre, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), clear) }), fault.KindForbidden)
	if err := s.say(t, m.ID, s.annDoes, s.assurer, decision.Disagree); err != nil {
		t.Fatal(err)
	}
	judge := s.record(t, decision.KindCriterion, s.unit+"/1.2", string(decision.Met))
	judge.By = s.assurer
	kind(t, "a sampler judges afterwards", s.Write(t.Context(), s.centre, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), judge) }), fault.KindForbidden)
	app := connect(t, s.urls.App)
	run(t, app, `BEGIN`)
	run(t, app, `SELECT set_config('app.centre_id', $1, true)`, "1")
	refused(t, app, "42501", `UPDATE sample_outcome SET outcome = 'agree'`)
	run(t, app, `ROLLBACK`)
	kind(t, "an owner closes their own action", s.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		a := store.Action{ID: newID(t), Source: store.ActionFromSample, SourceID: m.ID, Words: "Look again.", Owner: s.tutor, Due: date(2026, 4, 1), RaisedBy: s.assurer, RaisedAt: monday}
		return errors.Join(tx.AddAction(t.Context(), a), tx.CloseAction(t.Context(), a.ID, s.tutor, monday, "Done."))
	}), fault.KindForbidden)
}

// Of two samplers who look at the same attempt at once, or draw at once, one has done it and the other is told.
func TestTwoSamplersAtOnce(t *testing.T) {
	s := newSampled(t, newBench(t))
	other := newID(t)
	s.write(t, func(tx *store.Tx) error {
		return tx.AddPerson(t.Context(), store.Person{ID: other, Name: "Sam Second", SignInName: "sam" + other.String(), CreatedAt: monday, Roles: []account.Role{account.QualityAssurer}})
	})
	var draws [2]error
	var ms [2]store.Sample
	var wg sync.WaitGroup
	for i := range draws {
		wg.Go(func() { ms[i], draws[i] = s.draw(t, 1, 2) })
	}
	wg.Wait()
	won := 0
	if draws[0] != nil {
		won = 1
	}
	if draws[won] != nil {
		t.Fatal(draws)
	}
	kind(t, "the second draw", draws[1-won], fault.KindConflict)
	var says [2]error
	for i, who := range []uuid.UUID{s.assurer, other} {
		wg.Go(func() { says[i] = s.say(t, ms[won].ID, s.annDoes, who, decision.Agree) })
	}
	wg.Wait()
	if (says[0] == nil) == (says[1] == nil) {
		t.Fatalf("got %v and %v, want one", says[0], says[1])
	}
	kind(t, "the second outcome", errors.Join(says[0], says[1]), fault.KindConflict)
}

// fillSampling has a row in every table of sampling and claims.
func (b bench) fillSampling(t *testing.T) {
	t.Helper()
	s := newSampled(t, b)
	m, err := s.draw(t, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.say(t, m.ID, s.annDoes, s.assurer, decision.Agree); err != nil {
		t.Fatal(err)
	}
	b.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddAction(t.Context(), store.Action{ID: newID(t), Source: store.ActionFromSample, SourceID: m.ID, Attempt: s.annDoes, Words: "Photograph the label.",
				Owner: s.tutor, Due: date(2026, 4, 1), RaisedBy: s.assurer, RaisedAt: monday}),
			tx.AddClaim(t.Context(), store.ClaimMade{ID: newID(t), Unit: s.unit, By: s.tutor, At: monday},
				[]store.ClaimItem{{Trainee: s.ann, Number: "R-1", MetOn: date(2026, 3, 2), Attempts: []uuid.UUID{s.annDoes}}}))
	})
}

func TestActionsUntilClosed(t *testing.T) {
	s := newSampled(t, newBench(t))
	a := store.Action{ID: newID(t), Source: store.ActionFromVisit, SourceID: newID(t), Words: "Label the valve.", Owner: s.tutor, Due: date(2026, 3, 1), RaisedBy: s.assurer, RaisedAt: monday}
	s.write(t, func(tx *store.Tx) error { return tx.AddAction(t.Context(), a) })
	open, in, err := s.OpenActions(t.Context(), s.centre, uuid.Nil, 0, 9)
	if err != nil || in != 1 || len(open) != 1 || open[0].OwnerName != "Tess Tutor" || !open[0].Late(date(2026, 3, 2)) || open[0].Late(date(2026, 3, 1)) {
		t.Errorf("open: %+v, %v", open, err)
	}
	if past, in, err := s.OpenActions(t.Context(), s.centre, uuid.Nil, 1, 9); err != nil || in != 1 || len(past) != 0 {
		t.Errorf("the page after: %v of %d, %v", past, in, err)
	}
	if none, in, err := s.OpenActions(t.Context(), s.centre, s.ann, 0, 9); err != nil || len(none)+in != 0 {
		t.Errorf("Ann's: %v, %v", none, err)
	}
	s.write(t, func(tx *store.Tx) error { return tx.CloseAction(t.Context(), a.ID, s.assurer, monday, "Seen.") })
	kind(t, "closed twice", s.Write(t.Context(), s.centre, func(tx *store.Tx) error { return tx.CloseAction(t.Context(), a.ID, s.assurer, monday, "Seen.") }), fault.KindConflict)
	of, err := s.ActionsOf(t.Context(), s.centre, store.ActionFromVisit, a.SourceID)
	if err != nil || len(of) != 1 || of[0].Open() || of[0].ClosedByName != "Quinn Quality" || of[0].ClosedWords != "Seen." {
		t.Errorf("closed: %+v, %v", of, err)
	}
}
