package main

import (
	"context"
	"errors"
	"fmt"
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
	Ahead   uint16       `help:"Days by which the clock goes ahead of the machine's, to see what time brings. What happens is kept under that day. A real installation has no such setting." placeholder:"DAYS"`
}

// portsTried is how many ports after the wanted one are tried.
const portsTried = 20

// Run starts the demonstration and serves it until it is asked to stop.
func (c *demoCmd) Run(w *world) (err error) {
	if c.Fresh && c.Install.DatabaseURL != "" {
		return errors.New("--fresh clears a private PostgreSQL alone: empty the database that DATABASE_URL names yourself, or leave DATABASE_URL out")
	}
	if c.Ahead > 0 && c.Install.DatabaseURL != "" {
		return errors.New("--ahead is for a demonstration on a private PostgreSQL alone: what is kept under a day to come cannot be taken back. Leave DATABASE_URL out")
	}
	if c.Install.Data == "" {
		c.Install.Data = filepath.Join(c.Install.dir(), "demo")
	}
	f, err := openDemoFolder(c.Install.Data, c.Fresh)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.close()) }()
	l, err := c.listen(w)
	if err != nil {
		return err
	}
	err = c.serve(w, f, l)
	switch filled, look := f.filled(); {
	case w.ctx.Err() == nil || err != nil && !errors.Is(err, context.Canceled):
		return errors.Join(err, look)
	case !filled:
		return errors.Join(errors.New("stopped before the demonstration was complete: start it again with --fresh (make demo ARGS=--fresh)"), look)
	}
	_, err = fmt.Fprintln(w.out, "Stopped. The data is kept; --fresh (make demo ARGS=--fresh) starts again.")
	return err
}

// serve starts what the demonstration needs, fills it where it is new, and answers on l.
func (c *demoCmd) serve(w *world, f *demoFolder, l net.Listener) (err error) {
	defer l.Close() // the server closes it too; this is for the ways out before that
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	if err := d.migrate(w.ctx); err != nil {
		return err
	}
	server := web{now: c.clock()}
	server.Log = logger(os.Stderr, slog.LevelWarn)
	return server.serve(w.ctx, d, c.Install, l, func(a *app.App, db *store.Store) error {
		if err := c.load(w, f, a, db); err != nil {
			return err
		}
		return c.say(w, l)
	})
}

// clock is the machine's, or as many days ahead of it as were asked for.
func (c *demoCmd) clock() func() time.Time {
	return func() time.Time { return time.Now().AddDate(0, 0, int(c.Ahead)) }
}

// load fills an empty database with the demonstration centre.
func (c *demoCmd) load(w *world, f *demoFolder, a *app.App, db *store.Store) error {
	if filled, err := f.filled(); err != nil || filled {
		return err
	}
	if _, err := fmt.Fprintln(w.out, "Filling the demonstration centre: people, briefs, photos, attempts …"); err != nil {
		return err
	}
	if err := seed.Load(w.ctx, a, db); err != nil {
		return fmt.Errorf("fill the demonstration centre: %w", err)
	}
	return f.complete()
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
	if c.Ahead > 0 {
		fmt.Fprintf(w.out, "\nThe clock is ahead: for the demonstration it is %s.\n", c.clock()().In(app.London()).Format("2 January 2006"))
	}
	_, err := fmt.Fprintf(w.out, "\nThe data lies in %s. Ctrl-C stops everything.\n", c.Install.Data)
	return err
}
