package store_test

import (
	"errors"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// worked is what Ann put down and what was said of it.
type worked struct {
	entries []store.Entry // the third supersedes the first
	photo   store.Evidence
	release decision.Record
	result  marking.Result
}

// work fills Ann's open attempt.
func (b bench) work(t *testing.T) worked {
	t.Helper()
	ctx := t.Context()
	b.open(t, b.annDoes)
	w := worked{
		entries: []store.Entry{b.typed(t, "flow", "70.1"), b.typed(t, "return", "50"), b.typed(t, "flow", "69.8")},
		photo:   b.photo(t),
		release: b.record(t, decision.KindHoldRelease, "electrics", ""),
		result: marking.Result{Engine: "m1", BriefDigest: b.digest, Marks: 1, Available: 2,
			Findings: []marking.Finding{{Item: "flow", Verdict: marking.Correct}}},
	}
	b.write(t, func(tx *store.Tx) error {
		n, err := tx.AddEntries(ctx, b.annDoes, w.entries)
		added, err2 := tx.AddEvidence(ctx, w.photo)
		if n != 3 || !added {
			t.Errorf("%d entries and evidence %v are new; want 3 and true", n, added)
		}
		return errors.Join(err, err2,
			tx.SetPreview(ctx, w.photo.ID, hexOf("preview"), -5, 7),
			tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: marking.Result{Engine: "m0"}}),
			tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: w.result}),
			tx.AppendRecord(ctx, w.release))
	})
	for i := range w.entries {
		w.entries[i].ByName = "Ann Apprentice"
	}
	w.photo.ByName, w.photo.PreviewDigest, w.photo.PHash, w.photo.DHash = "Ann Apprentice", hexOf("preview"), -5, 7
	return w
}

func TestJobSheetHasEverything(t *testing.T) {
	b := newBench(t)
	w := b.work(t)
	j, err := b.JobSheet(t.Context(), b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	if j.Marking == nil {
		t.Fatal("no marking")
	}
	want := store.JobSheet{
		Attempt: store.Attempt{ID: b.annDoes, Task: b.task, Trainee: b.ann, Number: 1, State: decision.Open, Revision: 2, Seed: 11,
			Given: map[string]string{"flow": "12.4 L/min"}, OpenedAt: monday, Cohort: b.cohort, Tutors: []uuid.UUID{b.tutor}},
		Task: store.Task{ID: b.task, Brief: b.brief, Version: 1, Title: "Fill the system", Cohort: b.cohort, CohortName: "Year 1",
			SetBy: b.tutor, SetByName: "Tess Tutor", SetAt: monday, DueOn: date(2026, 4, 1)},
		Brief: store.BriefVersion{Brief: b.brief, Key: "fill", Version: 1, Source: "brief: 1\n", Title: "Fill the system", Digest: b.digest,
			Units: []string{b.unit}, Rules: []string{}, State: store.Published, WrittenBy: b.tutor, WriterName: "Tess Tutor", WrittenAt: monday,
			Writers: []uuid.UUID{b.tutor}, PublishedBy: b.ann, PublisherName: "Ann Apprentice", PublishedAt: monday},
		Trainee: store.Person{Centre: b.centre, ID: b.ann, Name: "Ann Apprentice", SignInName: "ann", CreatedAt: monday, Roles: []account.Role{account.Trainee}},
		Entries: w.entries, Evidence: []store.Evidence{w.photo}, Records: []decision.Record{w.release},
		Marking: &store.Marking{ID: j.Marking.ID, Attempt: b.annDoes, At: monday, Engine: "m1", BriefDigest: b.digest, Result: w.result},
	}
	// A card's code is drawn by the database, and no covers are an empty list there.
	if j.Attempt.Card == uuid.Nil {
		t.Error("the attempt has no code for its card")
	}
	want.Attempt.Card = j.Attempt.Card
	if d := cmp.Diff(want, j, cmpopts.EquateEmpty()); d != "" {
		t.Errorf("job sheet (-want +got):\n%s", d)
	}
	if d := cmp.Diff(w.entries[1:], j.Latest()); d != "" {
		t.Errorf("latest (-want +got):\n%s", d)
	}
}

func TestJobSheetsForUnit(t *testing.T) {
	b := newBench(t)
	b.work(t)
	for unit, want := range map[string]int{b.unit: 1, "other": 0} {
		got, err := b.JobSheetsForUnit(t.Context(), b.centre, b.ann, unit)
		if err != nil || len(got) != want {
			t.Errorf("unit %s: %d sheets, %v; want %d", unit, len(got), err, want)
		}
		for _, j := range got {
			if j.Attempt.ID != b.annDoes || len(j.Entries) != 3 {
				t.Errorf("unit %s: attempt %v with %d entries; want %v with 3", unit, j.Attempt.ID, len(j.Entries), b.annDoes)
			}
		}
	}
}

func TestCanonicalBytesAreKept(t *testing.T) {
	b := newBench(t)
	r := b.record(t, decision.KindCriterion, "U1/1.1", "met")
	b.write(t, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), r) })
	want, err := r.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	got, err := b.RecordBytes(t.Context(), b.centre, b.annDoes)
	if err != nil || len(got) != 1 || string(got[0]) != string(want) {
		t.Errorf("RecordBytes = %q, %v; want %q", got, err, want)
	}
	// What is read back makes the same bytes again.
	j, err := b.JobSheet(t.Context(), b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	again, err := j.Records[0].Canonical()
	if err != nil || string(again) != string(want) {
		t.Errorf("bytes of the record as read = %q, %v; want %q", again, err, want)
	}
}

