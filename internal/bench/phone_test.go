package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"

	"witnessmark/internal/api"
)

// What is sent is a request as the standard library reads it, and as much as every other: only the fresh ids differ.
func TestRequest(t *testing.T) {
	w := world{}
	var err error
	if w.entries, err = modelAnswer(); err != nil || len(w.entries) != 12 {
		t.Fatalf("%d entries, %v; want 12", len(w.entries), err)
	}
	p := &phone{}
	if p.request, p.fresh, err = requestOf(w, "127.0.0.1"); err != nil {
		t.Fatal(err)
	}
	for _, n := range []number{numberOf(0), numberOf(3), numberOf(99_999_999)} {
		r, err := http.ReadRequest(bufio.NewReader(bytes.NewReader(p.of(n))))
		if err != nil {
			t.Fatal(err)
		}
		if got, want := r.URL.Path, "/api/attempts/"+n.attempt()+"/hand-over"; got != want {
			t.Errorf("sent to %s, want %s", got, want)
		}
		if c, err := r.Cookie("wm"); err != nil || c.Value != token(n.trainee()) {
			t.Errorf("the cookie is %v, %v; want %s", c, err, token(n.trainee()))
		}
		body, err := io.ReadAll(r.Body)
		if err != nil {
			t.Fatal(err)
		}
		var h api.HandOver
		if err := json.Unmarshal(body, &h); err != nil || len(h.Entries) != 12 {
			t.Fatalf("%d entries, %v; want 12", len(h.Entries), err)
		}
		for k, e := range h.Entries {
			if got, want := e.ID.String(), n.entry(k); got != want {
				t.Errorf("entry %d of hand-over %d is %s, want %s", k, n, got, want)
			}
		}
	}
}

func TestReadAnswer(t *testing.T) {
	tests := []struct {
		name, input, status, body, rest string
		wrong                           bool
	}{
		{name: "without a body", input: "HTTP/1.1 204 No Content\r\nDate: now\r\n\r\nHTTP", status: "204", rest: "HTTP"},
		{name: "with a body", input: "HTTP/1.1 409 Conflict\r\ncontent-length: 3\r\n\r\nno!HTTP", status: "409", body: "no!", rest: "HTTP"},
		{name: "cut short", input: "HTTP/1.1 204 No Content\r\nDate: n", wrong: true},
		{name: "body cut short", input: "HTTP/1.1 409 Conflict\r\nContent-Length: 3\r\n\r\nno", wrong: true},
		{name: "a length that is none", input: "HTTP/1.1 409 Conflict\r\nContent-Length: -3\r\n\r\n", wrong: true},
		{name: "something else", input: "SSH-2.0\r\n", wrong: true},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			in := bufio.NewReader(strings.NewReader(c.input))
			status, body, err := readAnswer(in)
			if c.wrong {
				if err == nil {
					t.Errorf("got %s %q, want trouble", status, body)
				}
				return
			}
			rest, restErr := io.ReadAll(in)
			if err != nil || restErr != nil {
				t.Fatal(err, restErr)
			}
			if status != c.status || string(body) != c.body || string(rest) != c.rest {
				t.Errorf("got %s %q and %q is left; want %s %q and %q", status, body, rest, c.status, c.body, c.rest)
			}
		})
	}
}
