package ui

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"maps"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/httpd"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

func TestMain(m *testing.M) { testpg.Main(m) }

const password = "seven bays and a rig"

// site is the pages on a real database: a centre with a manager, two tutors and a trainee, and the sample brief set to
// their cohort.
type site struct {
	*app.App
	db      *store.Store
	super   string // the address of its database, as a superuser
	handler *echo.Echo
	centre  int64
	people  map[string]account.Caller
	cohort  uuid.UUID
	attempt string // its address
	id      uuid.UUID
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// newSite makes one; with is what its application has besides.
func newSite(t *testing.T, with ...func(*app.App) *app.App) *site {
	t.Helper()
	urls := storetest.Migrated(t)
	db := storetest.Open(t, urls.App)
	blobs, err := blob.OpenFolder(t.TempDir())
	must(t, err)
	s := &site{App: app.New(db, blobs, nil).WithHashing(app.QuickHashing), db: db, super: urls.Super, people: map[string]account.Caller{}}
	for _, more := range with {
		s.App = more(s.App)
	}
	log := slog.New(slog.DiscardHandler)
	s.handler = httpd.New(httpd.Config{Log: log})
	pages, err := New(s.App, httpd.NewSessions(db, s.App, false, log), log, nil)
	must(t, err)
	pages.Register(s.handler)
	s.handler.HTTPErrorHandler = pages.Fault
	row, err := db.CreateCentre(t.Context(), "NORTH", "North Yard Training", time.Now())
	must(t, err)
	s.centre = row.ID
	must(t, db.Write(t.Context(), s.centre, func(tx *store.Tx) error { return saveUnits(t, tx) }))
	inv, err := s.InviteManager(t.Context(), s.centre, app.NewPerson{Name: "Ada Quill", SignInName: "manager"})
	must(t, err)
	s.people["manager"], err = s.AcceptInvitation(t.Context(), inv.Token, password)
	must(t, err)
	for name, role := range map[string]account.Role{"tutor": account.Tutor, "second": account.Tutor, "trainee": account.Trainee} {
		id, inv, err := s.AddPerson(t.Context(), s.people["manager"], app.NewPerson{Name: "Person " + name, SignInName: name, Roles: []account.Role{role}})
		must(t, err)
		s.awarded(t, id, role)
		s.people[name], err = s.AcceptInvitation(t.Context(), inv.Token, password)
		must(t, err)
	}
	s.furnish(t)
	return s
}

// awarded enters an assessor's award of whoever decides or looks at decisions.
func (s *site) awarded(t *testing.T, id uuid.UUID, role account.Role) {
	t.Helper()
	if role == account.Tutor || role == account.QualityAssurer {
		must(t, s.db.Write(t.Context(), s.centre, func(tx *store.Tx) error { return tx.AddRegistration(t.Context(), id, storetest.Award()) }))
	}
}

func saveUnits(t *testing.T, tx *store.Tx) error {
	for code, criteria := range map[string][]string{"H2": {"1.1", "1.2", "2.1"}, "H3": {"1.10"}} {
		o := store.Outcome{Code: "1", Title: "Do it"}
		for _, c := range criteria {
			o.Criteria = append(o.Criteria, store.Criterion{Code: c, Text: "Do " + c + "."})
		}
		if err := tx.SaveUnit(t.Context(), store.Unit{Code: code, Title: "Unit " + code, Edition: "1", Outcomes: []store.Outcome{o}}); err != nil {
			return err
		}
	}
	return nil
}

// furnish sets the sample brief to a cohort. Its hold point is one that any tutor may release.
func (s *site) furnish(t *testing.T) {
	t.Helper()
	ctx, manager, tutor := t.Context(), s.people["manager"], s.people["tutor"]
	var err error
	s.cohort, err = s.AddCohort(ctx, manager, "Heating, Tuesday evenings")
	must(t, err)
	must(t, s.AddMember(ctx, manager, s.cohort, s.people["trainee"].Person, "trainee"))
	must(t, s.AddMember(ctx, manager, s.cohort, tutor.Person, "tutor"))
	must(t, s.AddMember(ctx, manager, s.cohort, s.people["second"].Person, "tutor"))
	b := sample.Brief()
	b.Stages[1].Hold.Entitlement = ""
	source, err := brief.Print(b)
	must(t, err)
	id, version, err := s.SaveBrief(ctx, tutor, string(source), "")
	must(t, err)
	must(t, s.AskForCheck(ctx, tutor, id, version, brief.Digest(source), ""))
	must(t, s.PublishBrief(ctx, s.people["second"], id, version, brief.Digest(source)))
	_, err = s.SetBrief(ctx, tutor, app.SetBrief{Brief: id, Version: version, Cohort: s.cohort})
	must(t, err)
	tasks, err := s.MyTasks(ctx, s.people["trainee"])
	must(t, err)
	s.id = tasks[0].Attempt
	s.attempt = "/attempts/" + s.id.String()
}

// visitor is somebody with a browser.
type visitor struct {
	site   *site
	cookie *http.Cookie
	asJSON bool
}

// answer is what came back.
type answer struct {
	status int
	body   string
	header http.Header
}

func (v *visitor) send(t *testing.T, method, path, kind string, body io.Reader) answer {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), method, path, body)
	r.Header.Set("Content-Type", kind)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if v.asJSON {
		r.Header.Set("Accept", "application/json")
	}
	if v.cookie != nil {
		r.AddCookie(v.cookie)
	}
	w := httptest.NewRecorder()
	v.site.handler.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		v.cookie = c
	}
	return answer{w.Code, w.Body.String(), w.Header()}
}

