package httpd

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// People finds who a session belongs to, as they are now: a role taken away counts from the next request.
type People interface {
	Caller(ctx context.Context, centre int64, person uuid.UUID) (account.Caller, error)
}

// Sessions keeps people signed in.
type Sessions struct {
	scs    *scs.SessionManager
	people People
	slowly echo.MiddlewareFunc
}

// NewSessions keeps sessions in the database; https says whether the cookie may travel only over https.
func NewSessions(db *store.Store, people People, https bool, log *slog.Logger) *Sessions {
	m := scs.New()
	m.Codec, m.Store = store.SessionCodec{}, db.Sessions()
	m.ErrorFunc = func(w http.ResponseWriter, _ *http.Request, err error) {
		log.Error("sessions do not answer", "err", err)
		http.Error(w, Sentence(err), Status(err))
	}
	m.Lifetime = 12 * time.Hour // a working day, then the password again
	m.Cookie.Name = "wm"
	if https {
		m.Cookie.Name = "__Host-wm"
	}
	m.Cookie.HttpOnly, m.Cookie.Secure, m.Cookie.SameSite, m.Cookie.Path = true, https, http.SameSiteLaxMode, "/"
	return &Sessions{scs: m, people: people, slowly: slowly()}
}

// PersonHeader names, on a request, the only person whose it can be: a page that sends what somebody did earlier does not
// know who has signed in on the same phone since. On a page it names whose it is.
const PersonHeader = "Witnessmark-Person"

// expected is the context's key for the person that a request names.
type expected struct{}

// Load reads the session and whose it is before a route runs, in one round trip, and keeps what changed. A store that does
// not answer is our own trouble.
func (s *Sessions) Load() echo.MiddlewareFunc {
	return echo.WrapMiddleware(func(next http.Handler) http.Handler {
		load := s.scs.LoadAndSave(next)
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			ctx := store.WithOwner(r.Context())
			if p := r.Header.Get(PersonHeader); p != "" {
				ctx = context.WithValue(ctx, expected{}, p)
			}
			load.ServeHTTP(w, r.WithContext(ctx))
		})
	})
}

// Start signs the caller in under a new token, so that a planted one is worth nothing. The verifier's session is limited to their
// visit.
func (s *Sessions) Start(ctx context.Context, c account.Caller) error {
	if err := s.scs.RenewToken(ctx); err != nil {
		return err
	}
	s.scs.Put(ctx, store.SessionCentre, c.Centre)
	s.scs.Put(ctx, store.SessionPerson, c.Person.String())
	s.scs.Remove(ctx, store.SessionVisit)
	if c.Visit != uuid.Nil {
		s.scs.Put(ctx, store.SessionVisit, c.Visit.String())
	}
	return nil
}

// End signs the caller out.
func (s *Sessions) End(ctx context.Context) error { return s.scs.Destroy(ctx) }

// Caller is who the request comes from, or ErrSignedOut, also where it names somebody else than who is signed in.
func (s *Sessions) Caller(ctx context.Context) (account.Caller, error) {
	c, err := s.person(ctx)
	if text := s.scs.GetString(ctx, store.SessionVisit); err == nil && text != "" {
		visit, err := uuid.Parse(text)
		if err != nil {
			return account.Caller{}, ErrSignedOut
		}
		return c.Visiting(visit), nil
	}
	return c, err
}

// person is who the session belongs to, with all that they may do.
func (s *Sessions) person(ctx context.Context) (account.Caller, error) {
	centre := s.scs.GetInt64(ctx, store.SessionCentre)
	person, err := uuid.Parse(s.scs.GetString(ctx, store.SessionPerson))
	if centre == 0 || err != nil {
		return account.Caller{}, ErrSignedOut
	}
	if p := ctx.Value(expected{}); p != nil && p != person.String() {
		return account.Caller{}, ErrSignedOut
	}
	if p, ok := store.Owner(ctx, centre, person); ok {
		return p.Caller(), nil
	}
	c, err := s.people.Caller(ctx, centre, person)
	if fault.KindOf(err) == fault.KindNotFound { // disabled or gone since
		return account.Caller{}, ErrSignedOut
	}
	return c, err
}

// Say leaves a sentence for the next page that this person sees.
func (s *Sessions) Say(ctx context.Context, sentence string) {
	s.scs.Put(ctx, store.SessionNotice, sentence)
}

// Said takes the sentence that was left, "" where there is none.
func (s *Sessions) Said(ctx context.Context) string { return s.scs.PopString(ctx, store.SessionNotice) }

// ipNet is the prefix in the form that echo takes.
func ipNet(p netip.Prefix) *net.IPNet {
	return &net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), p.Addr().BitLen())}
}
