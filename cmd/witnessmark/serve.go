package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/api"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/heif"
	"witnessmark/internal/httpd"
	"witnessmark/internal/jobs"
	"witnessmark/internal/metrics"
	"witnessmark/internal/store"
	"witnessmark/internal/ui"
	"witnessmark/internal/upload"
)

// drain is how long requests and jobs under way may take after the program is asked to stop.
const drain = 10 * time.Second

type serveCmd struct {
	Install installation `embed:""`
	Reach   reach        `embed:""`
	Stamps  string       `name:"timestamps" help:"Address of a time-stamp authority (RFC 3161) that stamps the signature of every portfolio; none where none is named." variable:"WITNESSMARK_TIMESTAMPS" placeholder:"URL"`
	Metrics string       `help:"Address to tell a monitoring system how the program fares, in Prometheus's form; nowhere where none is named." variable:"WITNESSMARK_METRICS" placeholder:"HOST:PORT"`
	Letters letters      `embed:""`
	URL     string       `help:"Address at which people reach this installation, for the links in letters." variable:"WITNESSMARK_URL" placeholder:"URL"`
	Listen  string       `help:"Address to listen on." default:":8080" variable:"WITNESSMARK_LISTEN" placeholder:"HOST:PORT"`
}

// Run serves until it is asked to stop.
func (c *serveCmd) Run(w *world) (err error) {
	web, err := c.web()
	if err != nil {
		return err
	}
	d, err := c.Install.open(w.ctx, w.out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, d.stop()) }()
	if d.server != nil || d.owner != "" {
		if err := d.migrate(w.ctx); err != nil {
			return err
		}
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("listen on %s: %w", c.Listen, err)
	}
	return web.serve(w.ctx, d, c.Install, l, func(*app.App, *store.Store) error { return c.say(w, l) })
}

// say prints where the server listens, and how phones fare there.
func (c *serveCmd) say(w *world, l net.Listener) error {
	scheme, caution := "http", ""
	switch {
	case c.Reach.TLSCert != "":
		scheme = "https"
	case !c.Reach.https():
		caution = "There is no https, so phones keep nothing off line and passwords can be read on the way: witnessmark doctor says more.\n"
	}
	_, err := fmt.Fprintf(w.out, "Serving on %s://%s. Ctrl-C stops.\n%s", scheme, l.Addr(), caution)
	return err
}

// web is how the server stands in the world.
type web struct {
	httpd.Config
	certs   []tls.Certificate // none where it speaks plain http
	metrics string            // address; "" for none
	letters letters
	url     string           // under which people reach it, for the links in letters
	stamps  app.Stamper      // nil for none
	now     func() time.Time // the clock; nil for the machine's
}

func (c *serveCmd) web() (web, error) {
	certs, err := c.Reach.certificate()
	if err != nil {
		return web{}, err
	}
	proxies, err := c.Reach.proxies()
	if err != nil {
		return web{}, err
	}
	web := web{
		Config: httpd.Config{Log: logger(os.Stderr, slog.LevelInfo), HTTPS: c.Reach.https(), TrustedProxies: proxies},
		certs:  certs, metrics: c.Metrics, letters: c.Letters, url: c.URL,
	}
	if c.Stamps != "" {
		web.stamps, err = stamper(c.Stamps)
	}
	return web, err
}

// serve wires everything and serves on l until ctx ends. ready, where given, is called with the application once the
// routes are there and before the first request is taken.
func (w web) serve(ctx context.Context, d database, in installation, l net.Listener, ready func(*app.App, *store.Store) error) error {
	defer l.Close() // the server closes it too; this is for the ways out before that
	httpd.SettleMemory()
	db, err := d.connected(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	blobs, err := blob.OpenFolder(in.evidenceDir())
	if err != nil {
		return err
	}
	heic, err := heif.Find()
	if err != nil {
		w.Log.Info("HEIC photos are kept, and shown as files", "because", err.Error())
	}
	ring, err := in.keys()
	if err != nil {
		return err
	}
	a := app.New(db, blobs, w.now).WithHEIC(heic).WithKeys(ring).WithStamps(w.stamps)
	if a, err = w.letters.writing(a, w.url); err != nil {
		return err
	}
	if n, err := a.BackfillLogs(ctx); err != nil {
		return err
	} else if n > 0 {
		w.Log.Info("what was decided before there was a log is in it now, marked as late", "records", n)
	}
	runner, err := jobs.New(db, a, w.Log)
	if err != nil {
		return err
	}
	e, err := w.routes(db, a)
	if err != nil {
		return err
	}
	if w.metrics != "" {
		stop, err := w.measure(ctx, e, a)
		if err != nil {
			return err
		}
		defer stop()
	}
	if ready != nil {
		if err := ready(a, db); err != nil {
			return err
		}
	}
	if err := runner.Start(context.WithoutCancel(ctx)); err != nil {
		return fmt.Errorf("start the jobs: %w", err)
	}
	served := make(chan error, 1)
	go func() { served <- w.listen(e, l) }()
	select {
	case err = <-served:
	case <-ctx.Done():
	case <-d.ended():
		// Without its database the program only gives wrong answers; whoever watches over it starts both again.
		err = errors.New("the private PostgreSQL ended by itself, so the program ends too. Nothing that was acknowledged is lost: start it again; postgres.log in the data folder says why")
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	err = errors.Join(err, e.Shutdown(last))
	if stop := runner.Stop(last); stop != nil {
		err = errors.Join(err, runner.StopAndCancel(context.WithoutCancel(ctx)))
	}
	return err
}

// measure counts requests from now on and tells of it on an address of its own, until ctx ends or stop is called.
func (w web) measure(ctx context.Context, e *echo.Echo, a *app.App) (stop func(), err error) {
	l, err := net.Listen("tcp", w.metrics)
	if err != nil {
		return nil, fmt.Errorf("listen on %s for metrics: %w", w.metrics, err)
	}
	m := metrics.New(a, w.Log)
	e.Use(m.Count)
	ctx, stop = context.WithCancel(ctx)
	go func() {
		if err := m.Serve(ctx, l); err != nil {
			w.Log.Error("the metrics ended", "err", err)
		}
	}()
	return stop, nil
}

// routes puts the ways in onto one server.
func (w web) routes(db *store.Store, a *app.App) (*echo.Echo, error) {
	e := httpd.New(w.Config)
	sessions := httpd.NewSessions(db, a, w.HTTPS, w.Log)
	pages, err := ui.New(a, sessions, w.Log, w.now)
	if err != nil {
		return nil, err
	}
	pages.Register(e)
	httpd.Health(e, w.Config, a.Ready)
	api.Register(e, a, sessions)
	if err := upload.Register(e, a, sessions, w.Log); err != nil {
		return nil, err
	}
	e.HTTPErrorHandler = func(err error, c echo.Context) {
		if !strings.HasPrefix(c.Request().URL.Path, "/api/") {
			pages.Fault(err, c)
			return
		}
		if httpd.Status(err) == http.StatusInternalServerError {
			w.Log.Error("an operation failed", "route", c.Path(), "err", err)
		}
		if !c.Response().Committed {
			api.Fail(c, err)
		}
	}
	return e, nil
}

// listen answers requests until the server is shut down.
func (w web) listen(e *echo.Echo, l net.Listener) error {
	srv := e.Server
	srv.Handler = e
	var err error
	if len(w.certs) > 0 {
		srv.TLSConfig = &tls.Config{Certificates: w.certs, MinVersion: tls.VersionTLS12}
		err = srv.ServeTLS(l, "", "")
	} else {
		err = srv.Serve(l)
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
