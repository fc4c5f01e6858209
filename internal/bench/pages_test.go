package main

import (
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/store/storetest"
	"witnessmark/internal/ui"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// Every page is opened by somebody who may, on a small centre, and sends no more statements than it may; a page without a place among
// those that are opened fails.
func TestEveryPageTakesFewStatements(t *testing.T) {
	ctx := t.Context()
	urls := storetest.Migrated(t)
	s, err := serveOn(ctx, urls.App, urls.Super, filepath.Join(t.TempDir(), "files"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.close(t.Context()) }) // the database goes with it
	w, err := fillCentre(ctx, s, 100, 10)
	if err != nil {
		t.Fatal(err)
	}
	manager := w.caller(asManager)
	invited, err := w.app.InviteAgain(ctx, manager, md5ID("trainee7"))
	if err != nil {
		t.Fatal(err)
	}
	_, visit, err := w.app.ArrangeVisit(ctx, manager, app.NewVisit{Verifier: md5ID("verifier"), Unit: "H2", Words: "The summer visit.", EndsOn: time.Now().AddDate(0, 0, 2)})
	if err != nil {
		t.Fatal(err)
	}
	opened := map[string]bool{}
	for _, p := range slices.Concat(centrePages(), lightPages(), []centrePage{
		{"an invitation", "/invitation/" + invited.Token, asNobody},
		{"a link to a visit", "/visit/open/" + visit.Token, asNobody},
	}) {
		t.Run(p.name, func(t *testing.T) {
			path := expand(p.path)
			r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil)
			c := s.echo.NewContext(r, nil)
			s.echo.Router().Find(http.MethodGet, r.URL.Path, c)
			opened[c.Path()] = true
			n, a := w.open(t, p.who, path)
			if a.Code != http.StatusOK && a.Code != http.StatusSeeOther {
				t.Fatalf("%s answered %d: %.2000s", path, a.Code, a.Body)
			}
			if n > centreQueries {
				t.Errorf("%s sends %d statements, want %d at most", path, n, centreQueries)
			}
		})
	}
	for _, path := range ui.Pages() {
		if !opened[path] {
			t.Errorf("nobody opens %s: give it a place in centrePages or lightPages", path)
		}
	}
}

// open loads a page twice, and says how many statements the second time took.
func (w *largeCentre) open(t *testing.T, who viewer, path string) (int, *httptest.ResponseRecorder) {
	t.Helper()
	var a *httptest.ResponseRecorder
	for range 2 { // the first prepares them
		w.recorder.start()
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil)
		if who != asNobody {
			r.AddCookie(&http.Cookie{Name: "wm", Value: token(who)})
		}
		a = httptest.NewRecorder()
		w.echo.ServeHTTP(a, r)
	}
	calls, err := w.recorder.stop()
	if err != nil {
		t.Fatal(err)
	}
	return counted(calls), a
}
