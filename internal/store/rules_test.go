package store_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// edition is an edition of the rule set "bay7", entered by somebody and in force from a day.
func (b bench) edition(t *testing.T, name string, from time.Time, by uuid.UUID) store.RuleEdition {
	t.Helper()
	source := "rule-set: 1\nedition: " + name + "\n"
	return store.RuleEdition{
		ID: newID(t), Key: "bay7", Edition: name, Title: "Bay 7 limits", Source: source, Digest: hexOf(source), ValidFrom: from, EnteredBy: by, EnteredAt: monday,
	}
}

// saveRules saves an edition, and has it checked by somebody where checker is given.
func (b bench) saveRules(t *testing.T, e store.RuleEdition, checker uuid.UUID) {
	t.Helper()
	b.write(t, func(tx *store.Tx) error {
		if _, err := tx.LockRules(t.Context(), e.Key, monday); err != nil {
			return err
		}
		if err := tx.SaveRules(t.Context(), e); err != nil || checker == uuid.Nil {
			return err
		}
		return tx.CheckRules(t.Context(), e.ID, checker, monday)
	})
}

func TestEditionsAreSavedCheckedAndEnded(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	first, second := b.edition(t, "1", date(2026, 1, 1), b.tutor), b.edition(t, "2", date(2026, 7, 1), b.ann)
	first.ValidTo = date(2026, 12, 31)
	b.saveRules(t, first, uuid.Nil)
	first.Title, first.EnteredBy = "Bay 7 electrical limits", b.ann
	b.saveRules(t, first, b.tutor)
	b.saveRules(t, second, uuid.Nil)
	b.write(t, func(tx *store.Tx) error { return tx.EndRules(ctx, first.ID, second.ID, date(2026, 6, 30), monday) })

	es, err := b.RulesOf(ctx, b.centre, []string{"bay7", "unknown"})
	if err != nil || len(es) != 2 {
		t.Fatalf("editions = %+v, %v; want 2", es, err)
	}
	want := first
	want.EntererName, want.CheckedBy, want.CheckerName, want.CheckedAt = "Ann Apprentice", b.tutor, "Tess Tutor", monday
	want.LastDay, want.FollowedBy = date(2026, 6, 30), second.ID
	if es[0] != want {
		t.Errorf("the first edition\n got %+v\nwant %+v", es[0], want)
	}
	if es[1].Checked() || !es[1].LastDay.IsZero() || es[1].FollowedBy != uuid.Nil {
		t.Errorf("the second edition is %+v, want a draft without an end", es[1])
	}
	for day, in := range map[time.Time]bool{date(2025, 12, 31): false, date(2026, 1, 1): true, date(2026, 6, 30): true, date(2026, 7, 1): false} {
		if es[0].InForce(day) != in || es[1].InForce(day) {
			t.Errorf("on %s the first is in force: %v, the draft: %v", day.Format(time.DateOnly), es[0].InForce(day), es[1].InForce(day))
		}
	}
	list, err := b.RuleEditions(ctx, b.centre)
	if err != nil || len(list) != 2 || list[0].ID != second.ID || list[0].Source != "" {
		t.Errorf("list = %+v, %v; want the later one first, without text", list, err)
	}
}

// An end that lies after the text's own last day changes nothing; of several the earliest counts.
func TestTheEarliestEndCounts(t *testing.T) {
	b := newBench(t)
	first := b.edition(t, "1", date(2026, 1, 1), b.tutor)
	first.ValidTo = date(2026, 12, 31)
	b.saveRules(t, first, b.ann)
	for _, step := range []struct {
		name           string
		last, wantLast time.Time
		follows        bool
	}{
		{"3", date(2027, 3, 1), date(2026, 12, 31), false},
		{"4", date(2026, 9, 30), date(2026, 9, 30), true},
		{"2", date(2026, 6, 30), date(2026, 6, 30), true},
		{"5", date(2026, 8, 31), date(2026, 6, 30), true},
	} {
		next := b.edition(t, step.name, step.last.AddDate(0, 0, 1), b.tutor)
		b.saveRules(t, next, uuid.Nil)
		b.write(t, func(tx *store.Tx) error { return tx.EndRules(t.Context(), first.ID, next.ID, step.last, monday) })
		e, err := b.RuleEdition(t.Context(), b.centre, first.ID)
		if err != nil || !e.LastDay.Equal(step.wantLast) || (e.FollowedBy != uuid.Nil) != step.follows {
			t.Errorf("ended on %s by %s: last day %s, followed by %s (%v); want %s, %v", step.last.Format(time.DateOnly), step.name,
				e.LastDay.Format(time.DateOnly), e.FollowedBy, err, step.wantLast.Format(time.DateOnly), step.follows)
		}
	}
}

