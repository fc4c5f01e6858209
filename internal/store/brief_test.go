package store_test

import (
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

func TestDraftsAndVersions(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	save := func(source, over string) (int, error) {
		var version int
		err := b.Write(ctx, b.centre, func(tx *store.Tx) (err error) {
			version, err = tx.SaveDraft(ctx, store.BriefDraft{Brief: b.brief, Source: source, Title: source, Digest: hexOf(source), By: b.tutor, At: monday, Over: over})
			return err
		})
		return version, err
	}
	tests := []struct {
		name, source, over string
		version            int
		kind               fault.Kind
	}{
		{"the next after a published one", "second", b.digest, 2, fault.Internal},
		{"over a version that is no longer the newest", "third", b.digest, 0, fault.KindConflict},
		{"over nothing, where there is something", "third", "", 0, fault.KindConflict},
		{"over the draft", "third", hexOf("second"), 2, fault.Internal},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			version, err := save(test.source, test.over)
			if version != test.version || fault.KindOf(err) != test.kind {
				t.Errorf("got version %d, %v; want %d, kind %d", version, err, test.version, test.kind)
			}
		})
	}
	publish := func(digest string) error {
		return b.Write(ctx, b.centre, func(tx *store.Tx) error { return tx.PublishBrief(ctx, b.brief, 2, digest, b.bob, monday) })
	}
	if err := publish(hexOf("second")); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("publishing what has changed: %v, want Conflict", err)
	}
	if err := publish(hexOf("third")); err != nil {
		t.Fatal(err)
	}
	if err := publish(hexOf("third")); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("publishing twice: %v, want Conflict", err)
	}
	v, err := b.LatestBriefByKey(ctx, b.centre, "fill")
	if err != nil || v.Version != 2 || v.Source != "third" || v.State != store.Published {
		t.Errorf("newest = %+v, %v", v, err)
	}
	versions, err := b.BriefVersions(ctx, b.centre, b.brief)
	if err != nil || len(versions) != 2 || versions[0].Version != 2 {
		t.Errorf("versions = %+v, %v", versions, err)
	}
}

func TestOnlyPublishedVersionsAreSet(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.SaveDraft(ctx, store.BriefDraft{Brief: b.brief, Source: "x", Digest: hexOf("x"), By: b.tutor, At: monday, Over: b.digest})
		return err
	})
	set := func(version int) error {
		return b.Write(ctx, b.centre, func(tx *store.Tx) error {
			members, err := tx.LockCohort(ctx, b.cohort)
			if err != nil || len(members) != 3 {
				t.Errorf("members = %+v, %v", members, err)
			}
			k := store.Task{ID: newID(t), Brief: b.brief, Version: version, Cohort: b.cohort, SetBy: b.tutor, SetAt: monday}
			return tx.SetTask(ctx, k, []store.NewAttempt{{ID: newID(t), Task: k.ID, Trainee: b.ann, Number: 1, State: decision.Planned}})
		})
	}
	if err := set(2); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("setting a draft: %v, want Conflict", err)
	}
	if err := set(1); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("setting the same version twice: %v, want Conflict", err)
	}
	if err := set(9); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("setting what is not there: %v, want Conflict", err)
	}
}

func TestNamesThatAreTaken(t *testing.T) {
	a := newBench(t)
	b := addBench(t, a.Store, a.urls, "2")
	ctx := t.Context()
	tests := []struct {
		name, field string
		do          func(tx *store.Tx) error
	}{
		{"sign-in name of another centre", "sign_in_name", func(tx *store.Tx) error {
			return tx.AddPerson(ctx, store.Person{ID: newID(t), Name: "X", SignInName: a.signIn, CreatedAt: monday})
		}},
		{"cohort", "name", func(tx *store.Tx) error { return tx.AddCohort(ctx, newID(t), "Year 12", monday) }},
		{"brief key", "key", func(tx *store.Tx) error { return tx.AddBrief(ctx, newID(t), "fill", monday) }},
		{"registration", "number", func(tx *store.Tx) error {
			g := account.Registration{Kind: "gas", Number: "1", ValidFrom: monday, ValidTo: monday}
			return tx.SetRegistrations(ctx, b.ann, []account.Registration{g, g})
		}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := b.Write(ctx, b.centre, test.do)
			f, ok := fault.As(err)
			if !ok || f.Kind != fault.KindInvalid || len(f.Fields) != 1 || f.Fields[0].Name != test.field {
				t.Errorf("got %v, want Invalid on %q", err, test.field)
			}
		})
	}
}

