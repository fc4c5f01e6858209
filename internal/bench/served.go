package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/app"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/blob"
	"witnessmark/internal/httpd"
	"witnessmark/internal/keyring"
	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
	"witnessmark/internal/ui"
)

// served is the program's pages on a database of their own, what they send to it, and a bare connection that can send the same.
type served struct {
	super    string // the address of the database, as a superuser
	db       *store.Store
	app      *app.App
	echo     *echo.Echo
	conn     *pgx.Conn
	recorder *recorder
}

// serve makes a database with the program's tables, and the pages on it.
func (c *cluster) serve(ctx context.Context, name string) (*served, error) {
	if err := c.create(ctx, name, ""); err != nil {
		return nil, err
	}
	super := c.pg.URL(localpg.Superuser, name)
	if err := store.Migrate(ctx, super); err != nil {
		return nil, err
	}
	return serveOn(ctx, c.pg.URL(store.Role, name), super, filepath.Join(c.dir, "files-"+name))
}

// serveOn puts the pages on a migrated database that the addresses lead to, with evidence and keys in a folder. One connection at a
// time sends, so that what is written down is one page's.
func serveOn(ctx context.Context, plain, super, dir string) (*served, error) {
	s := &served{super: super, recorder: &recorder{}}
	var err error
	if s.db, err = store.OpenTraced(ctx, plain+"&pool_max_conns=1", s.recorder); err != nil {
		return nil, err
	}
	// Both sides plan alike.
	if s.conn, err = pgx.Connect(ctx, plain+"&plan_cache_mode="+store.PlanCacheMode); err != nil {
		return nil, fmt.Errorf("connect as the plain role: %w", err)
	}
	blobs, err := blob.OpenFolder(filepath.Join(dir, "evidence"))
	if err != nil {
		return nil, err
	}
	keys, err := keyring.Open(filepath.Join(dir, "keys"))
	if err != nil {
		return nil, err
	}
	s.app = app.New(s.db, blobs, nil).WithKeys(keys)
	log := slog.New(slog.DiscardHandler)
	s.echo = httpd.New(httpd.Config{Log: log})
	sessions := httpd.NewSessions(s.db, s.app, false, log)
	pages, err := ui.New(s.app, sessions, log, nil)
	if err != nil {
		return nil, err
	}
	pages.Register(s.echo)
	return s, nil
}

// close ends its connections.
func (s *served) close(ctx context.Context) error {
	s.db.Close()
	return s.conn.Close(ctx)
}

// signIn gives a person a session, on a visit where that is not the zero UUID.
func (s *served) signIn(ctx context.Context, centre int64, person, visit uuid.UUID, token string) error {
	until := time.Now().Add(12 * time.Hour)
	values := map[string]any{store.SessionCentre: centre, store.SessionPerson: person.String()}
	if visit != uuid.Nil {
		values[store.SessionVisit] = visit.String()
	}
	data, err := store.SessionCodec{}.Encode(until, values)
	if err != nil {
		return fmt.Errorf("write a session: %w", err)
	}
	return s.db.Sessions().CommitCtx(ctx, token, data, until)
}

