package upload_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"maps"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
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
	"witnessmark/internal/upload"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// site is the uploads on a real server and database: a centre with two trainees, each with an open attempt.
type site struct {
	*app.App
	db        *store.Store
	dir       string // the evidence folder
	began     time.Time
	passed    atomic.Int64 // nanoseconds by which the clock was moved on
	address   string
	centre    int64
	own, peer *phone
	tutor     account.Caller
	log       bytes.Buffer
}

// phone is one signed-in person; without a cookie it is nobody's.
type phone struct {
	site    *site
	who     account.Caller
	attempt uuid.UUID
	cookie  *http.Cookie
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   string
}

func newSite(t *testing.T) *site {
	t.Helper()
	ctx := t.Context()
	s := &site{db: storetest.New(t), dir: t.TempDir(), began: time.Now().UTC()}
	blobs, err := blob.OpenFolder(s.dir)
	must(t, err)
	s.App = app.New(s.db, blobs, s.now).WithHashing(app.QuickHashing)
	row, err := s.db.CreateCentre(ctx, "NORTH", "North Yard Training", s.now())
	must(t, err)
	s.centre = row.ID
	s.serve(t)
	manager := s.person(t, "mara", account.Manager)
	s.tutor = s.person(t, "tess", account.Tutor)
	s.own = &phone{site: s, who: s.person(t, "tom", account.Trainee)}
	s.peer = &phone{site: s, who: s.person(t, "pia", account.Trainee)}
	s.set(t, manager)
	for _, p := range []*phone{s.own, s.peer} {
		tasks, err := s.MyTasks(ctx, p.who)
		must(t, err)
		p.attempt = tasks[0].Attempt
		must(t, s.OpenAttempt(ctx, p.who, p.attempt, true, true))
		p.signIn(t)
	}
	return s
}

// now is the site's clock, which stands still until a test moves it.
func (s *site) now() time.Time { return s.began.Add(time.Duration(s.passed.Load())) }

// serve starts the server, with a route that signs anybody in.
func (s *site) serve(t *testing.T) {
	t.Helper()
	log := slog.New(slog.NewTextHandler(&s.log, nil))
	e := httpd.New(httpd.Config{Log: slog.New(slog.DiscardHandler)})
	sessions := httpd.NewSessions(s.db, s.App, false, log)
	must(t, upload.Register(e, s.App, sessions, log))
	e.POST("/in/:person", func(c echo.Context) error {
		return sessions.Start(c.Request().Context(), account.Caller{Centre: s.centre, Person: uuid.MustParse(c.Param("person"))})
	}, sessions.Load())
	srv := httptest.NewUnstartedServer(e)
	srv.Config.MaxHeaderBytes = e.Server.MaxHeaderBytes
	srv.Start()
	t.Cleanup(srv.Close)
	s.address = srv.URL
}

func (s *site) person(t *testing.T, name string, role account.Role) account.Caller {
	t.Helper()
	p := store.Person{ID: newID(t), Name: "Person " + name, SignInName: name, Roles: []account.Role{role}, Registrations: []account.Registration{storetest.Award()}, CreatedAt: s.now()}
	must(t, s.db.Write(t.Context(), s.centre, func(tx *store.Tx) error { return tx.AddPerson(t.Context(), p) }))
	who, err := s.Caller(t.Context(), s.centre, p.ID)
	must(t, err)
	return who
}