func TestTextThatCannotBeKept(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	for name, text := range map[string]string{"a zero character": "a\x00b", "bytes that are not UTF-8": "a\xffb"} {
		t.Run(name, func(t *testing.T) {
			if _, err := b.PersonBySignInName(ctx, text); fault.KindOf(err) != fault.KindInvalid {
				t.Errorf("looked up: %v, want Invalid", err)
			}
			e := b.typed(t, "flow", text)
			err := b.Write(ctx, b.centre, func(tx *store.Tx) error { _, err := tx.AddEntries(ctx, b.annDoes, []store.Entry{e}); return err })
			if fault.KindOf(err) != fault.KindInvalid {
				t.Errorf("written: %v, want Invalid", err)
			}
		})
	}
	err := b.Write(ctx, b.centre, func(tx *store.Tx) error {
		return tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: marking.Result{Engine: "m1", Properties: "a\x00b"}})
	})
	if fault.KindOf(err) != fault.KindInvalid {
		t.Errorf("within a result: %v, want Invalid", err)
	}
}

func TestPortfolioFromRequestToReady(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	p := store.Portfolio{ID: newID(t), Trainee: b.ann, Unit: b.unit, RequestedBy: b.tutor, RequestedAt: monday}
	for range 2 {
		b.write(t, func(tx *store.Tx) error {
			if err := tx.AddPortfolio(ctx, p); err != nil {
				return err
			}
			return tx.EnqueuePortfolio(ctx, p.ID)
		})
	}
	if n := value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM river.river_job WHERE kind = 'portfolio'`); n != 1 {
		t.Errorf("%d jobs, want 1", n)
	}
	b.write(t, func(tx *store.Tx) error {
		got, err := tx.LockPortfolio(ctx, p.ID)
		if err != nil {
			return err
		}
		got.State, got.Digest, got.Size, got.BuiltAt = store.PortfolioReady, hexOf("pdf"), 3, monday
		return tx.SavePortfolio(ctx, got)
	})
	list, err := b.PortfoliosOf(ctx, b.centre, b.ann)
	want := p
	want.TraineeName, want.UnitTitle, want.RequestedByName = "Ann Apprentice", "Heating", "Tess Tutor"
	want.State, want.Digest, want.Size, want.BuiltAt = store.PortfolioReady, hexOf("pdf"), 3, monday
	if err != nil || len(list) != 1 || list[0] != want {
		t.Errorf("portfolios = %+v, %v; want %+v", list, err, want)
	}
}

func TestSignInFailuresAreCounted(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	for range 3 {
		b.write(t, func(tx *store.Tx) error { return tx.SignInFailed(ctx, b.ann, monday) })
	}
	if p, err := b.PersonBySignInName(ctx, "ann"); err != nil || p.FailedCount != 3 || !p.FailedAt.Equal(monday) || p.ID != b.ann {
		t.Errorf("got %+v, %v; want 3 failures", p, err)
	}
	b.write(t, func(tx *store.Tx) error { return tx.SignedIn(ctx, b.ann) })
	if p, err := b.PersonBySignInName(ctx, "ann"); err != nil || p.FailedCount != 0 || !p.FailedAt.IsZero() {
		t.Errorf("got %+v, %v; want none", p, err)
	}
	if _, err := b.PersonBySignInName(ctx, "nobody"); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("nobody: %v, want NotFound", err)
	}
}
