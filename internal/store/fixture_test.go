package store_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// monday is when everything in the tests happens.
var monday = time.Date(2026, 3, 2, 9, 30, 0, 123456000, time.UTC)

// bench is a centre with a tutor, two trainees, a published brief set to a cohort and a planned attempt each.
type bench struct {
	*store.Store
	urls             storetest.Database
	centre           int64
	tutor, ann, bob  uuid.UUID
	cohort, brief    uuid.UUID
	task             uuid.UUID
	annDoes, bobDoes uuid.UUID
	unit             string
	digest           string
	signIn           string
}

func newID(tb testing.TB) uuid.UUID {
	tb.Helper()
	id, err := uuid.NewV7()
	if err != nil {
		tb.Fatal(err)
	}
	return id
}

func hexOf(s string) string {
	d := sha256.Sum256([]byte(s))
	return hex.EncodeToString(d[:])
}

// newBench sets a centre up in a database of its own.
func newBench(t *testing.T) bench {
	t.Helper()
	urls := storetest.Migrated(t)
	return addBench(t, storetest.Open(t, urls.App), urls, "")
}

// addBench sets another centre up in a database; sign-in names get the suffix.
func addBench(t *testing.T, s *store.Store, urls storetest.Database, suffix string) bench {
	t.Helper()
	c, err := s.CreateCentre(t.Context(), "C-1"+suffix, "Practice Centre", monday)
	if err != nil {
		t.Fatal(err)
	}
	b := bench{Store: s, urls: urls, centre: c.ID, unit: "U1", digest: hexOf("brief: 1\n"), signIn: "tess" + suffix}
	for _, id := range []*uuid.UUID{&b.tutor, &b.ann, &b.bob, &b.cohort, &b.brief, &b.task, &b.annDoes, &b.bobDoes} {
		*id = newID(t)
	}
	b.write(t, func(tx *store.Tx) error { return b.fill(t, tx, suffix) })
	return b
}

func (b bench) fill(t *testing.T, tx *store.Tx, suffix string) error {
	t.Helper()
	ctx := t.Context()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range []store.Person{
		{ID: b.tutor, Name: "Tess Tutor", SignInName: "tess" + suffix, Roles: []account.Role{account.Manager, account.Tutor}, CreatedAt: monday,
			Registrations: []account.Registration{storetest.Award(), {Kind: "gas", Number: "T-100", ValidFrom: date(2026, 1, 1), ValidTo: date(2026, 12, 31)}}},
		{ID: b.ann, Name: "Ann Apprentice", SignInName: "ann" + suffix, Roles: []account.Role{account.Trainee}, CreatedAt: monday},
		{ID: b.bob, Name: "Bob Beginner", SignInName: "bob" + suffix, Roles: []account.Role{account.Trainee}, CreatedAt: monday},
	} {
		must(tx.AddPerson(ctx, p))
	}
	must(tx.SaveUnit(ctx, store.Unit{Code: b.unit, Title: "Heating", Edition: "1", Outcomes: []store.Outcome{
		{Code: "1", Title: "Be able to fill", Criteria: []store.Criterion{{Code: "1.1", Text: "fill"}, {Code: "1.2", Text: "vent"}}}}}))
	must(tx.AddCohort(ctx, b.cohort, "Year 1"+suffix, monday))
	must(tx.AddMember(ctx, b.cohort, b.tutor, store.PartTutor))
	must(tx.AddMember(ctx, b.cohort, b.ann, store.PartTrainee))
	must(tx.AddMember(ctx, b.cohort, b.bob, store.PartTrainee))
	must(tx.AddBrief(ctx, b.brief, "fill", monday))
	_, err := tx.SaveDraft(ctx, store.BriefDraft{Brief: b.brief, Source: "brief: 1\n", Title: "Fill the system", Digest: b.digest,
		Units: []string{b.unit}, By: b.tutor, At: monday})
	must(err)
	must(tx.PublishBrief(ctx, b.brief, 1, b.digest, b.ann, monday))
	return tx.SetTask(ctx, store.Task{ID: b.task, Brief: b.brief, Version: 1, Cohort: b.cohort, SetBy: b.tutor, SetAt: monday, DueOn: date(2026, 4, 1)},
		[]store.NewAttempt{
			{ID: b.annDoes, Task: b.task, Trainee: b.ann, Number: 1, State: decision.Planned, Seed: 11, Given: map[string]string{"flow": "12.4 L/min"}},
			{ID: b.bobDoes, Task: b.task, Trainee: b.bob, Number: 1, State: decision.Planned, Seed: 12},
		})
}

