package ui

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"log/slog"
	"mime/multipart"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/heif"
	"witnessmark/internal/heif/heiftest"
	"witnessmark/internal/jobs"
)

// heicForm is the form that sends a HEIC.
func heicForm(t *testing.T, id uuid.UUID) (string, *bytes.Buffer) {
	t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for _, f := range [][2]string{{"id", id.String()}, {"item", "before"}, {"caption", "The loft"}, {"at", "1777800000000"}} {
		must(t, w.WriteField(f[0], f[1]))
	}
	part, err := w.CreateFormFile("file", "loft.heic")
	must(t, err)
	_, err = part.Write(heiftest.Turned)
	must(t, err)
	must(t, w.Close())
	return w.FormDataContentType(), &body
}

// A HEIC comes in by a form, the queue draws it, and the page shows it upright and in its colours, small and whole.
func TestAHEICComesToBeSeen(t *testing.T) {
	d, err := heif.Find()
	if err != nil {
		t.Fatalf("%v: install %s", err, heif.Packages)
	}
	s := newSite(t, func(a *app.App) *app.App { return a.WithHEIC(d) })
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	runner, err := jobs.New(s.db, s.App, slog.New(slog.DiscardHandler))
	must(t, err)
	must(t, runner.Start(t.Context()))
	defer func() { must(t, runner.Stop(context.Background())) }()
	trainee, id := s.in(t, "trainee"), uuid.New()
	kind, body := heicForm(t, id)
	trainee.send(t, "POST", s.attempt+"/files", kind, body).sent(t, s.attempt+"#item-before")
	at := "/evidence/" + id.String()
	seen := `<a class="zoom" href="` + at + `" data-width="240" data-height="160"><img src="` + at + `/preview" alt="The loft"`
	for !strings.Contains(trainee.get(t, s.attempt).want(t, 200).body, seen) { // the test's own time is the limit
		time.Sleep(20 * time.Millisecond)
	}
	for _, path := range []string{at, at + "/preview"} {
		a := trainee.get(t, path).want(t, 200)
		img, err := jpeg.Decode(strings.NewReader(a.body))
		must(t, err)
		if size := img.Bounds().Size(); size != image.Pt(heiftest.Width, heiftest.Height) || a.header.Get("Content-Type") != "image/jpeg" {
			t.Errorf("%s is %s of %v pixels", path, a.header.Get("Content-Type"), size)
		}
		if p, got, differs := heiftest.Differs(img, 16); differs {
			t.Errorf("%s shows %v at %.2f, %.2f, want %v", path, got, p.X, p.Y, p.Colour)
		}
	}
	s.in(t, "tutor").get(t, s.attempt).want(t, 200, seen, `<a href="`+at+`/original">Show the original</a>`)
	if got := s.in(t, "tutor").get(t, at+"/original").want(t, 200).body; got != string(heiftest.Turned) {
		t.Errorf("the original has %d bytes, %d were sent, and they differ", len(got), len(heiftest.Turned))
	}
}
