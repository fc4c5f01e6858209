package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
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
	"witnessmark/internal/httpd"
	"witnessmark/internal/store"
)

// site is the server as it is wired for use, on loopback, with clients that keep their connections.
type site struct {
	echo   *echo.Echo
	log    *os.File
	client *http.Client
	base   string
	body   *template
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
	body, err := bodyOf(w)
	if err != nil {
		return nil, errors.Join(err, log.Close(), l.Close())
	}
	s := &site{echo: e, log: log, base: "http://" + l.Addr().String(), body: body, served: make(chan error, 1)}
	s.client = &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: clients}}
	go func() { s.served <- e.Server.Serve(l) }()
	return s, nil
}

// close stops the server.
func (s *site) close(ctx context.Context) error {
	s.client.CloseIdleConnections()
	err := s.echo.Shutdown(ctx)
	if served := <-s.served; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return errors.Join(err, s.log.Close())
}

// handOver sends the hand-over with the number and wants it taken.
func (s *site) handOver(ctx context.Context, n number) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, s.base+"/api/attempts/"+n.attempt()+"/hand-over", bytes.NewReader(s.body.of(n)))
	if err != nil {
		return fmt.Errorf("ask for a hand-over: %w", err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.AddCookie(&http.Cookie{Name: "wm", Value: token(n.trainee())})
	answer, err := s.client.Do(r)
	if err != nil {
		return fmt.Errorf("hand over: %w", err)
	}
	text, err := io.ReadAll(answer.Body)
	if err = errors.Join(err, answer.Body.Close()); err != nil {
		return fmt.Errorf("read the answer: %w", err)
	}
	if answer.StatusCode != http.StatusNoContent {
		return fmt.Errorf("handing over %d was answered with %s: %s", n, answer.Status, text)
	}
	return nil
}

// template is a body with gaps for the entries' ids.
type template struct{ parts []string }

// gap stands in the template for the id of one entry; the numbers of a hand-over cannot make it.
const gap = "00000000-0000-0000-0000-000000000000"

func bodyOf(w world) (*template, error) {
	entries := make([]api.NewEntry, len(w.entries))
	for k, e := range w.entries {
		entries[k] = api.NewEntry{Item: e.Item, Part: e.Part, Phase: e.Phase, Text: e.Text, Unit: e.Unit, Working: e.Working,
			CapturedAt: time.Now().UTC().Add(-time.Minute)}
	}
	text, err := json.Marshal(api.HandOver{OwnWork: true, Entries: entries})
	if err != nil {
		return nil, fmt.Errorf("write the body of a hand-over: %w", err)
	}
	return &template{strings.Split(string(text), gap)}, nil
}

// of is the body of the hand-over with the number.
func (t *template) of(n number) []byte {
	var b bytes.Buffer
	for k, part := range t.parts {
		if k > 0 {
			b.WriteString(n.entry(k - 1))
		}
		b.WriteString(part)
	}
	return b.Bytes()
}
