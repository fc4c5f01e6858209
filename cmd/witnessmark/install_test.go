package main

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store/storetest"
)

// settings names a test's database as an installation would.
func settings(db storetest.Database, data string) variables {
	return variables{"DATABASE_URL": db.App, "MIGRATE_DATABASE_URL": db.Owner, "WITNESSMARK_DATA": data}
}

func TestMigrateTwice(t *testing.T) {
	db := storetest.Empty(t)
	env := settings(db, t.TempDir())
	for range 2 {
		out, err := do(t, env, "migrate")
		if err != nil {
			t.Fatal(err)
		}
		contains(t, out, "The database is up to date.")
	}
	conn, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var there bool
	if err := conn.QueryRow(t.Context(), `SELECT to_regclass('attempt') IS NOT NULL AND to_regclass('river.river_job') IS NOT NULL`).Scan(&there); err != nil || !there {
		t.Errorf("the tables are there: %v, %v", there, err)
	}
}

func TestMigrateNeedsTheOwner(t *testing.T) {
	db := storetest.Empty(t)
	env := settings(db, t.TempDir())
	delete(env, "MIGRATE_DATABASE_URL")
	_, err := do(t, env, "migrate")
	refused(t, err, "MIGRATE_DATABASE_URL", "owner")
}

// The plain role belongs to the whole server, which other tests share, so its password is set on one of its own.
func TestMigrateGivesTheRoleItsPassword(t *testing.T) {
	dir := demoDir(t)
	out, err := do(t, variables{"WITNESSMARK_DATA": dir, "WITNESSMARK_ROLE_PASSWORD": "it's $quoted$ 'well'"}, "migrate")
	if err != nil {
		t.Fatal(err)
	}
	contains(t, out, "The database is up to date.")
	pg, err := localpg.Start(t.Context(), localpg.Options{Dir: dir + "/postgresql"})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := pg.Stop(); err != nil {
			t.Error(err)
		}
	}()
	conn, err := pgx.Connect(t.Context(), pg.URL(localpg.Superuser, "postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var kept string
	if err := conn.QueryRow(t.Context(), `SELECT left(coalesce(rolpassword, 'none'), 13) FROM pg_authid WHERE rolname = 'witnessmark_app'`).Scan(&kept); err != nil || kept != "SCRAM-SHA-256" {
		t.Errorf("the role's password is kept as %q, %v; want as SCRAM-SHA-256", kept, err)
	}
}

var printedLink = regexp.MustCompile(`(https?://\S+)/invitation/(\S+)`)

// invitation is the token of the link that invite printed.
func invitation(t *testing.T, out, base string) string {
	t.Helper()
	m := printedLink.FindStringSubmatch(out)
	if m == nil || m[1] != base {
		t.Fatalf("no link below %s in\n%s", base, out)
	}
	return m[2]
}

var first = []string{"invite", "--centre", "NORTHGATE", "--centre-name", "Northgate Training", "--name", "Ada Holm", "--sign-in-name", "ada.holm"}

func TestInvite(t *testing.T) {
	env := settings(storetest.Migrated(t), t.TempDir())
	out, err := do(t, env, append(first, "--url", "https://centre.example")...)
	if err != nil {
		t.Fatal(err)
	}
	contains(t, out, "Ada Holm chooses a password here, once, until ")
	token := invitation(t, out, "https://centre.example")

	address := serving(t, env)
	accept := func(token string) int {
		code, _ := ask(t, client(t), http.MethodPost, address+"/api/invitations/"+token, `{"password": "three words here"}`)
		return code
	}
	if got := accept(token); got != http.StatusOK {
		t.Errorf("the link's first use: %d", got)
	}
	if got := accept(token); got != http.StatusConflict {
		t.Errorf("the link's second use: %d, want %d", got, http.StatusConflict)
	}

	env["WITNESSMARK_URL"] = "https://other.example/deep"
	out, err = do(t, env, "invite", "--again", "--sign-in-name", "Ada.Holm")
	if err != nil {
		t.Fatal(err)
	}
	if got := accept(invitation(t, out, "https://other.example/deep")); got != http.StatusOK {
		t.Errorf("the link of --again: %d", got)
	}
	if code, text := ask(t, client(t), http.MethodPost, address+"/api/session", `{"name": "ada.holm", "password": "three words here"}`); code != http.StatusOK || !strings.Contains(text, "manager") {
		t.Errorf("sign in as the manager: %d %s", code, text)
	}
}

func TestInviteSaysWhatIsWrong(t *testing.T) {
	env := settings(storetest.Migrated(t), t.TempDir())
	if _, err := do(t, env, first...); err != nil {
		t.Fatal(err)
	}
	with := func(flag, value string) []string {
		args := append([]string{}, first...)
		for i, a := range args {
			if a == flag {
				args[i+1] = value
			}
		}
		return args
	}
	tests := []struct {
		name string
		args []string
		want []string
	}{
		{"nothing given", []string{"invite"}, []string{"--centre, --centre-name, --name, --sign-in-name", "--again"}},
		{"no centre's name", []string{"invite", "--centre", "X", "--name", "Bo", "--sign-in-name", "bo.b"}, []string{"give also --centre-name;"}},
		{"nobody for a new link", []string{"invite", "--again"}, []string{"--sign-in-name"}},
		{"a new link for a stranger", []string{"invite", "--again", "--sign-in-name", "nobody.here"}, []string{"nobody signs in as nobody.here"}},
		{"a sign-in name taken", with("--centre", "SOUTHGATE"), []string{"already signs in as ada.holm"}},
		{"a code taken", with("--sign-in-name", "bo.holm"), []string{"already a centre with this code"}},
		{"a sign-in name with a space", with("--sign-in-name", "ada holm"), []string{"small letters"}},
		{"no address", append(append([]string{}, first...), "--url", "centre"), []string{"--url centre is not an address"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := do(t, env, tt.args...)
			refused(t, err, tt.want...)
		})
	}
	// A refusal opened no centre: its code is still free.
	args := with("--centre", "SOUTHGATE")
	args[len(args)-1] = "cy.holm"
	if _, err := do(t, env, args...); err != nil {
		t.Errorf("after the refusals: %v", err)
	}
}

func TestInviteRefusesASuperuser(t *testing.T) {
	db := storetest.Migrated(t)
	_, err := do(t, variables{"DATABASE_URL": db.Super, "WITNESSMARK_DATA": t.TempDir()}, first...)
	refused(t, err, "superuser", "witnessmark_app")
}

// serving starts the server on a free port and gives its address.
func serving(t *testing.T, env variables, args ...string) string {
	t.Helper()
	r := start(t, env, append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)...)
	return printedAddress.FindString(r.says(t, "Ctrl-C stops"))
}