// set gives both trainees the sample brief.
func (s *site) set(t *testing.T, manager account.Caller) {
	t.Helper()
	ctx := t.Context()
	must(t, s.db.Write(ctx, s.centre, func(tx *store.Tx) error {
		for code, criteria := range map[string][]string{"H2": {"1.1", "1.2", "2.1"}, "H3": {"1.10"}} {
			o := store.Outcome{Code: "1", Title: "Do it"}
			for _, c := range criteria {
				o.Criteria = append(o.Criteria, store.Criterion{Code: c, Text: "Do " + c + "."})
			}
			if err := tx.SaveUnit(ctx, store.Unit{Code: code, Title: "Unit " + code, Edition: "1", Outcomes: []store.Outcome{o}}); err != nil {
				return err
			}
		}
		return nil
	}))
	cohort, err := s.AddCohort(ctx, manager, "Monday evening")
	must(t, err)
	must(t, s.AddMember(ctx, manager, cohort, s.tutor.Person, store.PartTutor))
	must(t, s.AddMember(ctx, manager, cohort, s.own.who.Person, store.PartTrainee))
	must(t, s.AddMember(ctx, manager, cohort, s.peer.who.Person, store.PartTrainee))
	src, err := brief.Print(sample.Brief())
	must(t, err)
	id, version, err := s.SaveBrief(ctx, s.tutor, string(src), "")
	must(t, err)
	must(t, s.AskForCheck(ctx, s.tutor, id, version, brief.Digest(src), ""))
	must(t, s.PublishBrief(ctx, s.person(t, "una", account.QualityAssurer), id, version, brief.Digest(src)))
	_, err = s.SetBrief(ctx, s.tutor, app.SetBrief{Brief: id, Version: version, Cohort: cohort})
	must(t, err)
}

func (p *phone) signIn(t *testing.T) {
	t.Helper()
	r, err := http.Post(p.site.address+"/in/"+p.who.Person.String(), "", nil)
	must(t, err)
	must(t, r.Body.Close())
	p.cookie = r.Cookies()[0]
}

// send sends one request with the protocol's version; a header of "" is left out.
func (p *phone) send(t *testing.T, method, path string, body io.Reader, headers map[string]string) answer {
	t.Helper()
	a, err := p.try(t.Context(), method, path, body, headers)
	must(t, err)
	return a
}

func (p *phone) try(ctx context.Context, method, path string, body io.Reader, headers map[string]string) (answer, error) {
	r, err := http.NewRequestWithContext(ctx, method, p.site.address+path, body)
	if err != nil {
		return answer{}, err
	}
	if b, ok := body.(*sized); ok {
		r.ContentLength = int64(b.n)
	}
	r.Header.Set("Tus-Resumable", "1.0.0")
	for k, v := range headers {
		r.Header.Set(k, v)
		if v == "" {
			r.Header.Del(k)
		}
	}
	if p.cookie != nil {
		r.AddCookie(p.cookie)
	}
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		return answer{}, err
	}
	defer got.Body.Close()
	text, err := io.ReadAll(got.Body)
	return answer{got.StatusCode, got.Header, string(text)}, err
}

// announcement is the metadata of a file; a test changes what it is about.
func (p *phone) announcement(id uuid.UUID, data []byte) map[string]string {
	return map[string]string{
		"id": id.String(), "attempt": p.attempt.String(), "item": "before", "name": "rig.jpg", "caption": "The rig, cold",
		"at": ms(p.site.now().Add(-time.Hour)), "sent": ms(p.site.now().Add(-3 * time.Second)), "clock": "3000", "digest": digestOf(data),
	}
}

func ms(at time.Time) string { return strconv.FormatInt(at.UnixMilli(), 10) }

// coded is metadata as the header has it.
func coded(m map[string]string) string {
	var pairs []string
	for _, k := range slices.Sorted(maps.Keys(m)) {
		pairs = append(pairs, k+" "+base64.StdEncoding.EncodeToString([]byte(m[k])))
	}
	return strings.Join(pairs, ",")
}

// announce posts a file without bytes.
func (p *phone) announce(t *testing.T, id uuid.UUID, data []byte) answer {
	t.Helper()
	return p.send(t, http.MethodPost, "/uploads", nil, map[string]string{
		"Upload-Length": strconv.Itoa(len(data)), "Upload-Metadata": coded(p.announcement(id, data))})
}

