package store_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/store/storetest"
)

// complaints says what the catalogue has that would let one centre reach another, or that keeps the data from being
// distributed by centre. The tables named in the first WITH are the only ones that belong to no centre.
const complaints = `
WITH tenant AS (
	SELECT c.oid, c.relname, c.relrowsecurity, c.relforcerowsecurity FROM pg_class c
	WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND c.relname NOT IN ('schema_migrations', 'migration_done')
), lead AS (
	SELECT i.indrelid, x.relname AS index, i.indisprimary, a.attname AS first
	FROM pg_index i JOIN pg_class x ON x.oid = i.indexrelid
	LEFT JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = i.indkey[0]
)
SELECT relname || ': row-level security is off' FROM tenant WHERE NOT relrowsecurity
UNION ALL SELECT relname || ': row-level security is not forced' FROM tenant WHERE NOT relforcerowsecurity
UNION ALL SELECT relname || ': no policy for every command that checks reading and writing by centre' FROM tenant t WHERE NOT EXISTS (
	SELECT FROM pg_policy p WHERE p.polrelid = t.oid AND p.polcmd = '*' AND p.polpermissive AND p.polroles = '{0}'
	AND pg_get_expr(p.polqual, t.oid) ~ 'centre_id = .*app\.centre_id' AND pg_get_expr(p.polwithcheck, t.oid) ~ 'centre_id = .*app\.centre_id')
UNION ALL SELECT t.relname || ': another policy widens what is seen: ' || p.polname FROM tenant t JOIN pg_policy p ON p.polrelid = t.oid
	WHERE p.polname <> 'centre' AND p.polroles <> ARRAY['witnessmark_lookup'::regrole::oid]
UNION ALL SELECT relname || ': the primary key does not lead with centre_id' FROM tenant t WHERE NOT EXISTS (
	SELECT FROM lead l WHERE l.indrelid = t.oid AND l.indisprimary AND l.first = 'centre_id')
UNION ALL SELECT t.relname || ': the index ' || l.index || ' does not lead with centre_id' FROM tenant t JOIN lead l ON l.indrelid = t.oid
	WHERE l.first IS DISTINCT FROM 'centre_id' AND l.index NOT IN ('centre_code_key', 'person_sign_in_name_key', 'session_digest_key', 'link_digest_key')
UNION ALL SELECT t.relname || ': the foreign key ' || k.conname || ' does not carry centre_id' FROM tenant t JOIN pg_constraint k ON k.conrelid = t.oid AND k.contype = 'f'
	WHERE NOT EXISTS (SELECT FROM pg_attribute a, pg_attribute b WHERE a.attrelid = k.conrelid AND a.attnum = k.conkey[1] AND a.attname = 'centre_id'
		AND b.attrelid = k.confrelid AND b.attnum = k.confkey[1] AND b.attname = 'centre_id')
UNION ALL SELECT v.relname || ': a view without security_invoker sees with its owner''s eyes' FROM pg_class v
	WHERE v.relnamespace = 'public'::regnamespace AND v.relkind IN ('v', 'm') AND NOT coalesce(v.reloptions @> '{security_invoker=true}', false)
UNION ALL SELECT c.relname || ': the application may ' || g.privilege FROM pg_class c, unnest(ARRAY['TRUNCATE', 'REFERENCES', 'TRIGGER']) AS g (privilege)
	WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p', 'v') AND has_table_privilege('witnessmark_app', c.oid, g.privilege)
UNION ALL SELECT c.relname || ': the application may read or write what belongs to no centre' FROM pg_class c
	WHERE c.relname IN ('schema_migrations', 'migration_done') AND has_any_column_privilege('witnessmark_app', c.oid, CASE c.relname WHEN 'migration_done' THEN 'INSERT, UPDATE' ELSE 'SELECT, INSERT, UPDATE' END)
UNION ALL SELECT c.relname || ': the application may change rows that are only added' FROM pg_class c
	WHERE c.oid IN ('entry'::regclass, 'record'::regclass, 'marking'::regclass, 'rule_end'::regclass, 'seal'::regclass, 'seal_item'::regclass, 'instrument'::regclass, 'remark_result'::regclass, 'brief_check'::regclass, 'log_entry'::regclass, 'log_hash'::regclass, 'log_checkpoint'::regclass, 'log_cosignature'::regclass, 'sample_item'::regclass, 'sample_outcome'::regclass, 'claim'::regclass, 'claim_item'::regclass,
		'register_kind'::regclass, 'register_event'::regclass, 'register_strike'::regclass, 'register_look'::regclass, 'alike_look'::regclass, 'alike_setting'::regclass)
	AND (has_any_column_privilege('witnessmark_app', c.oid, 'UPDATE') OR has_table_privilege('witnessmark_app', c.oid, 'DELETE'))
UNION ALL SELECT c.relname || ': the application owns it' FROM pg_class c WHERE pg_has_role('witnessmark_app', c.relowner, 'MEMBER')
ORDER BY 1`