func (v *visitor) get(t *testing.T, path string) answer { return v.send(t, "GET", path, "", nil) }

func (v *visitor) post(t *testing.T, path string, form url.Values) answer {
	return v.send(t, "POST", path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

// want checks the status and that every text stands in the page.
func (a answer) want(t *testing.T, status int, texts ...string) answer {
	t.Helper()
	if a.status != status {
		t.Fatalf("got status %d, want %d: %s", a.status, status, a.body)
	}
	for _, x := range texts {
		if !strings.Contains(a.body, x) {
			t.Errorf("%q is not on the page", x)
		}
	}
	return a
}

// sent checks for a redirect.
func (a answer) sent(t *testing.T, to string) {
	t.Helper()
	if a.status != http.StatusSeeOther || a.header.Get("Location") != to {
		t.Fatalf("got status %d to %q, want 303 to %q: %s", a.status, a.header.Get("Location"), to, a.body)
	}
}

// in signs somebody in.
func (s *site) in(t *testing.T, name string) *visitor {
	t.Helper()
	v := &visitor{site: s}
	v.post(t, "/sign-in", url.Values{"name": {name}, "password": {password}, "next": {"/"}}).sent(t, "/")
	return v
}

var hidden = regexp.MustCompile(`<input type="hidden" name="([^"]+)" value="([^"]*)" form="(stage-\d+-form)"`)

// stageForm is the hidden fields of a stage's form as the page carries them.
func stageForm(page, form string) url.Values {
	out := url.Values{}
	for _, m := range hidden.FindAllStringSubmatch(page, -1) {
		if m[3] == form {
			out.Set(strings.ReplaceAll(m[1], "&#43;", "+"), m[2])
		}
	}
	return out
}

// photo draws a picture and wraps it into an upload.
func photo(t *testing.T, item, name string) (string, *bytes.Buffer) {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 40, 30))
	for i := range 40 * 30 {
		img.Set(i%40, i/40, color.RGBA{R: uint8(i), G: uint8(i / 7), B: 80, A: 255})
	}
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for _, f := range [][2]string{{"id", uuid.NewSHA1(uuid.NameSpaceURL, []byte(name)).String()}, {"item", item}, {"caption", "The rig"}, {"at", "1777800000000"}} {
		must(t, w.WriteField(f[0], f[1]))
	}
	for range 2 {
		part, err := w.CreateFormFile("file", name)
		must(t, err)
		must(t, jpeg.Encode(part, img, nil))
	}
	must(t, w.Close())
	return w.FormDataContentType(), &body
}

func sortedKeys(m map[string]bool) []string { return slices.Sorted(maps.Keys(m)) }
