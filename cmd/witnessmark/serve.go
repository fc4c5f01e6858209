package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/api"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/httpd"
	"witnessmark/internal/jobs"
	"witnessmark/internal/store"
	"witnessmark/internal/ui"
)

// drain is how long requests and jobs under way may take after the program is asked to stop.
const drain = 10 * time.Second

type serveCmd struct {
	Install        installation `embed:""`
	Listen         string       `help:"Address to listen on." default:":8080" env:"WITNESSMARK_LISTEN" placeholder:"HOST:PORT"`
	TLSCert        string       `help:"Certificate file; phones need https for everything that works off line." env:"WITNESSMARK_TLS_CERT" placeholder:"FILE"`
	TLSKey         string       `help:"The certificate's key file." env:"WITNESSMARK_TLS_KEY" placeholder:"FILE"`
	TrustedProxies []string     `name:"trusted-proxy" help:"Network of a proxy that ends https before this server, such as 10.0.0.5/32." env:"WITNESSMARK_TRUSTED_PROXY" placeholder:"CIDR"`
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
	return web.serve(w.ctx, d, c.Install.evidenceDir(), l, nil)
}

// web is how the server stands in the world.
type web struct {
	httpd.Config
	cert, key string
}

func (c *serveCmd) web() (web, error) {
	out := web{cert: c.TLSCert, key: c.TLSKey}
	out.Log = logger(os.Stderr, slog.LevelInfo)
	if (c.TLSCert == "") != (c.TLSKey == "") {
		return web{}, errors.New("--tls-cert and --tls-key go together: name both files")
	}
	for _, s := range c.TrustedProxies {
		p, err := netip.ParsePrefix(s)
		if err != nil {
			return web{}, fmt.Errorf("--trusted-proxy %s is not a network such as 10.0.0.5/32", s)
		}
		out.TrustedProxies = append(out.TrustedProxies, p)
	}
	out.HTTPS = c.TLSCert != "" || len(out.TrustedProxies) > 0
	return out, nil
}

// serve wires everything and serves on l until ctx ends. ready, where given, is called with the application once the
// routes are there and before the first request is taken.
func (w web) serve(ctx context.Context, d database, evidence string, l net.Listener, ready func(*app.App, *store.Store) error) error {
	defer l.Close() // the server closes it too; this is for the ways out before that
	db, err := d.connected(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	blobs, err := blob.OpenFolder(evidence)
	if err != nil {
		return err
	}
	a := app.New(db, blobs, nil)
	runner, err := jobs.New(db, a, w.Log)
	if err != nil {
		return err
	}
	e, err := w.routes(db, a)
	if err != nil {
		return err
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
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	err = errors.Join(err, e.Shutdown(last))
	if stop := runner.Stop(last); stop != nil {
		err = errors.Join(err, runner.StopAndCancel(context.WithoutCancel(ctx)))
	}
	return err
}

// routes puts both ways in onto one server.
func (w web) routes(db *store.Store, a *app.App) (*echo.Echo, error) {
	e := httpd.New(w.Config)
	sessions := httpd.NewSessions(db, a, w.HTTPS, w.Log)
	pages, err := ui.New(a, sessions, w.Log, nil)
	if err != nil {
		return nil, err
	}
	pages.Register(e)
	api.Register(e, a, sessions)
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
	if w.cert != "" {
		err = srv.ServeTLS(l, w.cert, w.key)
	} else {
		err = srv.Serve(l)
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}
