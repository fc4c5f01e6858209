package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/backup"
	"witnessmark/internal/blob"
	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// backups is where backups go: what backup and doctor share.
type backups struct {
	Backups string `help:"Folder that backups are put in, each in one of its own by its time." variable:"WITNESSMARK_BACKUPS" placeholder:"DIR"`
}

// stamp names a backup by its time, so that names sort.
const stamp = "20060102-150405"

type backupCmd struct {
	Install  installation `embed:""`
	Where    backups      `embed:""`
	WithKeys bool         `help:"Put the keys of decision logs in as well. Kept apart they prove that nobody who has a backup can sign."`
	Dir      string       `arg:"" optional:"" help:"Folder to make; by its time in the folder for backups where none is named."`
}

// Run writes the backup while the program goes on.
func (c *backupCmd) Run(w *world) (err error) {
	dir := c.Dir
	if dir == "" && c.Where.Backups == "" {
		return errors.New("name the folder to make, or a folder for backups with --backups")
	}
	if dir == "" {
		dir = filepath.Join(c.Where.Backups, time.Now().UTC().Format(stamp))
	}
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	place, err := c.Install.place(w.ctx, d)
	if err != nil {
		return err
	}
	if !c.WithKeys {
		place.Keys = ""
	}
	if err := backup.Write(w.ctx, place, dir); err != nil {
		return err
	}
	if err := backup.Check(dir); err != nil {
		return err
	}
	keys := "The keys of decision logs are not in it: back up " + c.Install.keysDir() + " apart."
	if c.WithKeys {
		keys = "The keys of decision logs are in it: let nobody read it who should not sign."
	}
	_, err = fmt.Fprintf(w.out, "The backup is in %s, and was read again. %s\n", dir, keys)
	return err
}

// place is where the installation lies, for a backup. The database is read as the owner of the tables, who must be above
// row-level security: a backup that it held would have no rows.
func (in installation) place(ctx context.Context, d database) (backup.Place, error) {
	if d.owner == "" {
		return backup.Place{}, errors.New("set MIGRATE_DATABASE_URL: the plain role of DATABASE_URL sees one centre at a time, so it cannot back up or restore")
	}
	if err := store.SeesAll(ctx, d.owner); err != nil {
		return backup.Place{}, err
	}
	bin, err := localpg.FindClient()
	if err != nil {
		return backup.Place{}, err
	}
	return backup.Place{Programs: bin, Database: d.owner, Evidence: in.evidenceDir(), Keys: in.keysDir(), List: blob.ErasuresFile}, nil
}

type restoreCmd struct {
	Install installation `embed:""`
	Dir     string       `arg:"" help:"The backup's folder."`
}

// Run brings the backup back into an empty database and folder, and up to this program's tables. The list of what was erased may lie
// in the folder: a newer one than the backup's keeps what was erased since from coming back.
func (c *restoreCmd) Run(w *world) (err error) {
	if err := backup.Check(c.Dir); err != nil {
		return err
	}
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	place, err := c.Install.place(w.ctx, d)
	if err != nil {
		return err
	}
	if err := store.PrepareRestore(w.ctx, d.owner); err != nil {
		return err
	}
	if err := backup.Restore(w.ctx, c.Dir, place); err != nil {
		return err
	}
	if err := d.migrate(w.ctx); err != nil {
		return err
	}
	return c.Install.withApp(w.ctx, w.out, func(a *app.App) error {
		if err := eraseAgain(w, a, d.owner); err != nil {
			return err
		}
		return c.say(w, a)
	})
}

// eraseAgain erases what was erased after the backup was made, by the list beside the evidence.
func eraseAgain(w *world, a *app.App, owner string) error {
	n, torn, err := a.EraseAgain(w.ctx, owner)
	if err != nil {
		return fmt.Errorf("erase again what had been erased; start nothing on what was restored: %w", err)
	}
	if torn > 0 {
		fmt.Fprintf(w.out, "%d lines of %s say nothing: they were cut off, and nothing was erased by them.\n", torn, blob.ErasuresFile)
	}
	if n > 0 {
		fmt.Fprintf(w.out, "Erased again what had been erased since: %d.\n", n)
	}
	return nil
}

// say tells how the decision logs stand that were brought back.
func (c *restoreCmd) say(w *world, a *app.App) error {
	fmt.Fprintf(w.out, "Restored from %s.\n", c.Dir)
	err := a.SignLogs(w.ctx)
	var older *app.OlderLogError
	if errors.As(err, &older) {
		_, err = fmt.Fprintf(w.out, "%s\n", err)
		return err
	}
	return err
}
