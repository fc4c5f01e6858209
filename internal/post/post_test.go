package post_test

import (
	"context"
	"net"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/post"
	"witnessmark/internal/post/posttest"
)

func office(t *testing.T, s *posttest.Server, change func(*post.Settings)) *post.Office {
	t.Helper()
	set := post.Settings{Server: s.Addr, From: "Northgate Centre <office@northgate.example>", Roots: s.Roots}
	if change != nil {
		change(&set)
	}
	o, err := post.New(set)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestALetterArrivesAsItWasWritten(t *testing.T) {
	s := posttest.New(t)
	o := office(t, s, func(set *post.Settings) { set.User, set.Password = "office", "a secret" })
	l := post.Letter{To: "Zoë Ångström <zoe@example.org>", Subject: "Choose your password – Bay 7", Text: "Hello Zoë,\n.\nhttps://centre.example/invitation/" + strings.Repeat("x", 80) + "\n"}
	if err := o.Send(t.Context(), l); err != nil {
		t.Fatal(err)
	}
	got := s.Letters()
	if len(got) != 1 {
		t.Fatalf("%d letters arrived, want 1", len(got))
	}
	a := got[0]
	if !a.Encrypted || a.From != "office@northgate.example" || a.To != "zoe@example.org" || a.Text != l.Text {
		t.Errorf("arrived %+v", a)
	}
	if to, err := a.Header.AddressList("To"); err != nil || len(to) != 1 || to[0].Name != "Zoë Ångström" {
		t.Errorf("it is to %v, %v", to, err)
	}
	if a.Header.Get("Auto-Submitted") != "auto-generated" || a.Header.Get("Message-Id") == "" {
		t.Errorf("its header is %v", a.Header)
	}
	if when, err := a.Header.Date(); err != nil || time.Since(when) > time.Minute {
		t.Errorf("it is dated %v, %v", when, err)
	}
	if u := s.Users(); !slices.Equal(u, []string{"office:a secret"}) {
		t.Errorf("signed in as %q", u)
	}
}

// What is refused says so, and a line break in a name or subject adds no header.
func TestRefusals(t *testing.T) {
	s := posttest.New(t)
	o := office(t, s, nil)
	for name, l := range map[string]post.Letter{
		"no address":      {To: "nobody", Subject: "x"},
		"a second header": {To: "a@example.org", Subject: "x\r\nBcc: b@example.org"},
		"a second person": {To: "a@example.org\r\nBcc: b@example.org", Subject: "x"},
	} {
		if err := o.Send(t.Context(), l); err == nil {
			t.Errorf("%s: it was sent", name)
		}
	}
	s.Refuse("550 no such mailbox")
	if err := o.Send(t.Context(), post.Letter{To: "a@example.org", Subject: "x"}); err == nil || !strings.Contains(err.Error(), "no such mailbox") {
		t.Errorf("refused by the server: %v", err)
	}
	if got := s.Letters(); len(got) != 0 {
		t.Errorf("letters arrived: %+v", got)
	}
	for name, set := range map[string]post.Settings{
		"no port": {Server: "mail.example", From: "a@example.org"}, "no sender": {Server: "mail.example:587"}, "a user without password": {Server: "mail.example:587", From: "a@example.org", User: "a"},
	} {
		if _, err := post.New(set); err == nil {
			t.Errorf("%s: it is taken", name)
		}
	}
}

// A server whose certificate nobody vouches for gets no letter; one on this machine may offer no encryption.
func TestEncryption(t *testing.T) {
	s := posttest.New(t)
	l := post.Letter{To: "a@example.org", Subject: "x"}
	if err := office(t, s, func(set *post.Settings) { set.Roots = nil }).Send(t.Context(), l); err == nil {
		t.Error("a server that anybody could be got a letter")
	}
	s.Plainly()
	if err := office(t, s, nil).Send(t.Context(), l); err != nil {
		t.Errorf("on this machine: %v", err)
	}
}

// A server that says nothing is given up when the caller is.
func TestAServerThatHangs(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	o, err := post.New(post.Settings{Server: l.Addr().String(), From: "a@example.org"})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, stop)
	if err := o.Try(ctx); err == nil {
		t.Error("it greeted a server that says nothing")
	}
}
