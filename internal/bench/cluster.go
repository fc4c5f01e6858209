package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// The databases. Every leg runs on a clone of its own, so that each begins with the same rows, pages and statistics.
const (
	pristine = "pristine" // as the program has it
	held     = "held"     // pristine with the index of openPolicies
	free     = "free"     // held with row-level security off
	running  = "running"  // the clone that the leg under way works on
)

// cluster is a private PostgreSQL with the durability of every day: fsync, full page writes and synchronous commit are on.
type cluster struct {
	dir     string
	pg      *localpg.Server
	pgbench string
	admin   *pgx.Conn // a superuser, in none of the databases above
	version string
}

// start makes a cluster in a temporary folder. Stop it.
func start(ctx context.Context, log io.Writer) (*cluster, error) {
	bin, err := localpg.Find("")
	if err != nil {
		return nil, err
	}
	c := &cluster{pgbench: filepath.Join(bin, "pgbench")}
	if _, err := os.Stat(c.pgbench); err != nil {
		return nil, fmt.Errorf("PostgreSQL's own measuring program is not beside its others (Fedora keeps it in postgresql-contrib): %w", err)
	}
	if c.dir, err = os.MkdirTemp("", "witnessmark-bench-"); err != nil {
		return nil, fmt.Errorf("make a folder for the cluster: %w", err)
	}
	if err := c.up(ctx, bin, log); err != nil {
		return nil, errors.Join(err, c.stop())
	}
	return c, nil
}

func (c *cluster) up(ctx context.Context, bin string, log io.Writer) (err error) {
	if err := os.Chmod(c.dir, 0o711); err != nil { // started by root, the server runs as another account
		return fmt.Errorf("open the cluster's folder to the server: %w", err)
	}
	if c.pg, err = localpg.Start(ctx, localpg.Options{Dir: filepath.Join(c.dir, "pg"), BinDir: bin, Log: log}); err != nil {
		return err
	}
	if c.admin, err = pgx.Connect(ctx, c.pg.URL(localpg.Superuser, "postgres")); err != nil {
		return fmt.Errorf("connect to the cluster: %w", err)
	}
	if err := c.admin.QueryRow(ctx, `SHOW server_version`).Scan(&c.version); err != nil {
		return fmt.Errorf("ask PostgreSQL for its version: %w", err)
	}
	return nil
}

// stop stops the cluster and takes its folder away; it works on what is there of it.
func (c *cluster) stop() error {
	var errs []error
	if c.admin != nil {
		errs = append(errs, c.admin.Close(context.Background()))
	}
	if c.pg != nil {
		errs = append(errs, c.pg.Stop())
	}
	return errors.Join(append(errs, os.RemoveAll(c.dir))...)
}

// url is the address of the clone that the leg works on, as the plain role.
func (c *cluster) url() string { return c.pg.URL(store.Role, running) }

// create makes a database, as a clone of template where that is not "".
func (c *cluster) create(ctx context.Context, name, template string) error {
	sql := "CREATE DATABASE " + name
	if template != "" {
		sql += " TEMPLATE " + template
	}
	if _, err := c.admin.Exec(ctx, sql); err != nil {
		return fmt.Errorf("make the database %s: %w", name, err)
	}
	return nil
}

// afresh puts a clone of template in the place of the one before it and writes everything to the disk, so that no leg pays
// for another's pages.
func (c *cluster) afresh(ctx context.Context, template string) error {
	if _, err := c.admin.Exec(ctx, "DROP DATABASE IF EXISTS "+running); err != nil {
		return fmt.Errorf("drop the last leg's database: %w", err)
	}
	if err := c.create(ctx, running, template); err != nil {
		return err
	}
	if _, err := c.admin.Exec(ctx, "CHECKPOINT"); err != nil {
		return fmt.Errorf("checkpoint: %w", err)
	}
	return nil
}

// as runs fn on a superuser's connection to a database.
func (c *cluster) as(ctx context.Context, database string, fn func(*pgx.Conn) error) (err error) {
	conn, err := pgx.Connect(ctx, c.pg.URL(localpg.Superuser, database))
	if err != nil {
		return fmt.Errorf("connect to the database %s: %w", database, err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	return fn(conn)
}

// Without its policy the hand-over has no centre to find the attempt by, and would read the whole table: that would
// measure an index that nobody needs. Both sides get one on the id alone, and differ in the policies only.
const openPolicies = `CREATE UNIQUE INDEX ON attempt (attempt_id)`

const dropPolicies = `
	DO $$ DECLARE t regclass;
	BEGIN
		FOR t IN SELECT oid FROM pg_class WHERE relrowsecurity AND relnamespace = 'public'::regnamespace LOOP
			EXECUTE format('ALTER TABLE %s DISABLE ROW LEVEL SECURITY', t);
		END LOOP;
	END $$`

// policies makes the two databases that differ in row-level security alone.
func (c *cluster) policies(ctx context.Context) error {
	for _, d := range []struct{ name, template, sql string }{{held, pristine, openPolicies}, {free, held, dropPolicies}} {
		if err := c.create(ctx, d.name, d.template); err != nil {
			return err
		}
		err := c.as(ctx, d.name, func(conn *pgx.Conn) error {
			if _, err := conn.Exec(ctx, d.sql); err != nil {
				return fmt.Errorf("change the database %s: %w", d.name, err)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}