// fill runs statements as a superuser, without triggers and foreign keys. Each takes of the values those that it names.
func (s *served) fill(ctx context.Context, values map[string]any, statements ...string) (err error) {
	conn, err := pgx.Connect(ctx, s.super)
	if err != nil {
		return fmt.Errorf("connect as a superuser: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	if _, err := conn.Exec(ctx, `SET session_replication_role = replica`); err != nil {
		return fmt.Errorf("put triggers aside: %w", err)
	}
	for _, sql := range append(statements, `ANALYZE`) {
		named := pgx.StrictNamedArgs{}
		for name, v := range values {
			if strings.Contains(sql, "@"+name) {
				named[name] = v
			}
		}
		if _, err := conn.Exec(ctx, sql, named); err != nil {
			return fmt.Errorf("fill the database: %w: %.120s", err, sql)
		}
	}
	return nil
}

// page asks for a page and takes all of it; it has to have so many bytes at least.
func (s *served) page(ctx context.Context, path, token string, least int) error {
	r := httptest.NewRequestWithContext(ctx, http.MethodGet, path, nil)
	r.AddCookie(&http.Cookie{Name: "wm", Value: token})
	a := httptest.NewRecorder()
	s.echo.ServeHTTP(a, r)
	if a.Code != http.StatusOK || a.Body.Len() < least {
		return fmt.Errorf("%s answered %d with %d bytes: %.300s", path, a.Code, a.Body.Len(), a.Body)
	}
	return nil
}

// learn writes down what a page sends once its statements are prepared, and refuses more than so many statements besides those
// that know the session, name the centre, and begin and end a transaction. The batch that brings the whole sheet of an attempt
// counts as one: what is in it is the same for every page.
func (s *served) learn(ctx context.Context, path, token string, least, most int) ([]call, int, error) {
	for range 3 {
		s.recorder.start()
		if err := s.page(ctx, path, token, least); err != nil {
			return nil, 0, err
		}
	}
	calls, err := s.recorder.stop()
	if err != nil {
		return nil, 0, err
	}
	n := counted(calls)
	if n > most {
		return nil, n, fmt.Errorf("%s sent %d statements; want %d at most", path, n, most)
	}
	for range 3 { // the bare connection prepares them, too
		if err := sendBare(ctx, s.conn, calls); err != nil {
			return nil, n, err
		}
	}
	return calls, n, nil
}

// counted is how many statements of a page count. The first round trip knows the session.
func counted(calls []call) int {
	n := 0
	for _, c := range calls[min(len(calls), 1):] {
		n += count(c)
	}
	return n
}

// count is how many statements of a round trip count.
func count(c call) int {
	n := 0
	for _, q := range c {
		switch word, _, _ := strings.Cut(strings.TrimSpace(q.sql), " "); {
		case strings.Contains(q.sql, "FROM marking k"):
			return 1
		case strings.Contains(q.sql, "set_config"), word == "BEGIN", word == "COMMIT":
		default:
			n++
		}
	}
	return n
}

// turns lets a page and its statements take turns, so many times each, and gives the milliseconds of one.
func turns(loads int, theirsFirst bool, ours, theirs func() error) (rounds.Round, error) {
	var took [2]time.Duration
	for load := range loads {
		for i := range 2 {
			side := (i + load) % 2
			if theirsFirst {
				side = 1 - side
			}
			began := time.Now()
			if err := [2]func() error{ours, theirs}[side](); err != nil {
				return rounds.Round{}, err
			}
			took[side] += time.Since(began)
		}
	}
	each := func(d time.Duration) float64 { return d.Seconds() * 1e3 / float64(loads) }
	return rounds.Round{Ours: each(took[0]), Theirs: each(took[1])}, nil
}

// viewID is the place of a new row's own id among the arguments of the statement that keeps what a verifier looked at: no other page
// writes anything, and a row cannot be written twice.
const viewID = 2

// sendBare sends what a page sent, in the same round trips, and takes every row as it comes.
func sendBare(ctx context.Context, conn *pgx.Conn, calls []call) error {
	for _, c := range calls {
		b := &pgx.Batch{}
		for _, s := range c {
			if strings.Contains(s.sql, "INSERT INTO visit_view") {
				s.args = slices.Clone(s.args)
				s.args[viewID] = uuid.New()
			}
			b.Queue(s.sql, s.args...).Query(func(rows pgx.Rows) error {
				for rows.Next() {
					if _, err := rows.Values(); err != nil {
						return err
					}
				}
				return rows.Err()
			})
		}
		if err := conn.SendBatch(ctx, b).Close(); err != nil {
			return fmt.Errorf("send the page's statements: %w", err)
		}
	}
	return nil
}
