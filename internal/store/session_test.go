package store_test

import (
	"crypto/sha256"
	"net/http"
	"net/http/httptest"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

var _ scs.CtxStore = (*store.Sessions)(nil)

func sum(s string) []byte { d := sha256.Sum256([]byte(s)); return d[:] }

// keepSession keeps a session of the person for an hour.
func (b bench) keepSession(t *testing.T, token string, person uuid.UUID) []byte {
	t.Helper()
	return b.keepSessionUntil(t, token, person, time.Now().Add(time.Hour))
}

func (b bench) keepSessionUntil(t *testing.T, token string, person uuid.UUID, until time.Time) []byte {
	t.Helper()
	codec := store.SessionCodec{}
	data, err := codec.Encode(until, map[string]any{store.SessionCentre: b.centre, store.SessionPerson: person.String()})
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Sessions().CommitCtx(t.Context(), token, data, until); err != nil {
		t.Fatalf("keep session: %v", err)
	}
	return data
}

func TestSessions(t *testing.T) {
	b := newBench(t)
	z := b.Sessions()
	ctx := t.Context()
	want := b.keepSession(t, "one", b.tutor)
	if got, found, err := z.FindCtx(ctx, "one"); err != nil || !found || string(got) != string(want) {
		t.Errorf("Find = %d bytes, %v, %v; want the %d kept", len(got), found, err, len(want))
	}
	if _, found, err := z.FindCtx(ctx, "none"); err != nil || found {
		t.Errorf("Find(unknown) = %v, %v; want not found", found, err)
	}
	super := connect(t, b.urls.Super)
	if n := value[int](t, super, `SELECT count(*) FROM session WHERE digest = $1`, sum("one")); n != 1 {
		t.Errorf("%d rows under the token's digest, want 1", n)
	}
	if err := z.DeleteCtx(ctx, "one"); err != nil {
		t.Fatal(err)
	}
	if _, found, err := z.FindCtx(ctx, "one"); err != nil || found {
		t.Errorf("Find after Delete = %v, %v; want not found", found, err)
	}
	if err := z.DeleteCtx(ctx, "one"); err != nil {
		t.Errorf("Delete once more: %v", err)
	}
	if err := z.CommitCtx(ctx, "nobody", encode(t, map[string]any{}), time.Now().Add(time.Hour)); err == nil {
		t.Error("a session of nobody was kept")
	}
}

func encode(t *testing.T, values map[string]any) []byte {
	t.Helper()
	data, err := store.SessionCodec{}.Encode(time.Now(), values)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestExpiredSessionsGo(t *testing.T) {
	b := newBench(t)
	super := connect(t, b.urls.Super)
	count := func() int { return value[int](t, super, `SELECT count(*) FROM session`) }
	b.keepSession(t, "live", b.tutor)
	run(t, super, `INSERT INTO session (centre_id, digest, person_id, data, expires_at)
		SELECT 1, sha256(i::text::bytea), $1, '', now() - interval '1 minute' FROM generate_series(1, 30) i`, b.ann)
	if _, found, err := b.Sessions().FindCtx(t.Context(), "1"); err != nil || found {
		t.Errorf("an expired session: %v, %v; want not found", found, err)
	}
	b.keepSession(t, "live", b.tutor)
	if n := count(); n != 11 {
		t.Errorf("%d sessions after a commit, want 11: it clears twenty expired ones", n)
	}
	if n, err := b.SweepSessions(t.Context(), b.centre); err != nil || n != 10 {
		t.Errorf("Sweep = %d, %v; want 10", n, err)
	}
	if n := count(); n != 1 {
		t.Errorf("%d sessions after the sweep, want 1", n)
	}
}

func TestDisablingEndsSessions(t *testing.T) {
	b := newBench(t)
	b.keepSession(t, "phone", b.ann)
	b.keepSession(t, "laptop", b.ann)
	b.keepSession(t, "tutor", b.tutor)
	b.write(t, func(tx *store.Tx) error { return tx.Disable(t.Context(), b.ann, monday) })
	for token, want := range map[string]bool{"phone": false, "laptop": false, "tutor": true} {
		if _, found, err := b.Sessions().FindCtx(t.Context(), token); err != nil || found != want {
			t.Errorf("session %s: %v, %v; want %v", token, found, err, want)
		}
	}
	if p, err := b.Person(t.Context(), b.centre, b.ann); err != nil || !p.DisabledAt.Equal(monday) {
		t.Errorf("disabled at %v, %v; want %v", p.DisabledAt, err, monday)
	}
}

// browser keeps the one cookie that a session needs.
type browser struct {
	h      http.Handler
	cookie *http.Cookie
}

// visit gives the body of a page that must answer 200.
func (w *browser) visit(t *testing.T, path string) string {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	if w.cookie != nil {
		r.AddCookie(w.cookie)
	}
	answer := httptest.NewRecorder()
	w.h.ServeHTTP(answer, r)
	if answer.Code != http.StatusOK {
		t.Errorf("%s: status %d, want 200: %s", path, answer.Code, answer.Body)
	}
	if set := answer.Result().Cookies(); len(set) > 0 {
		w.cookie = set[0]
	}
	return answer.Body.String()
}

// door is three pages that sign the tutor in, say who is there, and sign out.
func (b bench) door(t *testing.T) http.Handler {
	t.Helper()
	manager := scs.New()
	manager.Codec, manager.Store = store.SessionCodec{}, b.Sessions()
	mux := http.NewServeMux()
	mux.HandleFunc("/in", func(_ http.ResponseWriter, r *http.Request) {
		if err := manager.RenewToken(r.Context()); err != nil {
			t.Error(err)
		}
		manager.Put(r.Context(), store.SessionCentre, b.centre)
		manager.Put(r.Context(), store.SessionPerson, b.tutor.String())
	})
	mux.HandleFunc("/who", func(w http.ResponseWriter, r *http.Request) {
		if _, err := w.Write([]byte(manager.GetString(r.Context(), store.SessionPerson))); err != nil {
			t.Error(err)
		}
	})
	mux.HandleFunc("/out", func(_ http.ResponseWriter, r *http.Request) {
		if err := manager.Destroy(r.Context()); err != nil {
			t.Error(err)
		}
	})
	return manager.LoadAndSave(mux)
}

// The session manager itself, over HTTP: sign in, come back, sign out, come back with the old cookie.
func TestSessionManagerRoundTrip(t *testing.T) {
	b := newBench(t)
	w := &browser{h: b.door(t)}
	if got := w.visit(t, "/who"); got != "" {
		t.Errorf("before signing in: %q", got)
	}
	w.visit(t, "/in")
	if got := w.visit(t, "/who"); got != b.tutor.String() {
		t.Errorf("signed in as %q, want %v", got, b.tutor)
	}
	kept := w.cookie
	w.visit(t, "/out")
	w.cookie = kept
	if got := w.visit(t, "/who"); got != "" {
		t.Errorf("after signing out the old cookie is %q", got)
	}
}

func TestLinkIsUsedOnce(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	add := func(token string, until time.Time) {
		b.write(t, func(tx *store.Tx) error {
			return tx.AddLink(ctx, store.Link{ID: newID(t), Digest: sum(token), Purpose: "password", Person: b.ann, ExpiresAt: until})
		})
	}
	add("good", monday.Add(time.Hour))
	add("late", monday)
	use := func(token string) error {
		l, err := b.LinkByDigest(ctx, sum(token))
		if err != nil {
			return err
		}
		return b.Write(ctx, l.Centre, func(tx *store.Tx) error { _, err := tx.UseLink(ctx, l.ID, monday.Add(time.Minute)); return err })
	}
	var used, conflicts atomic.Int32
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			switch err := use("good"); {
			case err == nil:
				used.Add(1)
			case fault.KindOf(err) == fault.KindConflict:
				conflicts.Add(1)
			default:
				t.Error(err)
			}
		})
	}
	all.Wait()
	if used.Load() != 1 || conflicts.Load() != 7 {
		t.Errorf("used %d times, refused %d times; want 1 and 7", used.Load(), conflicts.Load())
	}
	if err := use("late"); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("an expired link: %v, want Conflict", err)
	}
	if err := use("none"); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("an unknown link: %v, want NotFound", err)
	}
}