func readComplaints(t *testing.T, conn *pgx.Conn) []string {
	t.Helper()
	rows, err := conn.Query(t.Context(), complaints)
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestCatalogueKeepsCentresApart(t *testing.T) {
	conn := connect(t, storetest.Migrated(t).Super)
	if n := value[int](t, conn, `SELECT count(*) FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' AND relrowsecurity`); n < 18 {
		t.Errorf("%d tables under row-level security; want all 18 and more", n)
	}
	for _, c := range readComplaints(t, conn) {
		t.Error(c)
	}
}

// The walk would notice: each of these is a way in.
func TestCatalogueWalkNotices(t *testing.T) {
	tests := []struct{ name, sql, want string }{
		{"security off", `ALTER TABLE person DISABLE ROW LEVEL SECURITY`, "person: row-level security is off"},
		{"not forced", `ALTER TABLE person NO FORCE ROW LEVEL SECURITY`, "person: row-level security is not forced"},
		{"no policy", `DROP POLICY centre ON task`, "task: no policy for every command that checks reading and writing by centre"},
		{"open policy", `CREATE POLICY open ON task USING (true)`, "task: another policy widens what is seen: open"},
		{"key without centre", `CREATE TABLE bad (id uuid PRIMARY KEY)`, "bad: the primary key does not lead with centre_id"},
		{"index", `CREATE INDEX by_state ON attempt (state)`, "attempt: the index by_state does not lead with centre_id"},
		{"index on an expression", `CREATE INDEX by_upper ON attempt (upper(state), centre_id)`, "attempt: the index by_upper does not lead with centre_id"},
		{"foreign key", `CREATE TABLE parent (id int PRIMARY KEY); ALTER TABLE attempt ADD FOREIGN KEY (number) REFERENCES parent`,
			"attempt: the foreign key attempt_number_fkey does not carry centre_id"},
		{"view", `CREATE VIEW everyone AS SELECT * FROM person`, "everyone: a view without security_invoker sees with its owner's eyes"},
		{"truncate", `GRANT TRUNCATE ON record TO witnessmark_app`, "record: the application may TRUNCATE"},
		{"change records", `GRANT UPDATE (words) ON record TO witnessmark_app`, "record: the application may change rows that are only added"},
		{"owns", `ALTER TABLE task OWNER TO witnessmark_app`, "task: the application owns it"},
		{"marks", `GRANT INSERT ON migration_done TO witnessmark_app`, "migration_done: the application may read or write what belongs to no centre"},
		{"versions", `GRANT UPDATE ON schema_migrations TO witnessmark_app`, "schema_migrations: the application may read or write what belongs to no centre"},
	}
	conn := connect(t, storetest.Migrated(t).Super)
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			run(t, conn, `BEGIN`)
			defer run(t, conn, `ROLLBACK`)
			run(t, conn, test.sql)
			if got := readComplaints(t, conn); !slices.Contains(got, test.want) {
				t.Errorf("got %q, want %q among them", got, test.want)
			}
		})
	}
}

