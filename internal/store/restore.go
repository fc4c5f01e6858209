package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"strings"

	"github.com/jackc/pgx/v5"

	"witnessmark/migrations"
)

// SeesAll refuses an address whose role row-level security holds: what it reads of all centres would be nothing.
func SeesAll(ctx context.Context, address string) error {
	return direct(ctx, address, func(conn *pgx.Conn) error {
		var role string
		var all bool
		err := conn.QueryRow(ctx, `SELECT current_user, rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user`).Scan(&role, &all)
		if err != nil {
			return fmt.Errorf("look at the database role: %w", err)
		}
		if !all {
			return fmt.Errorf("the database role %q does not see every centre's rows: set MIGRATE_DATABASE_URL to a superuser for backing up and restoring", role)
		}
		return nil
	})
}

// PrepareRestore refuses a database that has tables, and makes the roles that a backup speaks of.
func PrepareRestore(ctx context.Context, address string) error {
	return direct(ctx, address, func(conn *pgx.Conn) error {
		var tables int
		err := conn.QueryRow(ctx, `SELECT count(*) FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
			WHERE c.relkind IN ('r', 'p') AND n.nspname NOT LIKE 'pg\_%' AND n.nspname <> 'information_schema'`).Scan(&tables)
		if err != nil {
			return fmt.Errorf("look whether the database is empty: %w", err)
		}
		if tables > 0 {
			return errors.New("the database has tables: a backup is restored into an empty one")
		}
		made, err := makeRoles()
		if err != nil {
			return fmt.Errorf("read the migrations: %w", err)
		}
		for _, sql := range made {
			if _, err := conn.Exec(ctx, sql); err != nil {
				return fmt.Errorf("make the database roles: %w", err)
			}
		}
		return nil
	})
}

// block is a statement of a migration that looks before it acts, as those do that make roles.
var block = regexp.MustCompile(`(?ms)^DO \$\$\n.*?^END \$\$;$`)

// makeRoles lists the statements of the migrations that make roles and have the owner of the tables join them, in order. Roles belong to
// the whole cluster, so that a backup of one database has none; the rest of the migrations is in it.
func makeRoles() (statements []string, err error) {
	names, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			return nil, err
		}
		for _, s := range block.FindAllString(string(text), -1) {
			if strings.Contains(s, "CREATE ROLE") || strings.Contains(s, "'GRANT witnessmark_") {
				statements = append(statements, s)
			}
		}
	}
	return statements, nil
}

// direct runs fn on a connection of its own.
func direct(ctx context.Context, address string, fn func(*pgx.Conn) error) error {
	conn, err := pgx.Connect(ctx, address)
	if err != nil {
		return fmt.Errorf("connect to the database: %w", err)
	}
	return errors.Join(fn(conn), conn.Close(context.WithoutCancel(ctx)))
}
