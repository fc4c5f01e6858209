package main

import (
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"text/tabwriter"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/store"
	"witnessmark/seed"
)

type demoCmd struct {
	Install installation `embed:""`
	Port    int          `help:"Port on this machine; another is taken where it is busy." default:"8080"`
	Fresh   bool         `help:"Throw the demonstration's data away and start again."`
}

// portsTried is how many ports after the wanted one are tried.
const portsTried = 20

// marker says in a data folder that the demonstration, and nothing else, was put there in full.
const marker = "demonstration"

// Run starts the demonstration and serves it until it is asked to stop.
func (c *demoCmd) Run(w *world) (err error) {
	if c.Install.Data == "" {
		c.Install.Data = filepath.Join(c.Install.dir(), "demo")
	}
	if c.Fresh {
		if err := clearDemo(c.Install.Data); err != nil {
			return err
		}
	}
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	if err := d.migrate(w.ctx); err != nil {
		return err
	}
	l, err := c.listen(w)
	if err != nil {
		return err
	}
	server := web{}
	server.Log = logger(os.Stderr, slog.LevelWarn)
	err = server.serve(w.ctx, d, c.Install.evidenceDir(), l, func(a *app.App, db *store.Store) error {
		if err := c.load(w, a, db); err != nil {
			return err
		}
		return c.say(w, l)
	})
	if err == nil {
		_, err = fmt.Fprintln(w.out, "Stopped. The data is kept; --fresh starts again.")
	}
	return err
}

// clearDemo throws a demonstration's data away, and refuses any other folder.
func clearDemo(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	} else if err != nil {
		return fmt.Errorf("look into the demonstration's folder: %w", err)
	}
	if _, err := os.Stat(filepath.Join(dir, marker)); err != nil {
		return fmt.Errorf("%s does not hold the demonstration, so it is left alone: remove it by hand if you mean it", dir)
	}
	if err := os.RemoveAll(dir); err != nil {
		return fmt.Errorf("throw the demonstration's data away: %w", err)
	}
	return nil
}

// load fills an empty database with the demonstration centre. The marker is written before anything else, so that one cut
// off half-way can be cleared, and holds a word once all of it is there.
func (c *demoCmd) load(w *world, a *app.App, db *store.Store) error {
	file := filepath.Join(c.Install.Data, marker)
	state, err := os.ReadFile(file)
	switch {
	case err == nil && string(state) == "complete\n":
		return nil
	case err == nil:
		return errors.New("the demonstration was cut off while it was being filled: start it again with --fresh")
	case !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("look for the demonstration: %w", err)
	}
	if err := os.WriteFile(file, []byte("being filled\n"), 0o644); err != nil {
		return fmt.Errorf("mark the demonstration's folder: %w", err)
	}
	if _, err := fmt.Fprintln(w.out, "Filling the demonstration centre: people, briefs, photos, attempts …"); err != nil {
		return err
	}
	if err := seed.Load(w.ctx, a, db); err != nil {
		return fmt.Errorf("fill the demonstration centre: %w", err)
	}
	return os.WriteFile(file, []byte("complete\n"), 0o644)
}

// listen takes the wanted port, or the next free one, and says so.
func (c *demoCmd) listen(w *world) (net.Listener, error) {
	for port := c.Port; port <= c.Port+portsTried; port++ {
		l, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
		if err == nil {
			return l, nil
		}
		if _, err := fmt.Fprintf(w.out, "Port %d is busy; trying the next.\n", port); err != nil {
			return nil, err
		}
	}
	return nil, fmt.Errorf("every port from %d to %d is busy: name another with --port", c.Port, c.Port+portsTried)
}

// say prints the address and who may sign in.
func (c *demoCmd) say(w *world, l net.Listener) error {
	fmt.Fprintf(w.out, "\nWitnessmark is ready: http://%s\n\nSign in with the password %q as\n", l.Addr(), seed.Password)
	t := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
	for _, s := range seed.SignIns() {
		fmt.Fprintf(t, "  %s\t%s\t%s\n", s.SignInName, s.Name, s.Role.Words())
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w.out, "\nThe data lies in %s. Ctrl-C stops everything. (%s)\n", c.Install.Data, time.Now().Format("15:04"))
	return err
}