func TestWhatCannotBeSavedOrChecked(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	first := b.edition(t, "1", date(2026, 1, 1), b.tutor)
	b.saveRules(t, first, b.ann)
	draft := b.edition(t, "2", date(2026, 7, 1), b.tutor)
	b.saveRules(t, draft, uuid.Nil)
	same, changed := b.edition(t, "2", date(2026, 8, 1), b.tutor), first
	changed.Title = "Changed"
	for _, test := range []struct {
		name string
		do   func(tx *store.Tx) error
		want fault.Kind
	}{
		{"saving over a checked one", func(tx *store.Tx) error { return tx.SaveRules(ctx, changed) }, fault.KindConflict},
		{"another of the same name", func(tx *store.Tx) error { return tx.SaveRules(ctx, same) }, fault.KindConflict},
		{"checking it twice", func(tx *store.Tx) error { return tx.CheckRules(ctx, first.ID, b.bob, monday) }, fault.KindConflict},
		{"checking one's own", func(tx *store.Tx) error { return tx.CheckRules(ctx, draft.ID, b.tutor, monday) }, fault.KindForbidden},
	} {
		t.Run(test.name, func(t *testing.T) {
			if err := b.Write(ctx, b.centre, test.do); fault.KindOf(err) != test.want || err == nil {
				t.Errorf("got %v, want kind %d", err, test.want)
			}
		})
	}
}

func TestCheckedEditionStays(t *testing.T) {
	b := newBench(t)
	b.saveRules(t, b.edition(t, "1", date(2026, 1, 1), b.tutor), b.ann)
	b.saveRules(t, b.edition(t, "2", date(2026, 7, 1), b.tutor), uuid.Nil)
	app, super := connect(t, b.urls.App), connect(t, b.urls.Super)
	for _, sql := range []string{`UPDATE rule_edition SET valid_to = '2026-03-31' WHERE edition = '1'`,
		`UPDATE rule_edition SET checked_by = NULL, checked_at = NULL WHERE edition = '1'`} {
		run(t, app, `BEGIN`)
		run(t, app, `SELECT set_config('app.centre_id', '1', true)`)
		refused(t, app, "23001", sql)
		run(t, app, `ROLLBACK`)
		refused(t, super, "23001", sql)
	}
	refused(t, super, "23001", `DELETE FROM rule_edition WHERE edition = '1'`)
	refused(t, super, "23001", `TRUNCATE rule_edition CASCADE`)
	run(t, super, `UPDATE rule_edition SET title = 'A draft may change' WHERE edition = '2'`)
}

// A job sheet carries the checked editions of the sets that its brief names, and of no other.
func TestJobSheetCarriesItsRules(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	for _, key := range []string{"bay7", "bay9"} {
		e := b.edition(t, "1", date(2026, 1, 1), b.tutor)
		e.Key = key
		b.saveRules(t, e, b.ann)
	}
	b.saveRules(t, b.edition(t, "2", date(2026, 7, 1), b.tutor), uuid.Nil)
	attempt := b.ruledAttempt(t, "bay7/cpc", "bay7/zs")
	v, err := b.LatestBriefByKey(ctx, b.centre, "ruled")
	if err != nil || !slices.Equal(v.Rules, []string{"bay7/cpc", "bay7/zs"}) {
		t.Errorf("the version names %q (%v)", v.Rules, err)
	}
	j, err := b.JobSheet(ctx, b.centre, attempt)
	if err != nil || len(j.Rules) != 1 || j.Rules[0].Key != "bay7" || j.Rules[0].Edition != "1" || j.Rules[0].Source == "" {
		t.Errorf("the sheet's rules are %+v (%v), want the checked edition of bay7 alone", j.Rules, err)
	}
	if j, err = b.JobSheet(ctx, b.centre, b.annDoes); err != nil || len(j.Rules) != 0 {
		t.Errorf("a brief without rules has %+v (%v)", j.Rules, err)
	}
}

