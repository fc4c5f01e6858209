// Package storetest gives tests a store on a real PostgreSQL: a database of their own, cloned from a template that is
// migrated once for each state of the schema (40 ms a database), and gone when the test has passed. A package that uses
// it has this TestMain, which stops a private server at the end:
//
//	func TestMain(m *testing.M) { testpg.Main(m) }
//
// On a server that the environment names, the plain role must be able to sign in without a password.
package storetest

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // pgtestdb's driver "pgx"
	"github.com/peterldowns/pgtestdb"

	"witnessmark/internal/account"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/store"
)

// Award is an assessor's award that was in date long before any test and does not end: whoever holds it decides alone.
func Award() account.Registration {
	return account.Registration{Kind: account.AssessorAward, Number: "Award 1", ValidFrom: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), ValidTo: account.Endless()}
}

// Database is a test's own database, by role.
type Database struct {
	App   string // as the plain role that the program connects as
	Owner string // as the owner of the tables, no superuser
	Super string // as a superuser, whom no policy holds
}

// owner is a plain owner as a careful installation has it: it may create the roles and nothing else.
func owner() *pgtestdb.Role {
	return &pgtestdb.Role{Username: "witnessmark_test_owner", Password: "owner", Capabilities: "NOSUPERUSER NOBYPASSRLS CREATEROLE"}
}

// New is a store, as the plain role, on a fresh migrated database.
func New(tb testing.TB) *store.Store {
	tb.Helper()
	return Open(tb, Migrated(tb).App)
}

// Open is a store at the address, closed when the test ends.
func Open(tb testing.TB, address string) *store.Store {
	tb.Helper()
	s, err := store.Open(tb.Context(), address)
	if err != nil {
		tb.Fatalf("open the test's store: %v", err)
	}
	tb.Cleanup(s.Close)
	return s
}

// Migrated is a fresh database with this program's schema and no rows.
func Migrated(tb testing.TB) Database {
	tb.Helper()
	return database(tb, migrator{})
}

// Empty is a fresh database without a schema.
func Empty(tb testing.TB) Database {
	tb.Helper()
	return database(tb, pgtestdb.NoopMigrator{})
}

func database(tb testing.TB, m pgtestdb.Migrator) Database {
	tb.Helper()
	cfg := testpg.Config(tb)
	super := url.UserPassword(cfg.User, cfg.Password)
	if cfg.Password == "" {
		super = url.User(cfg.User)
	}
	cfg.TestRole = owner()
	cfg.ForceTerminateConnections = true // a test that failed half-way must not keep its database
	at := pgtestdb.Custom(tb, cfg, m)
	return Database{App: as(tb, at, url.User(store.Role)), Owner: at.URL(), Super: as(tb, at, super)}
}

func as(tb testing.TB, cfg *pgtestdb.Config, user *url.Userinfo) string {
	tb.Helper()
	u, err := url.Parse(cfg.URL())
	if err != nil {
		tb.Fatalf("address of the test's database: %v", err)
	}
	u.User = user
	return u.String()
}

// migrator migrates pgtestdb's template.
type migrator struct{}

func (migrator) Hash() (string, error) { return store.SchemaDigest() }

func (migrator) Migrate(ctx context.Context, _ *sql.DB, cfg pgtestdb.Config) error {
	if err := store.Migrate(ctx, cfg.URL()); err != nil {
		return fmt.Errorf("template: %w", err)
	}
	return nil
}