func TestBoard(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	met := b.record(t, decision.KindCriterion, "U1/1.1", "not_yet_met")
	met2 := b.record(t, decision.KindCriterion, "U1/1.1", "met")
	met2.Supersedes = met.ID
	b.write(t, func(tx *store.Tx) error {
		for _, r := range []decision.Record{b.record(t, decision.KindHoldRelease, "electrics", ""), met, met2} {
			if err := tx.AppendRecord(ctx, r); err != nil {
				return err
			}
		}
		if _, err := tx.AddEntries(ctx, b.annDoes, []store.Entry{b.typed(t, "flow", "1"), b.typed(t, "flow", "2"), b.typed(t, "return", "3")}); err != nil {
			return err
		}
		_, err := tx.AddEvidence(ctx, b.photo(t))
		return err
	})
	got, err := b.Board(ctx, b.centre, b.cohort)
	if err != nil {
		t.Fatal(err)
	}
	want := []store.Standing{
		{Attempt: b.annDoes, Task: b.task, Trainee: b.ann, TraineeName: "Ann Apprentice", Number: 1, State: decision.Open, Revision: 2, OpenedAt: monday,
			Released: []string{"electrics"}, Items: []string{"flow", "photo", "return"}, Entries: 2, Files: 1, Met: 1},
		{Attempt: b.bobDoes, Task: b.task, Trainee: b.bob, TraineeName: "Bob Beginner", Number: 1, State: decision.Planned, Revision: 1,
			Released: []string{}, Items: []string{}},
	}
	if d := cmp.Diff(want, got.Attempts); d != "" {
		t.Errorf("attempts (-want +got):\n%s", d)
	}
	if got.Cohort.Trainees != 2 || got.Cohort.Tasks != 1 || len(got.Members) != 3 || got.Members[0].Part != store.PartTutor {
		t.Errorf("cohort = %+v, members %+v", got.Cohort, got.Members)
	}
	if len(got.Tasks) != 1 || len(got.Sources) != 1 || got.Sources[0].Source != "brief: 1\n" {
		t.Errorf("tasks = %+v, sources %+v", got.Tasks, got.Sources)
	}
}

func TestListsOfPeopleCohortsUnitsAndTasks(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	people, err := b.People(ctx, b.centre)
	if err != nil || len(people) != 3 || people[0].Name != "Ann Apprentice" || len(people[2].Registrations) != 2 {
		t.Errorf("People = %+v, %v; want Ann, Bob and Tess with her registration", people, err)
	}
	tess, err := b.PersonBySignInName(ctx, b.signIn)
	if err != nil {
		t.Fatal(err)
	}
	want := account.Caller{Centre: b.centre, Person: b.tutor, Name: "Tess Tutor", Roles: []account.Role{account.Manager, account.Tutor},
		Registrations: []account.Registration{storetest.Award(), {Kind: "gas", Number: "T-100", ValidFrom: date(2026, 1, 1), ValidTo: date(2026, 12, 31)}}}
	if d := cmp.Diff(want, tess.Caller()); d != "" {
		t.Errorf("caller (-want +got):\n%s", d)
	}
	units, err := b.UnitsOn(ctx, b.centre, monday)
	if err != nil || len(units) != 1 || len(units[0].Outcomes) != 1 || len(units[0].Outcomes[0].Criteria) != 2 {
		t.Errorf("Units = %+v, %v", units, err)
	}
	cohorts, err := b.CohortsOf(ctx, b.centre, b.tutor, store.PartTutor)
	if err != nil || len(cohorts) != 1 || cohorts[0].Trainees != 2 {
		t.Errorf("CohortsOf = %+v, %v", cohorts, err)
	}
	tutors, err := b.TutorsOf(ctx, b.centre, b.ann)
	if err != nil || !slices.Equal(tutors, cohortTutors(b)) {
		t.Errorf("TutorsOf = %v, %v", tutors, err)
	}
	tasks, err := b.TasksOf(ctx, b.centre, b.ann)
	if err != nil || len(tasks) != 1 || tasks[0].Attempt != b.annDoes || tasks[0].State != decision.Planned || tasks[0].ID != b.task {
		t.Errorf("TasksOf = %+v, %v", tasks, err)
	}
	briefs, err := b.Briefs(ctx, b.centre)
	if err != nil || len(briefs) != 1 || briefs[0].Source != "" || briefs[0].Key != "fill" {
		t.Errorf("Briefs = %+v, %v", briefs, err)
	}
}

func cohortTutors(b bench) []uuid.UUID { return []uuid.UUID{b.tutor} }