// patch sends a part.
func (p *phone) patch(t *testing.T, at string, offset int, part []byte) answer {
	t.Helper()
	return p.send(t, http.MethodPatch, at, bytes.NewReader(part), partHeaders(offset))
}

func partHeaders(offset int) map[string]string {
	return map[string]string{"Upload-Offset": strconv.Itoa(offset), "Content-Type": "application/offset+octet-stream"}
}

// head asks how far an upload is.
func (p *phone) head(t *testing.T, at string) answer {
	t.Helper()
	return p.send(t, http.MethodHead, at, nil, nil)
}

// want fails the test where the answer has another status, and gives it for more.
func (a answer) want(t *testing.T, status int) answer {
	t.Helper()
	if a.status != status {
		t.Fatalf("got %d, want %d: %s", a.status, status, a.body)
	}
	return a
}

// wantHeaders wants headers, in pairs of name and value; "" means none.
func (a answer) wantHeaders(t *testing.T, pairs ...string) answer {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if got := a.header.Get(pairs[i]); got != pairs[i+1] {
			t.Errorf("%s is %q, want %q", pairs[i], got, pairs[i+1])
		}
	}
	return a
}

// wantTitle wants trouble that says something.
func (a answer) wantTitle(t *testing.T, part string) {
	t.Helper()
	var p struct {
		Title  string
		Status int
	}
	must(t, json.Unmarshal([]byte(a.body), &p))
	if p.Title == "" || !strings.Contains(p.Title, part) || p.Status != a.status || strings.Contains(p.Title, "ERR_") {
		t.Errorf("answered %d with the title %q, want it to say %q", a.status, p.Title, part)
	}
	if got := a.header.Get("Content-Type"); got != "application/problem+json" {
		t.Errorf("trouble comes as %q", got)
	}
}

// files are the digests of the attempt's evidence, as the tutor can read it.
func (s *site) files(t *testing.T, p *phone) []string {
	t.Helper()
	sheet, err := s.Sheet(t.Context(), s.tutor, p.attempt)
	must(t, err)
	var got []string
	for _, st := range sheet.Stages {
		for _, it := range st.Items {
			for _, f := range it.Files {
				file, err := s.OpenFile(t.Context(), s.tutor, f.ID, false)
				must(t, err)
				data, err := io.ReadAll(file.Content)
				must(t, err)
				must(t, file.Content.Close())
				got = append(got, digestOf(data))
			}
		}
	}
	return got
}

// wantOnce wants the file among the evidence, byte for byte, once.
func (s *site) wantOnce(t *testing.T, p *phone, data []byte) {
	t.Helper()
	if got := s.files(t, p); len(got) != 1 || got[0] != digestOf(data) {
		t.Errorf("the attempt has the files %q, want %q once", got, digestOf(data))
	}
}

func digestOf(data []byte) string {
	d := sha256.Sum256(data)
	return hex.EncodeToString(d[:])
}

// picture is a JPEG of some ten thousand bytes; each n is another.
func picture(t *testing.T, n int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 160, 120))
	for x := range 160 {
		for y := range 120 {
			img.Set(x, y, color.RGBA{uint8(x * y), uint8(y * 5 * n), uint8(n*40 + x*x), 255})
		}
	}
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

func newID(t *testing.T) uuid.UUID {
	t.Helper()
	id, err := uuid.NewV7()
	must(t, err)
	return id
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// unfinished counts the first trainee's uploads that are on their way.
func (s *site) unfinished(t *testing.T) (n int, err error) {
	t.Helper()
	err = s.db.Write(t.Context(), s.centre, func(tx *store.Tx) (err error) {
		n, err = tx.UnfinishedUploads(t.Context(), s.own.who.Person)
		return err
	})
	return n, err
}

func mustID(t *testing.T, s string) uuid.UUID {
	t.Helper()
	id, err := uuid.Parse(s)
	must(t, err)
	return id
}
