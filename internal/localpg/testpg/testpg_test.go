package testpg

import (
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestMain(m *testing.M) { Main(m) }

func TestURLIsASuperuser(t *testing.T) {
	conn, err := pgx.Connect(t.Context(), URL(t))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	var super bool
	if err := conn.QueryRow(t.Context(), "SELECT rolsuper FROM pg_roles WHERE rolname = current_user").Scan(&super); err != nil {
		t.Fatal(err)
	}
	if !super {
		t.Error("the tests' role is not a superuser; migrations and pgtestdb need one")
	}
}