func date(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

// write writes in the bench's centre and fails the test where that fails.
func (b bench) write(t *testing.T, fn func(tx *store.Tx) error) {
	t.Helper()
	if err := b.Write(t.Context(), b.centre, fn); err != nil {
		t.Fatalf("write: %v", err)
	}
}

// open opens an attempt.
func (b bench) open(t *testing.T, attempt uuid.UUID) {
	t.Helper()
	b.write(t, func(tx *store.Tx) error {
		a, err := tx.LockAttempt(t.Context(), attempt)
		if err != nil {
			return err
		}
		a.State, a.OpenedAt = decision.Open, monday
		_, err = tx.SaveAttempt(t.Context(), a)
		return err
	})
}

// typed is an entry of Ann's.
func (b bench) typed(t *testing.T, item, text string) store.Entry {
	t.Helper()
	return store.Entry{ID: newID(t), Attempt: b.annDoes, Entry: marking.Entry{Item: item, Text: text, Unit: "°C"},
		CapturedAt: monday.Add(-time.Hour), ReceivedAt: monday, By: b.ann}
}

// record is a decision of the tutor's on Ann's attempt.
func (b bench) record(t *testing.T, kind decision.Kind, subject, outcome string) decision.Record {
	t.Helper()
	return decision.Record{ID: newID(t), Centre: b.centre, Attempt: b.annDoes, Kind: kind, Subject: subject, Outcome: outcome,
		Evidence: []string{"photo"}, By: b.tutor, ByName: "Tess Tutor", Role: string(account.Tutor), At: monday}
}

// photo is a file of Ann's.
func (b bench) photo(t *testing.T) store.Evidence {
	t.Helper()
	return store.Evidence{ID: newID(t), Attempt: b.annDoes, Item: "photo", Digest: hexOf("jpeg"), Size: 4, MediaType: "image/jpeg",
		Width: 640, Height: 480, Orientation: 6, Name: "IMG_1.jpg", TakenAt: monday, DeviceAt: monday, ReceivedAt: monday, By: b.ann}
}

// connect is a bare connection, closed when the test ends.
func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(context.WithoutCancel(t.Context())) })
	return conn
}

// value reads one value.
func value[T any](t *testing.T, conn *pgx.Conn, sql string, args ...any) T {
	t.Helper()
	rows, err := conn.Query(t.Context(), sql, args...)
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	v, err := pgx.CollectExactlyOneRow(rows, pgx.RowTo[T])
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

// run executes statements that must succeed.
func run(t *testing.T, conn *pgx.Conn, sql string, args ...any) {
	t.Helper()
	if _, err := conn.Exec(t.Context(), sql, args...); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

// dropRole takes a role away when the test is over and its own context has ended.
func dropRole(t *testing.T, super, role string) {
	t.Helper()
	ctx := context.WithoutCancel(t.Context())
	conn, err := pgx.Connect(ctx, super)
	if err != nil {
		t.Error(err)
		return
	}
	if _, err := conn.Exec(ctx, `DROP ROLE IF EXISTS `+role); err != nil {
		t.Error(err)
	}
	if err := conn.Close(ctx); err != nil {
		t.Error(err)
	}
}

// reachable is a temporary folder that the server's own account can reach when the tests run as root.
func reachable(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "witnessmark-store-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	return dir
}