// Exactly seven functions read what belongs to other centres: five before a centre is known, and one that tells whether any needs
// some bytes, and one that lists the centres for signing. Each gives ids or a yes alone, looks nowhere but where it says, and may be
// called by the application only.
func TestSevenFunctionsReadAcrossCentres(t *testing.T) {
	conn := connect(t, storetest.Migrated(t).Super)
	rows, err := conn.Query(t.Context(), `
		SELECT n.nspname || '.' || p.proname || ' gives ' || pg_get_function_result(p.oid) || ', owner ' || p.proowner::regrole ||
			', ' || array_to_string(p.proconfig, ' ') || ', callers ' || (SELECT string_agg(a.grantee::regrole::text, ' ' ORDER BY a.grantee::regrole::text)
				FROM aclexplode(p.proacl) a WHERE a.grantee <> p.proowner)
		FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace
		WHERE p.prosecdef AND p.proowner <> 'witnessmark_erase'::regrole ORDER BY 1`) // TestErasing has those that erase
	if err != nil {
		t.Fatal(err)
	}
	got, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	const tail = `, owner witnessmark_lookup, search_path=pg_catalog, pg_temp, callers witnessmark_app`
	want := []string{
		"public.bytes_needed gives boolean" + tail,
		"public.lookup_centres gives TABLE(centre_id bigint)" + tail,
		"public.lookup_job gives TABLE(centre_id bigint)" + tail,
		"public.lookup_link gives TABLE(centre_id bigint, link_id uuid)" + tail,
		"public.lookup_old_uploads gives TABLE(centre_id bigint)" + tail,
		"public.lookup_session gives TABLE(centre_id bigint, person_id uuid)" + tail,
		"public.lookup_sign_in gives TABLE(centre_id bigint, person_id uuid)" + tail,
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("SECURITY DEFINER functions (-want +got):\n%s", d)
	}
	var columns []string
	rows, err = conn.Query(t.Context(), `
		SELECT a.attrelid::regclass || '.' || a.attname FROM pg_attribute a
		WHERE a.attrelid::regclass::text IN (SELECT c.oid::regclass::text FROM pg_class c WHERE c.relnamespace::regnamespace::text IN ('public', 'river'))
		AND a.attnum > 0 AND has_column_privilege('witnessmark_lookup', a.attrelid, a.attnum, 'SELECT') ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	if columns, err = pgx.CollectRows(rows, pgx.RowTo[string]); err != nil {
		t.Fatal(err)
	}
	if got, want := strings.Join(columns, " "), "centre.centre_id evidence.covered_digest evidence.digest evidence.preview_digest evidence.withdrawn_at link.centre_id link.digest link.link_id person.centre_id person.person_id person.sign_in_name portfolio.digest prior_file.digest "+
		"river.river_job.args river.river_job.id session.centre_id session.digest session.expires_at session.person_id upload.centre_id upload.started_at"; got != want {
		t.Errorf("the functions' owner may read\n got %s\nwant %s", got, want)
	}
}

// Every state, role and part that the program has is one that the database takes, and the other way round.
func TestChecksKnowTheProgramsWords(t *testing.T) {
	conn := connect(t, storetest.Migrated(t).Super)
	for _, test := range wordChecks() {
		t.Run(test.constraint, func(t *testing.T) {
			def := value[string](t, conn, `SELECT pg_get_constraintdef(oid) FROM pg_constraint WHERE conname = $1`, test.constraint)
			var got []string
			for i, part := range strings.Split(def, "'") {
				if i%2 == 1 {
					got = append(got, part)
				}
			}
			slices.Sort(got)
			slices.Sort(test.want)
			if !slices.Equal(got, test.want) {
				t.Errorf("the database takes %q, the program has %q", got, test.want)
			}
		})
	}
}
