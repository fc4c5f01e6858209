package ui

import (
	"bufio"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// A page that watches a board hears of it at once, of every change after, and the end of the server.
func TestTheBoardsEvents(t *testing.T) {
	s := newSite(t)
	path := "/cohorts/" + s.cohort.String() + "/events"
	s.in(t, "trainee").get(t, path).want(t, 403)
	(&visitor{site: s}).get(t, path).sent(t, "/sign-in?next=%2Fcohorts%2F"+s.cohort.String()+"%2Fevents")
	s.in(t, "tutor").get(t, "/cohorts/"+id(1).String()+"/events").want(t, 404)

	server := httptest.NewServer(s.handler)
	defer server.Close()
	r, err := http.NewRequestWithContext(t.Context(), "GET", server.URL+path, nil)
	must(t, err)
	r.AddCookie(s.in(t, "tutor").cookie)
	answer, err := server.Client().Do(r)
	must(t, err)
	defer answer.Body.Close()
	for name, want := range map[string]string{"Content-Type": "text/event-stream", "X-Accel-Buffering": "no", "Cache-Control": "no-store", "Content-Encoding": ""} {
		if got := answer.Header.Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	lines := make(chan string)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(answer.Body); in.Scan(); {
			if in.Text() != "" && !strings.HasPrefix(in.Text(), ":") {
				lines <- in.Text()
			}
		}
	}()
	hear := func(want string) {
		t.Helper()
		select {
		case got, ok := <-lines:
			if got != want || ok != (want != "") {
				t.Fatalf("heard %q, want %q", got, want)
			}
		case <-time.After(time.Minute): // only so that a failure ends
			t.Fatalf("heard nothing, want %q", want)
		}
	}
	hear("retry: 2000")
	hear("data: changed") // what changed since the page was drawn is not known
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	hear("data: changed")
	must(t, s.handler.Shutdown(t.Context()))
	for line := range lines {
		if line != "data: changed" {
			t.Errorf("heard %q at the end", line)
		}
	}
}
