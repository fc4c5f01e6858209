package store_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

func TestJobSheetHasEverything(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	first, second, last := b.typed(t, "flow", "70.1"), b.typed(t, "return", "50"), b.typed(t, "flow", "69.8")
	photo := b.photo(t)
	release := b.record(t, decision.KindHoldRelease, "electrics", "")
	result := marking.Result{Engine: "m1", BriefDigest: b.digest, Marks: 1, Available: 2, Findings: []marking.Finding{{Item: "flow", Verdict: marking.Correct}}}
	b.write(t, func(tx *store.Tx) error {
		if n, err := tx.AddEntries(ctx, b.annDoes, []store.Entry{first, second, last}); err != nil || n != 3 {
			t.Errorf("AddEntries = %d, %v; want 3", n, err)
		}
		if added, err := tx.AddEvidence(ctx, photo); err != nil || !added {
			t.Errorf("AddEvidence = %v, %v; want true", added, err)
		}
		if err := tx.SetPreview(ctx, photo.ID, hexOf("preview"), -5, 7); err != nil {
			return err
		}
		if err := tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: marking.Result{Engine: "m0"}}); err != nil {
			return err
		}
		if err := tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: result}); err != nil {
			return err
		}
		return tx.AppendRecord(ctx, release)
	})

	j, err := b.JobSheet(ctx, b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	if j.Attempt.State != decision.Open || j.Attempt.Revision != 2 || j.Attempt.Given["flow"] != "12.4 L/min" || !j.Attempt.HandedOverAt.IsZero() {
		t.Errorf("attempt = %+v", j.Attempt)
	}
	if !slices.Contains(j.Attempt.Tutors, b.tutor) || j.Attempt.Cohort != b.cohort {
		t.Errorf("tutors = %v in %v, want %v in %v", j.Attempt.Tutors, j.Attempt.Cohort, b.tutor, b.cohort)
	}
	if j.Task.Title != "Fill the system" || j.Task.CohortName != "Year 1" || j.Task.SetByName != "Tess Tutor" || !j.Task.DueOn.Equal(date(2026, 4, 1)) {
		t.Errorf("task = %+v", j.Task)
	}
	if j.Brief.Source != "brief: 1\n" || j.Brief.Version != 1 || j.Brief.State != store.Published || j.Brief.PublishedBy != b.tutor {
		t.Errorf("brief = %+v", j.Brief)
	}
	if j.Trainee.Name != "Ann Apprentice" {
		t.Errorf("trainee = %+v", j.Trainee)
	}
	first.ByName, second.ByName, last.ByName = "Ann Apprentice", "Ann Apprentice", "Ann Apprentice"
	if d := cmp.Diff([]store.Entry{first, second, last}, j.Entries); d != "" {
		t.Errorf("entries (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]store.Entry{second, last}, j.Latest()); d != "" {
		t.Errorf("latest (-want +got):\n%s", d)
	}
	photo.ByName, photo.PreviewDigest, photo.PHash, photo.DHash = "Ann Apprentice", hexOf("preview"), -5, 7
	if d := cmp.Diff([]store.Evidence{photo}, j.Evidence); d != "" {
		t.Errorf("evidence (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]decision.Record{release}, j.Records); d != "" {
		t.Errorf("records (-want +got):\n%s", d)
	}
	if j.Marking == nil {
		t.Fatal("no marking")
	}
	if d := cmp.Diff(result, j.Marking.Result); d != "" {
		t.Errorf("marking (-want +got):\n%s", d)
	}
	forUnit, err := b.JobSheetsForUnit(ctx, b.centre, b.ann, b.unit)
	if err != nil || len(forUnit) != 1 || forUnit[0].Attempt.ID != b.annDoes || len(forUnit[0].Entries) != 3 {
		t.Errorf("JobSheetsForUnit = %d sheets, %v; want Ann's one", len(forUnit), err)
	}
	none, err := b.JobSheetsForUnit(ctx, b.centre, b.ann, "other")
	if err != nil || len(none) != 0 {
		t.Errorf("JobSheetsForUnit(other) = %d sheets, %v; want none", len(none), err)
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
	if err != nil || len(people) != 3 || people[0].Name != "Ann Apprentice" || len(people[2].Registrations) != 1 {
		t.Errorf("People = %+v, %v; want Ann, Bob and Tess with her registration", people, err)
	}
	tess, err := b.PersonBySignInName(ctx, b.signIn)
	if err != nil {
		t.Fatal(err)
	}
	want := account.Caller{Centre: b.centre, Person: b.tutor, Name: "Tess Tutor", Roles: []account.Role{account.Manager, account.Tutor},
		Registrations: []account.Registration{{Kind: "gas", Number: "T-100", ValidFrom: date(2026, 1, 1), ValidTo: date(2026, 12, 31)}}}
	if d := cmp.Diff(want, tess.Caller()); d != "" {
		t.Errorf("caller (-want +got):\n%s", d)
	}
	units, err := b.Units(ctx, b.centre)
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
