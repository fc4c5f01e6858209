// Package ui is the HTML pages: forms that post and redirect, and that work without a script.
//
// One table (routes.go) lists every page and form. A handler decodes, calls one method of the application, and redirects
// with a notice or shows the same page again with what was typed and what to mend. Who may do what is the application's
// alone; pages only leave out what it said cannot be done. Each page has a struct, and a test checks every template
// against it. Pages are rendered to a buffer before anything is written.
package ui

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"github.com/go-playground/validator/v10"
	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/httpd"
)

// UI serves the pages.
type UI struct {
	app      *app.App
	sessions *httpd.Sessions
	log      *slog.Logger
	now      func() time.Time
	pages    map[string]*template.Template // by name of the page
	static   *staticFiles
	validate *validator.Validate
	closing  chan struct{}                                   // closed when the server ends: streams end then, which would hold it up
	callable func([]app.TradeSubject) (template.HTML, error) // the functions that a formula may call, as a table
}

// New reads the templates. Now is the clock; nil means the machine's.
func New(a *app.App, s *httpd.Sessions, log *slog.Logger, now func() time.Time) (*UI, error) {
	if now == nil {
		now = time.Now
	}
	static, err := readStaticFiles()
	if err != nil {
		return nil, err
	}
	u := &UI{app: a, sessions: s, log: log, now: now, static: static, validate: validator.New(validator.WithRequiredStructEnabled()), closing: make(chan struct{})}
	if u.pages, err = readPages(static); err != nil {
		return nil, err
	}
	u.callable = callableOnce(u.pages["edit"])
	return u, nil
}

// zipFrom is how many bytes a page has at least for compressing it to be worth while.
//
// Compressing what repeats a request beside a secret would let another site guess the secret from the length (BREACH). No
// page holds such a pair: there are no tokens in forms (httpd asks where a write came from), the session is in a cookie that no
// script reads, invitations and codes stand on pages that repeat nothing of their request, and another site's request has
// the cookie only when the person follows a link.
const zipFrom = 512

// What a service worker learns from an answer: whose it is, by id, or nobody's; and the edition of the static files it names.
const (
	personHeader  = httpd.PersonHeader
	editionHeader = "Witnessmark-Edition"
	nobody        = "nobody"
)

// Register adds every page to the server, each with the session loaded before it.
func (u *UI) Register(e *echo.Echo) {
	e.Server.RegisterOnShutdown(sync.OnceFunc(func() { close(u.closing) }))
	small, zip := middleware.BodyLimit(httpd.BodyLimit), middleware.GzipWithConfig(middleware.GzipConfig{MinLength: zipFrom})
	for _, r := range routes() {
		before := []echo.MiddlewareFunc{u.sessions.Load()}
		if !r.Bytes {
			before = append(before, zip)
		}
		if !r.Big {
			before = append(before, small)
		}
		if r.Slow {
			before = append(before, u.sessions.Slowly())
		}
		e.Add(r.Method, r.Path, u.adapt(r), before...)
	}
	e.GET("/static/:edition/*", u.static.serve)
	e.GET("/sw.js", u.static.serveWorker)
	e.GET("/favicon.ico", func(c echo.Context) error { return c.Redirect(http.StatusFound, u.static.address("favicon.svg")) })
}

// adapt puts a route's handler between finding out who asks and turning trouble into a page.
func (u *UI) adapt(r Route) echo.HandlerFunc {
	return func(c echo.Context) error {
		who, err := u.sessions.Caller(c.Request().Context())
		signedOut := errors.Is(err, httpd.ErrSignedOut)
		h := c.Response().Header()
		h.Set(editionHeader, u.static.edition)
		h.Set(personHeader, nobody)
		if err == nil {
			h.Set(personHeader, who.Person.String())
		}
		if signedOut && !r.Open {
			return u.askToSignIn(c)
		}
		if err == nil || signedOut {
			err = r.handle(u, c, who)
		}
		if err != nil {
			u.fault(c, who, err)
		}
		return nil
	}
}

