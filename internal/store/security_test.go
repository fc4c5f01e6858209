package store_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// refused runs a statement that the server must refuse with the SQLSTATE.
func refused(t *testing.T, conn *pgx.Conn, state, sql string, args ...any) {
	t.Helper()
	_, err := conn.Exec(t.Context(), sql, args...)
	var pg *pgconn.PgError
	if !errors.As(err, &pg) || pg.Code != state {
		t.Errorf("%s: got %v, want SQLSTATE %s", sql, err, state)
	}
}

// full is a bench with a row in every table.
func full(t *testing.T) bench {
	t.Helper()
	b := newBench(t)
	b.fillAll(t)
	return b
}

func (b bench) fillAll(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	b.open(t, b.annDoes)
	b.write(t, func(tx *store.Tx) error {
		_, e1 := tx.AddEntries(ctx, b.annDoes, []store.Entry{b.typed(t, "flow", "70")})
		_, e2 := tx.AddEvidence(ctx, b.photo(t))
		return errors.Join(e1, e2,
			tx.AppendRecord(ctx, b.record(t, decision.KindHoldRelease, "electrics", "")),
			tx.AddMarking(ctx, store.Marking{ID: newID(t), Attempt: b.annDoes, At: monday, Result: marking.Result{Engine: "m1"}}),
			tx.SayOfBrief(ctx, store.BriefCheck{ID: newID(t), Brief: b.brief, Version: 1, Digest: b.digest, Kind: store.CheckAsked, By: b.tutor, At: monday}),
			tx.AddInstrument(ctx, store.Instrument{ID: newID(t), Attempt: b.annDoes, Kind: "thermometer", Serial: "T-14", ReceivedAt: monday, By: b.ann}),
			tx.KeepStockRemarks(ctx, b.tutor, []string{"Show the working."}),
			tx.AddPortfolio(ctx, store.Portfolio{ID: newID(t), Trainee: b.ann, Unit: b.unit, RequestedBy: b.tutor, RequestedAt: monday}),
			tx.AddLink(ctx, store.Link{ID: newID(t), Digest: sum(newID(t).String()), Purpose: "password", Person: b.ann, ExpiresAt: monday}))
	})
	first := b.edition(t, "1", date(2026, 1, 1), b.tutor)
	b.saveRules(t, first, b.ann)
	b.write(t, func(tx *store.Tx) error { return tx.EndRules(ctx, first.ID, first.ID, date(2026, 6, 30), monday) })
	b.start(t, b.sending(t))
	b.keepSession(t, "token-"+newID(t).String(), b.tutor)
	b.fillSeals(t)
	b.fillSampling(t)
	b.fillRemarks(t)
	b.fillKeeping(t)
	b.fillPeople(t)
	b.fillRegister(t)
	b.fillStandards(t)
	b.fillVisit(t)
	b.fillLeavers(t)
	b.fillLog(t)
	b.fillPortfolioSet(t)
}

// fillRemarks publishes a second version of the brief and has what was marked under the first marked again.
func (b bench) fillRemarks(t *testing.T) {
	t.Helper()
	ctx, id := t.Context(), newID(t)
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.SaveDraft(ctx, store.BriefDraft{Brief: b.brief, Source: "brief: 1\n# corrected\n", Title: "Fill the system", Digest: hexOf("corrected"),
			Units: []string{b.unit}, By: b.tutor, At: monday, Over: b.digest})
		return errors.Join(err,
			tx.PublishBrief(ctx, b.brief, 2, hexOf("corrected"), b.ann, monday),
			tx.AddRemark(ctx, store.Remark{ID: id, Brief: b.brief, From: 1, To: 2, Words: "The limit was wrong.", By: b.tutor, At: monday}),
			tx.AddRemarked(ctx, id, monday, []store.Remarked{{Attempt: b.annDoes, Shift: "same", Lines: []byte("[]"), Rests: []string{}, Result: []byte("{}")}}))
	})
}

