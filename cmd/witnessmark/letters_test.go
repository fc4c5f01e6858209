package main

import (
	"strings"
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/post/posttest"
)

// Letters that could not be sent, or whose links would lead nowhere, are refused before anything starts.
func TestLettersRefused(t *testing.T) {
	for name, c := range map[string]struct {
		l    letters
		base string
		want string
	}{
		"no port":   {letters{Server: "mail.example", From: "a@example.org"}, "https://centre.example", "HOST:PORT"},
		"no sender": {letters{Server: "mail.example:587"}, "https://centre.example", "WITNESSMARK_MAIL_FROM"},
		"no base":   {letters{Server: "mail.example:587", From: "a@example.org"}, "", "WITNESSMARK_URL"},
	} {
		if _, err := c.l.writing(app.New(nil, nil, nil), c.base); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", name, err, c.want)
		}
	}
	a := app.New(nil, nil, nil)
	if got, err := (letters{}).writing(a, ""); err != nil || got.SendsLetters() {
		t.Errorf("without a server: %v, sends %v", err, got.SendsLetters())
	}
	if got, err := (letters{Server: "mail.example:587", From: "a@example.org"}).writing(a, "https://centre.example"); err != nil || !got.SendsLetters() {
		t.Errorf("with one: %v", err)
	}
}

// Doctor greets the mail server, and says what is wrong with it.
func TestDoctorTriesTheMailServer(t *testing.T) {
	s := posttest.New(t)
	s.Plainly()
	l := letters{Server: s.Addr, From: "a@example.org"}
	if f := l.examine(t.Context(), "https://centre.example"); f.advice != "" {
		t.Errorf("all is set, and it advises %q", f.advice)
	}
	if f := l.examine(t.Context(), ""); !strings.Contains(f.advice, "WITNESSMARK_URL") {
		t.Errorf("without an address for links it advises %q", f.advice)
	}
	if f := (letters{Server: "127.0.0.1:1", From: "a@example.org"}).examine(t.Context(), "https://centre.example"); f.advice == "" {
		t.Error("a server that is not there is in order")
	}
	if f := (letters{}).examine(t.Context(), ""); f.advice != "" || !strings.Contains(f.found, "printed") {
		t.Errorf("none is set: %+v", f)
	}
}
