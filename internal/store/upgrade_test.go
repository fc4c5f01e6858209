package store_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang-migrate/migrate/v4"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
	"witnessmark/migrations"
)

// sections are the rows of each schema, by the migration after which they go in.
func sections(t *testing.T) map[int]string {
	t.Helper()
	text, err := os.ReadFile("testdata/upgrade.sql")
	if err != nil {
		t.Fatal(err)
	}
	out := map[int]string{}
	for _, part := range strings.Split(string(text), "\n-- at ")[1:] {
		number, sql, _ := strings.Cut(part, "\n")
		n, err := strconv.Atoi(number)
		if err != nil || out[n] != "" {
			t.Fatalf("section %q", number)
		}
		out[n] = sql
	}
	return out
}

// tableRows are all rows of a centre's tables as JSON, by table, in the order of their text.
func tableRows(t *testing.T, conn *pgx.Conn) map[string][]map[string]any {
	t.Helper()
	out := map[string][]map[string]any{}
	for _, table := range tenantTables(t, conn) {
		rows, err := conn.Query(t.Context(), `SELECT to_jsonb(r)::text FROM `+table+` r`)
		if err != nil {
			t.Fatal(err)
		}
		texts, err := pgx.CollectRows(rows, pgx.RowTo[string])
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range texts {
			var row map[string]any
			if err := json.Unmarshal([]byte(text), &row); err != nil {
				t.Fatal(err)
			}
			out[table] = append(out[table], row)
		}
	}
	return out
}

// gone lists columns that a later migration took away on purpose, moved the tables whose rows went into others: see checkMoved.
var (
	gone  = []string{"evidence.before_release", "person.countersigned"}
	moved = []string{"criterion", "learning_outcome"}
)

// checkMoved looks for the rows of moved where they went: into the unit's first edition.
func checkMoved(t *testing.T, conn *pgx.Conn, before map[string][]map[string]any) {
	t.Helper()
	for _, table := range moved {
		if len(before[table]) == 0 {
			return
		}
		delete(before, table)
	}
	const want = `1 Heating [{"code": "1", "title": "Be able to fill", "criteria": [{"code": "1.1", "text": "fill"}, {"code": "1.2", "text": "vent"}]}]`
	if got := value[string](t, conn, `SELECT edition || ' ' || title || ' ' || outcomes FROM unit_edition WHERE unit_code = 'H2'`); got != want {
		t.Errorf("the unit's edition\n got %s\nwant %s", got, want)
	}
}

// kept says which rows of before are not among those after: each must be there with every column that it had.
func kept(before, after map[string][]map[string]any) (lost []string) {
	for _, table := range slices.Sorted(maps.Keys(before)) {
		for _, row := range before[table] {
			maps.DeleteFunc(row, func(column string, _ any) bool { return slices.Contains(gone, table+"."+column) })
			same := func(other map[string]any) bool {
				for column, value := range row {
					if is, ok := other[column]; !ok || fmt.Sprint(is) != fmt.Sprint(value) {
						return false
					}
				}
				return true
			}
			if !slices.ContainsFunc(after[table], same) {
				lost = append(lost, fmt.Sprintf("%s: %v", table, row))
			}
		}
	}
	return lost
}

// From every earlier schema, with rows that a program of each schema before it has put in: the upgrade loses none and changes
// none, the result is the schema of a new database, and the program takes it.
func TestUpgradeFromEverySchema(t *testing.T) {
	rows, want := sections(t), schema(t, storetest.Migrated(t).Owner)
	for _, from := range slices.Sorted(maps.Keys(rows)) {
		t.Run(fmt.Sprintf("from %d", from), func(t *testing.T) {
			t.Parallel() // each has a database of its own
			db := storetest.Empty(t)
			conn := connect(t, db.Super)
			if err := step(t, db.Owner, migrations.FS, func(m *migrate.Migrate) error {
				run(t, conn, `CREATE TABLE IF NOT EXISTS migration_done (version bigint PRIMARY KEY)`)
				run(t, conn, `ALTER TABLE migration_done OWNER TO witnessmark_test_owner`)
				for n := 1; n <= from; n++ {
					if err := m.Steps(1); err != nil {
						return fmt.Errorf("to %d: %w", n, err)
					}
					run(t, conn, rows[n])
				}
				return nil
			}); err != nil {
				t.Fatal(err)
			}
			before := tableRows(t, conn)
			if len(before) == 0 {
				t.Fatal("no rows, so keeping them proves nothing")
			}
			if err := store.Migrate(t.Context(), db.Owner); err != nil {
				t.Fatal(err)
			}
			checkMoved(t, conn, before)
			for _, l := range kept(before, tableRows(t, conn)) {
				t.Errorf("lost or changed: %s", l)
			}
			if got := schema(t, db.Owner); !slices.Equal(got, want) {
				t.Errorf("the schema is not that of a new database")
			}
			for _, c := range readComplaints(t, conn) {
				t.Error(c)
			}
			s := storetest.Open(t, db.App)
			if err := s.Check(t.Context()); err != nil {
				t.Error(err)
			}
			logged, err := s.BackfillLog(t.Context(), 1)
			want := 0
			for _, table := range []string{"record", "ruling", "ruling_look", "action", "register_strike", "conflict", "prior_decision", "prior_look", "withdrawal"} {
				want += len(before[table])
				for _, row := range before[table] { // what ended one is a decision of its own
					if row["closed_at"] != nil || row["ended_at"] != nil || row["back_at"] != nil {
						want++
					}
				}
			}
			if err != nil || logged != want {
				t.Errorf("%d decisions were appended to the log (%v), want %d", logged, err, want)
			}
		})
	}
}

// What the upgrade must keep would be missed.
func TestKeptNotices(t *testing.T) {
	row := func(text string) map[string][]map[string]any {
		return map[string][]map[string]any{"person": {{"name": text, "centre_id": 1}}}
	}
	if lost := kept(row("Ann"), row("Bob")); len(lost) != 1 {
		t.Errorf("a changed row: %q", lost)
	}
	if lost := kept(row("Ann"), nil); len(lost) != 1 {
		t.Errorf("a lost row: %q", lost)
	}
	if lost := kept(row("Ann"), row("Ann")); len(lost) != 0 {
		t.Errorf("the same row: %q", lost)
	}
}
