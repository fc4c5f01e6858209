package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"

	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/keyring"
	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// installation is where a centre's data lies: the settings that serve, migrate, invite and doctor share.
type installation struct {
	DatabaseURL string `help:"PostgreSQL as the plain role witnessmark_app. Without it a private PostgreSQL runs in the data folder." variable:"DATABASE_URL" placeholder:"URL"`
	OwnerURL    string `name:"migrate-database-url" help:"PostgreSQL as the owner of the tables, for migrations only." variable:"MIGRATE_DATABASE_URL" placeholder:"URL"`
	Keys        string `help:"Folder of the keys that decision logs and portfolios are signed with; DATA/keys where none is named. Back it up apart from the rest." variable:"WITNESSMARK_KEYS" placeholder:"DIR"`
	Data        string `help:"Folder for evidence, and for the private PostgreSQL." variable:"WITNESSMARK_DATA" placeholder:"DIR"`
}

// dir is the data folder.
func (in installation) dir() string {
	if in.Data != "" {
		return in.Data
	}
	return localpg.DefaultDir()
}

func (in installation) evidenceDir() string { return filepath.Join(in.dir(), "evidence") }

// keys opens the folder of the keys that decision logs are signed with.
func (in installation) keys() (*keyring.Ring, error) { return keyring.Open(in.keysDir()) }

func (in installation) keysDir() string { return cmp.Or(in.Keys, filepath.Join(in.dir(), "keys")) }

// database is a database that is there, with the two addresses it goes by.
type database struct {
	url, owner string
	server     *localpg.Server // nil where the database is somebody else's
}

// open finds the database, starting the private one where no other is named.
func (in installation) open(ctx context.Context, log io.Writer) (database, error) {
	if in.DatabaseURL != "" {
		return database{url: in.DatabaseURL, owner: in.OwnerURL}, nil
	}
	pg, err := localpg.Start(ctx, localpg.Options{Dir: filepath.Join(in.dir(), "postgresql"), Log: log})
	if err != nil {
		return database{}, err
	}
	return database{url: pg.URL(store.Role, "postgres"), owner: pg.URL(localpg.Superuser, "postgres"), server: pg}, nil
}

// stop stops the private PostgreSQL, where there is one.
func (d database) stop() error {
	if d.server == nil {
		return nil
	}
	return d.server.Stop()
}

// ended is closed when the private PostgreSQL has ended by itself; it never is where there is none.
func (d database) ended() <-chan struct{} {
	if d.server == nil {
		return nil
	}
	return d.server.Ended()
}

// migrate brings the tables up to date.
func (d database) migrate(ctx context.Context) error {
	if d.owner == "" {
		return errors.New("set MIGRATE_DATABASE_URL to the owner of the tables: the plain role of DATABASE_URL may not change them")
	}
	return store.Migrate(ctx, d.owner)
}

// connected opens the store as the plain role and refuses one that row-level security does not hold.
func (d database) connected(ctx context.Context) (*store.Store, error) {
	db, err := store.Open(ctx, d.url)
	if err != nil {
		return nil, err
	}
	if err := db.Check(ctx); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// withStore runs fn on the installation's database, and stops what it had to start.
func (in installation) withStore(ctx context.Context, log io.Writer, fn func(*store.Store) error) (err error) {
	d, err := in.open(ctx, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	if d.server != nil {
		if err := d.migrate(ctx); err != nil {
			return err
		}
	}
	db, err := d.connected(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	return fn(db)
}

// withApp is withStore with the application on it, keys and evidence included.
func (in installation) withApp(ctx context.Context, log io.Writer, fn func(*app.App) error) error {
	return in.withStore(ctx, log, func(db *store.Store) error {
		blobs, err := blob.OpenFolder(in.evidenceDir())
		if err != nil {
			return err
		}
		ring, err := in.keys()
		if err != nil {
			return err
		}
		return fn(app.New(db, blobs, nil).WithKeys(ring))
	})
}

// logger writes the program's own log, one line of JSON each.
func logger(w io.Writer, level slog.Level) *slog.Logger {
	return slog.New(slog.NewJSONHandler(w, &slog.HandlerOptions{Level: level}))
}

type migrateCmd struct {
	Install      installation `embed:""`
	RolePassword string       `help:"Give the plain role this password." variable:"WITNESSMARK_ROLE_PASSWORD" placeholder:"PASSWORD"`
}

// Run migrates, and gives the plain role its password where one is named.
func (c *migrateCmd) Run(w *world) (err error) {
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	if err := d.migrate(w.ctx); err != nil {
		return err
	}
	if c.RolePassword != "" {
		if err := store.SetRolePassword(w.ctx, d.owner, c.RolePassword); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(w.out, "The database is up to date.")
	return err
}
