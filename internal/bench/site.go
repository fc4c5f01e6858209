package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/api"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/httpd"
	"witnessmark/internal/store"
)

// site is the server as it is wired for use, on loopback, with clients that keep their connections.
type site struct {
	echo   *echo.Echo
	log    *os.File
	phones []*phone
	idle   chan *phone // those that wait for their next hand-over
	served chan error
}

// open serves the API on the store. The request log is written as always, to a file that keeps nothing.
func openSite(db *store.Store, w world, clients int) (*site, error) {
	blobs, err := blob.OpenFolder(w.evidence)
	if err != nil {
		return nil, err
	}
	log, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		return nil, fmt.Errorf("open the request log: %w", err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("listen on loopback: %w", err), log.Close())
	}
	a := app.New(db, blobs, nil)
	logger := slog.New(slog.NewJSONHandler(log, nil))
	e := httpd.New(httpd.Config{Log: logger})
	e.HTTPErrorHandler = func(err error, c echo.Context) { api.Fail(c, err) }
	api.Register(e, a, httpd.NewSessions(db, a, false, logger))
	e.Server.Handler = e
	s := &site{echo: e, log: log, idle: make(chan *phone, clients), served: make(chan error, 1)}
	go func() { s.served <- e.Server.Serve(l) }()
	for range clients {
		p, err := newPhone(l.Addr().String(), w)
		if err != nil {
			return nil, errors.Join(err, s.close(context.Background()))
		}
		s.phones = append(s.phones, p)
		s.idle <- p
	}
	return s, nil
}

// close stops the server.
func (s *site) close(ctx context.Context) error {
	var errs []error
	for _, p := range s.phones {
		errs = append(errs, p.conn.Close())
	}
	errs = append(errs, s.echo.Shutdown(ctx))
	if served := <-s.served; !errors.Is(served, http.ErrServerClosed) {
		errs = append(errs, served)
	}
	return errors.Join(append(errs, s.log.Close())...)
}

// handOver sends the hand-over with the number on a connection that nobody else uses meanwhile.
func (s *site) handOver(ctx context.Context, n number) error {
	p := <-s.idle
	defer func() { s.idle <- p }()
	return p.handOver(ctx, n)
}
