package ui

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
)

// A photo of a private site that came without word of what is to be covered says so on its sheet, until somebody has looked.
func TestAPhotoThatNobodyLookedOver(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttemptOn(t.Context(), s.people["trainee"], s.id, true, true, &app.PrivateSite{Code: "MILL-04", Householder: "The tutor"}))
	trainee := s.in(t, "trainee")
	file := s.photo(t, trainee)
	must(t, s.MakePreview(t.Context(), s.centre, uuid.MustParse(file)))
	asked := func(words ...string) (n int) {
		t.Helper()
		page := trainee.get(t, s.attempt).want(t, 200, words...).body
		if n = strings.Count(page, "not looked over"); strings.Count(page, ">Nothing to cover<") > n {
			t.Error("the sheet asks for what it does not say")
		}
		return n
	}
	before := asked("until then it stays in the centre", ">Nothing to cover<")
	trainee.post(t, "/evidence/"+file+"/cover", url.Values{"attempt": {s.id.String()}, "nothing": {"true"}}).sent(t, s.attempt)
	if after := asked("nothing in this photo has to be covered"); before == 0 || after != before-1 {
		t.Errorf("of %d photos the sheet asks for %d afterwards, want one fewer", before, after)
	}
}

// deadlined is an answer over a connection that can be told when to stop reading.
type deadlined struct {
	*httptest.ResponseRecorder
	until time.Time
}

func (w *deadlined) SetReadDeadline(at time.Time) error {
	w.until = at
	return nil
}

// The file that somebody has checked has to come within a time.
func TestACheckedFileHasToCome(t *testing.T) {
	s := newSite(t)
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/verify", strings.NewReader(""))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := &deadlined{ResponseRecorder: httptest.NewRecorder()}
	s.handler.ServeHTTP(w, r)
	if w.until.IsZero() || time.Until(w.until) > app.CheckTime {
		t.Errorf("it may come until %v", w.until)
	}
}