// An edition that comes has the marker look at what waited for it, and at nothing else.
func TestMarksAreAskedForWhereARuleWasMissing(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	ruled, plain := b.ruledAttempt(t, "bay7/cpc"), b.annDoes
	for _, id := range []uuid.UUID{ruled, plain} {
		b.open(t, id)
		if err := b.HandOver(ctx, b.centre, store.HandOver{Attempt: id, Trainee: b.ann, At: monday}); err != nil {
			t.Fatal(err)
		}
	}
	jobs := func() int {
		return value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM river.river_job WHERE kind = 'mark' AND args ->> 'attempt' = $1`, ruled.String())
	}
	for key, want := range map[string]int{"bay": 0, "bay7": 1} {
		before, all := jobs(), value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM river.river_job`)
		b.write(t, func(tx *store.Tx) error { return tx.EnqueueMarksFor(ctx, key) })
		if got := jobs() - before; got != want || value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM river.river_job`)-all != want {
			t.Errorf("an edition of %s asks for %d markings, want %d of the one attempt", key, got, want)
		}
	}
}

// ruledAttempt is a planned attempt of Ann's at a published brief that names rules.
func (b bench) ruledAttempt(t *testing.T, rules ...string) uuid.UUID {
	t.Helper()
	ctx := t.Context()
	id, task, attempt, source := newID(t), newID(t), newID(t), "brief: with rules\n"
	b.write(t, func(tx *store.Tx) error {
		if err := tx.AddBrief(ctx, id, "ruled", monday); err != nil {
			return err
		}
		if _, err := tx.SaveDraft(ctx, store.BriefDraft{Brief: id, Source: source, Title: "Ruled", Digest: hexOf(source), Rules: rules, By: b.tutor, At: monday}); err != nil {
			return err
		}
		if err := tx.PublishBrief(ctx, id, 1, hexOf(source), b.bob, monday); err != nil {
			return err
		}
		return tx.SetTask(ctx, store.Task{ID: task, Brief: id, Version: 1, Cohort: b.cohort, SetBy: b.tutor, SetAt: monday},
			[]store.NewAttempt{{ID: attempt, Task: task, Trainee: b.ann, Number: 1, State: decision.Planned}})
	})
	return attempt
}

// What a changed edition concerns: marked under another one since its first day, or not signed off and not marked under it.
func TestAttemptsThatAChangeConcerns(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	id := b.ruledAttempt(t, "bay7/cpc", "bay9/cv")
	listed := func(rules ...string) bool {
		t.Helper()
		ids, err := b.AttemptsUnder(ctx, b.centre, "bay7", "2", rules, monday)
		if err != nil || len(ids) > 1 || len(ids) == 1 && ids[0] != id {
			t.Fatalf("attempts = %v, %v", ids, err)
		}
		return len(ids) == 1
	}
	move := func(state decision.State) {
		t.Helper()
		b.write(t, func(tx *store.Tx) error {
			a, err := tx.LockAttempt(ctx, id)
			if err != nil {
				return err
			}
			a.State = state
			_, err = tx.SaveAttempt(ctx, a)
			return err
		})
	}
	mark := func(edition string, at time.Time) {
		t.Helper()
		r := marking.Result{Engine: "m1", Rules: []brief.RuleEdition{{Set: "bay9", Edition: "2"}, {Set: "bay7", Edition: edition}}}
		b.write(t, func(tx *store.Tx) error {
			return tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: id, At: at, Result: r})
		})
	}
	if !listed("bay7/cpc") || listed("bay7/zs") {
		t.Error("planned: want it listed for the rule that its brief names, and for no other")
	}
	mark("1", monday.Add(-time.Hour))
	if move(decision.Checked); !listed("bay7/cpc") {
		t.Error("marked before the first day and not signed off: want it listed")
	}
	if move(decision.SignedOff); listed("bay7/cpc") {
		t.Error("signed off before the first day: want it left out")
	}
	if mark("1", monday); !listed("bay7/cpc") {
		t.Error("marked on the first day under the old edition, and signed off: want it listed")
	}
	mark("2", monday)
	if move(decision.Checked); listed("bay7/cpc") {
		t.Error("marked under the new edition: want it left out")
	}
}