// tenantTables lists every table that belongs to centres.
func tenantTables(t *testing.T, conn *pgx.Conn) []string {
	t.Helper()
	rows, err := conn.Query(t.Context(), `SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' AND relrowsecurity ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func TestWithoutACentreNothingIsSeen(t *testing.T) {
	b := full(t)
	app, super := connect(t, b.urls.App), connect(t, b.urls.Super)
	for _, table := range tenantTables(t, super) {
		if n := value[int](t, super, `SELECT count(*) FROM `+table); n == 0 {
			t.Errorf("%s has no row, so seeing none proves nothing", table)
		}
		if n := value[int](t, app, `SELECT count(*) FROM `+table); n != 0 {
			t.Errorf("%s: %d rows seen without a centre", table, n)
		}
		run(t, app, `BEGIN`)
		run(t, app, `SELECT set_config('app.centre_id', $1, true)`, "999")
		if n := value[int](t, app, `SELECT count(*) FROM `+table); n != 0 {
			t.Errorf("%s: %d rows seen from another centre", table, n)
		}
		run(t, app, `ROLLBACK`)
	}
}

// After the transaction the setting is an empty string, not NULL: a plain cast of it would fail.
func TestSettingEndsWithItsTransaction(t *testing.T) {
	b := newBench(t)
	app := connect(t, b.urls.App)
	run(t, app, `BEGIN`)
	run(t, app, `SELECT set_config('app.centre_id', $1, true)`, "1")
	if n := value[int](t, app, `SELECT count(*) FROM person`); n != 3 {
		t.Errorf("%d people seen within the centre, want 3", n)
	}
	run(t, app, `COMMIT`)
	if s := value[*string](t, app, `SELECT current_setting('app.centre_id', true)`); s == nil || *s != "" {
		t.Errorf("setting after the transaction = %v, want an empty string", s)
	}
	if n := value[int](t, app, `SELECT count(*) FROM person`); n != 0 {
		t.Errorf("%d people seen after the transaction", n)
	}
}

func TestWrongCentreCannotBeWritten(t *testing.T) {
	b := newBench(t)
	app := connect(t, b.urls.App)
	const insert = `INSERT INTO cohort (centre_id, cohort_id, name, created_at) VALUES ($1, $2, 'x', now())`
	refused(t, app, "42501", insert, b.centre, newID(t))
	run(t, app, `BEGIN`)
	run(t, app, `SELECT set_config('app.centre_id', '2', true)`)
	refused(t, app, "42501", insert, b.centre, newID(t))
	run(t, app, `ROLLBACK`)
	err := b.Write(t.Context(), b.centre+1, func(tx *store.Tx) error {
		return tx.AppendRecord(t.Context(), b.record(t, decision.KindSignOff, "", ""))
	})
	var pg *pgconn.PgError
	if !errors.As(err, &pg) || pg.Code != "42501" {
		t.Errorf("a record of another centre: got %v, want SQLSTATE 42501", err)
	}
}

// The owner is held by FORCE; a superuser by nothing, which is why the program refuses to run as one.
func TestOwnerSeesNothingAndSuperuserEverything(t *testing.T) {
	b := newBench(t)
	owner, super := connect(t, b.urls.Owner), connect(t, b.urls.Super)
	for _, table := range tenantTables(t, super) {
		if n := value[int](t, owner, `SELECT count(*) FROM `+table); n != 0 {
			t.Errorf("%s: the owner sees %d rows", table, n)
		}
	}
	if n := value[int](t, super, `SELECT count(*) FROM person`); n != 3 {
		t.Errorf("the superuser sees %d people, want all 3", n)
	}
}

func TestCheckRefusesARoleThatNothingHolds(t *testing.T) {
	urls := storetest.Migrated(t)
	super := connect(t, urls.Super)
	run(t, super, `CREATE ROLE witnessmark_test_bypass LOGIN BYPASSRLS`)
	t.Cleanup(func() { dropRole(t, urls.Super, "witnessmark_test_bypass") })
	bypass := strings.Replace(urls.App, store.Role, "witnessmark_test_bypass", 1)
	tests := []struct{ name, url, want string }{
		{"plain role", urls.App, ""},
		{"superuser", urls.Super, "superuser"},
		{"owner", urls.Owner, "owns tables"},
		{"bypass", bypass, "bypass row-level security"},
		{"not migrated", storetest.Empty(t).App, "not been set up"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := storetest.Open(t, test.url).Check(t.Context())
			switch {
			case test.want == "" && err != nil:
				t.Errorf("got %v, want nothing", err)
			case test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)):
				t.Errorf("got %v, want %q in it", err, test.want)
			}
		})
	}
}

// A view sees with its owner's eyes unless it says security_invoker (PostgreSQL 15 and later). The catalogue walk refuses
// the first kind.
func TestPlainViewsBypass(t *testing.T) {
	b := newBench(t)
	app, super := connect(t, b.urls.App), connect(t, b.urls.Super)
	run(t, super, `
		CREATE VIEW plain AS SELECT * FROM person;
		CREATE VIEW careful WITH (security_invoker = true) AS SELECT * FROM person;
		GRANT SELECT ON plain, careful TO witnessmark_app`)
	if n := value[int](t, app, `SELECT count(*) FROM plain`); n != 3 {
		t.Errorf("%d people through a plain view of a superuser's; the pitfall would be gone", n)
	}
	if n := value[int](t, app, `SELECT count(*) FROM careful`); n != 0 {
		t.Errorf("%d people through a view with security_invoker, want 0", n)
	}
}

// Foreign keys look past policies, so only a key that carries the centre keeps rows of two centres from being tied.
func TestForeignKeysStayInTheirCentre(t *testing.T) {
	a := newBench(t)
	b := addBench(t, a.Store, a.urls, "2")
	err := a.Write(t.Context(), a.centre, func(tx *store.Tx) error {
		return tx.AddAttempts(t.Context(), []store.NewAttempt{{ID: newID(t), Task: b.task, Trainee: a.ann, Number: 1, State: decision.Planned}})
	})
	var pg *pgconn.PgError
	if !errors.As(err, &pg) || pg.Code != "23503" {
		t.Errorf("an attempt at another centre's task: got %v, want SQLSTATE 23503", err)
	}
	err = a.Write(t.Context(), a.centre, func(tx *store.Tx) error { return tx.AddMember(t.Context(), a.cohort, b.ann, store.PartTrainee) })
	if !errors.As(err, &pg) || pg.Code != "23503" {
		t.Errorf("another centre's trainee in a cohort: got %v, want SQLSTATE 23503", err)
	}
}

// @> on jsonb is not leakproof: under a policy an index on it is not used. Comparing bigint, uuid and text is, so an
// index that leads with centre_id serves.
func TestIndexesServeUnderPolicies(t *testing.T) {
	b := full(t)
	app := connect(t, b.urls.App)
	run(t, app, `BEGIN`)
	run(t, app, `SET LOCAL enable_seqscan = off`)
	run(t, app, `SELECT set_config('app.centre_id', '1', true)`)
	rows, err := app.Query(t.Context(), `EXPLAIN SELECT * FROM entry WHERE attempt_id = $1 ORDER BY seq`, pgx.QueryExecModeSimpleProtocol, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	plan := strings.Join(lines, "\n")
	if !strings.Contains(plan, "entry_attempt") || !strings.Contains(plan, "Index Cond: ((centre_id = $0) AND (attempt_id =") {
		t.Errorf("plan of a look-up by attempt:\n%s\nwant an index condition on centre and attempt", plan)
	}
	if !value[bool](t, app, `SELECT proleakproof FROM pg_proc WHERE oid = 'uuid_eq(uuid, uuid)'::regprocedure`) {
		t.Error("uuid_eq is not leakproof here")
	}
	if value[bool](t, app, `SELECT proleakproof FROM pg_proc WHERE oid = 'jsonb_contains(jsonb, jsonb)'::regprocedure`) {
		t.Error("jsonb_contains is leakproof here: the pitfall is gone")
	}
	run(t, app, `ROLLBACK`)
}

// Every read of one centre's thing from another centre is NotFound.
func TestAnotherCentresThingsAreNotThere(t *testing.T) {
	a := full(t)
	other := a.centre + 1
	ctx := t.Context()
	editions, err := a.RuleEditions(ctx, a.centre)
	if err != nil || len(editions) != 1 {
		t.Fatalf("the centre's own editions are %+v (%v), want one", editions, err)
	}
	tests := []struct {
		name string
		read func() error
	}{
		{"person", func() error { _, err := a.Person(ctx, other, a.ann); return err }},
		{"cohort", func() error { _, _, err := a.Cohort(ctx, other, a.cohort); return err }},
		{"board", func() error { _, err := a.Board(ctx, other, a.cohort); return err }},
		{"brief version", func() error { _, err := a.BriefVersion(ctx, other, a.brief, 1); return err }},
		{"task", func() error { _, err := a.Task(ctx, other, a.task); return err }},
		{"attempt", func() error { _, err := a.Attempt(ctx, other, a.annDoes); return err }},
		{"job sheet", func() error { _, err := a.JobSheet(ctx, other, a.annDoes); return err }},
		{"unit", func() error { _, err := a.UnitOn(ctx, other, a.unit, monday); return err }},
		{"centre", func() error { _, err := a.Centre(ctx, other); return err }},
		{"portfolio", func() error { _, err := a.Portfolio(ctx, other, uuid.New()); return err }},
		{"evidence", func() error { _, err := a.Evidence(ctx, other, uuid.New()); return err }},
		{"edition of a rule set", func() error { _, err := a.RuleEdition(ctx, other, editions[0].ID); return err }},
		{"locked attempt", func() error {
			return a.Write(ctx, other, func(tx *store.Tx) error { _, err := tx.LockAttempt(ctx, a.annDoes); return err })
		}},
		{"hand-over", func() error {
			return a.HandOver(ctx, other, store.HandOver{Attempt: a.annDoes, Trainee: a.ann, At: monday})
		}},
		{"disable", func() error {
			return a.Write(ctx, other, func(tx *store.Tx) error { return tx.Disable(ctx, a.ann, monday) })
		}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if err := test.read(); fault.KindOf(err) != fault.KindNotFound {
				t.Errorf("got %v, want NotFound", err)
			}
		})
	}
}

func TestRowsThatAreOnlyAdded(t *testing.T) {
	b := full(t)
	app, super := connect(t, b.urls.App), connect(t, b.urls.Super)
	for table, column := range map[string]string{"entry": "text", "record": "words", "marking": "engine", "rule_end": "last_day", "instrument": "serial", "log_entry": "kind", "log_hash": "h", "log_checkpoint": "note", "log_cosignature": "line"} {
		run(t, app, `BEGIN`)
		run(t, app, `SELECT set_config('app.centre_id', '1', true)`)
		run(t, app, `SAVEPOINT here`)
		for _, sql := range []string{`UPDATE ` + table + ` SET ` + column + ` = NULL`, `DELETE FROM ` + table, `TRUNCATE ` + table + ` CASCADE`} {
			refused(t, app, "42501", sql) // no right to it
			run(t, app, `ROLLBACK TO here`)
			refused(t, super, "23001", sql) // and the trigger, whoever asks
		}
		run(t, app, `ROLLBACK`)
	}
}

func TestPublishedVersionStays(t *testing.T) {
	b := newBench(t)
	app, super := connect(t, b.urls.App), connect(t, b.urls.Super)
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.SaveDraft(t.Context(), store.BriefDraft{Brief: b.brief, Source: "brief: 2\n", Title: "Second", Digest: hexOf("2"), By: b.tutor, At: monday, Over: b.digest})
		return err
	})
	for _, sql := range []string{`UPDATE brief_version SET source = 'x' WHERE version = 1`, `UPDATE brief_version SET state = 'draft', published_by = NULL, published_at = NULL WHERE version = 1`,
		`DELETE FROM brief_version WHERE version = 1`} {
		run(t, app, `BEGIN`)
		run(t, app, `SELECT set_config('app.centre_id', '1', true)`)
		refused(t, app, "23001", sql)
		run(t, app, `ROLLBACK`)
		refused(t, super, "23001", sql)
	}
	refused(t, super, "23001", `TRUNCATE brief_version CASCADE`)
	run(t, app, `BEGIN`)
	run(t, app, `SELECT set_config('app.centre_id', '1', true)`)
	run(t, app, `UPDATE brief_version SET title = 'A draft may change' WHERE version = 2`)
	run(t, app, `DELETE FROM brief_version WHERE version = 2`)
	run(t, app, `ROLLBACK`)
}