// askToSignIn sends a signed-out person to the sign-in page and remembers the page they wanted.
func (u *UI) askToSignIn(c echo.Context) error {
	if wantsJSON(c) {
		return c.JSON(http.StatusUnauthorized, problem{Title: "You are signed out. Sign in on another tab, then go on here."})
	}
	next := "/"
	if c.Request().Method == http.MethodGet {
		next = c.Request().URL.RequestURI()
	}
	return c.Redirect(http.StatusSeeOther, "/sign-in?next="+url.QueryEscape(next))
}

// samePage is next where it is a path of this site, else "/". Browsers read "//x" and "/\x" as another site.
func samePage(next string) string {
	p, err := url.Parse(next)
	if err != nil || p.IsAbs() || p.Host != "" || !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n\t") {
		return "/"
	}
	return next
}

// page is what a page struct has: the name of its template, and the frame around it.
type page interface {
	template() string
	frame() *Frame
}

// render fills the page in and writes it.
func (u *UI) render(c echo.Context, who account.Caller, status int, p page) error {
	f := p.frame()
	f.SignedIn, f.Name = who.Centre != 0, who.Name
	if f.SignedIn {
		f.Person = who.Person.String()
	}
	f.Drawn = u.now().UnixMilli()
	f.Places = places(who, f.Here)
	if f.SignedIn && f.Notice == "" {
		f.Notice = u.sessions.Said(c.Request().Context())
	}
	var b bytes.Buffer
	if err := u.write(&b, p); err != nil {
		return err
	}
	if form, ok := c.Get(sentForm).(Form); ok && !bytes.Contains(b.Bytes(), []byte(`id="`+form.ID("summary")+`"`)) {
		b.Reset()
		f.Trouble = form.Message
		if err := u.write(&b, p); err != nil {
			return err
		}
	}
	return c.HTMLBlob(status, b.Bytes())
}

// sentForm is the key of the form that came back, among what a request carries. Where its place on the page is gone, because
// somebody else was there first, its message stands at the head of the page.
const sentForm = "sent form"

// write executes the page's template.
func (u *UI) write(b *bytes.Buffer, p page) error {
	t, ok := u.pages[p.template()]
	if !ok {
		return fmt.Errorf("render: there is no page %q", p.template())
	}
	if err := t.ExecuteTemplate(b, "layout", p); err != nil {
		return fmt.Errorf("render %s: %w", p.template(), err)
	}
	return nil
}

// problem is what a script is told of a form that was not taken.
type problem struct {
	Title  string         `json:"title"`
	Fields []problemField `json:"fields,omitempty"`
}

type problemField struct {
	Name    string `json:"name"`
	Message string `json:"message"`
}

// wantsJSON says whether one of our scripts sent the form: it asks for a short answer in place of a page.
func wantsJSON(c echo.Context) bool {
	return c.Request().Header.Get(echo.HeaderAccept) == echo.MIMEApplicationJSON
}

// taken answers a form that was taken: on to the next page with a notice.
func (u *UI) taken(c echo.Context, next, notice string) error {
	if wantsJSON(c) {
		return c.JSON(http.StatusOK, struct {
			At string `json:"at"`
		}{clock(u.now())})
	}
	if notice != "" {
		u.sessions.Say(c.Request().Context(), notice)
	}
	return c.Redirect(http.StatusSeeOther, next)
}

// again answers a form that was not taken. What a person can mend or decide afresh comes back on the page itself, shown by
// show with everything typed; the rest is the fault page's.
func (u *UI) again(c echo.Context, err error, which string, show func(Form) error) error {
	f, ok := fault.As(err)
	if !ok || f.Kind == fault.KindNotFound {
		return err
	}
	if wantsJSON(c) {
		p := problem{Title: f.Message}
		for _, x := range f.Fields {
			p.Fields = append(p.Fields, problemField(x))
		}
		return c.JSON(httpd.Status(err), p)
	}
	form := newForm(which, c.Request().PostForm, f, httpd.Status(err)) // an upload's fields are gone
	c.Set(sentForm, form)
	return show(form)
}
