package app_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/post"
	"witnessmark/internal/post/posttest"
	"witnessmark/internal/store"
)

// withPost has the centre write to people.
func (c *centre) withPost(t *testing.T) *posttest.Server {
	t.Helper()
	s := posttest.New(t)
	o, err := post.New(post.Settings{Server: s.Addr, From: "office@northgate.example", Roots: s.Roots})
	must(t, err)
	base, err := url.Parse("https://centre.example")
	must(t, err)
	c.App = c.WithPost(o, base)
	return s
}

// letters lists the letters that were asked for, as the queue has them.
func (c *centre) letters(t *testing.T) []string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), c.super)
	must(t, err)
	defer conn.Close(t.Context())
	rows, err := conn.Query(t.Context(), `SELECT concat_ws(' ', args ->> 'what', args ->> 'person') FROM river.river_job WHERE kind = 'letter' ORDER BY id`)
	must(t, err)
	out, err := pgx.CollectRows(rows, pgx.RowTo[string])
	must(t, err)
	return out
}

var inLetter = regexp.MustCompile(`https://centre\.example/invitation/(\S+)`)

// Somebody who cannot sign in is sent a link that lets them choose a password. Who is nobody gets the same answer, and no letter.
func TestAskForLink(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	if err := c.AskForLink(ctx, "maya"); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("without a mail server: %v", err)
	}
	s := c.withPost(t)
	id, inv, err := c.AddPerson(ctx, c.manager, app.NewPerson{Name: "Zoë Ångström", SignInName: "zoe.a", Email: "zoe@example.org", Roles: []account.Role{account.Trainee}})
	must(t, err)
	if inv.Sent != "zoe@example.org" || len(s.Letters()) != 0 {
		t.Errorf("the invitation goes to %q; %d letters went before any job ran", inv.Sent, len(s.Letters()))
	}
	for _, name := range []string{" ZOE.A ", "zoe.a", "nobody-here", "nobody-here"} {
		must(t, c.AskForLink(ctx, name))
	}
	if err := c.AskForLink(ctx, " "); fault.KindOf(err) != fault.KindInvalid {
		t.Errorf("without a name: %v", err)
	}
	asked := c.letters(t)
	if len(asked) != 3 || asked[0] != "invitation "+id.String() || asked[1] != "forgotten "+id.String() || strings.Contains(asked[2], id.String()) {
		t.Fatalf("asked for %q; want the invitation, one letter to her and one to nobody", asked)
	}
	if err := c.SendLetter(ctx, store.LetterArgs{Centre: c.id, Person: newID(t), What: store.LetterForgotten}); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("a letter to nobody: %v", err)
	}
	for _, what := range []store.Letter{store.LetterInvitation, store.LetterForgotten} {
		must(t, c.SendLetter(ctx, store.LetterArgs{Centre: c.id, Person: id, What: what}))
	}
	arrived := s.Letters()
	if len(arrived) != 2 || arrived[0].To != "zoe@example.org" || !arrived[0].Encrypted || !strings.Contains(arrived[1].Text, "zoe.a") {
		t.Fatalf("arrived %+v", arrived)
	}
	links := [2]string{}
	for i, a := range arrived {
		m := inLetter.FindStringSubmatch(a.Text)
		if m == nil {
			t.Fatalf("no link in %q", a.Text)
		}
		links[i] = m[1]
	}
	who, err := c.AcceptInvitation(ctx, links[1], "three words more")
	must(t, err)
	if who.Person != id {
		t.Errorf("the link is of %s", who.Name)
	}
	for name, token := range map[string]string{"the link that was shown": inv.Token, "the other letter's": links[0], "the same again": links[1]} {
		if _, err := c.AcceptInvitation(ctx, token, "three words else"); fault.KindOf(err) != fault.KindConflict {
			t.Errorf("%s is good still: %v", name, err)
		}
	}
}

// Nobody is written to who may not sign in, has no address, or comes by a visit's link alone; and a server that is away leaves the job to
// be tried again.
func TestWhoIsNotWrittenTo(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	s := c.withPost(t)
	add := func(name, email string, role account.Role) store.LetterArgs {
		id, _, err := c.AddPerson(ctx, c.manager, app.NewPerson{Name: name, SignInName: name, Email: email, Roles: []account.Role{role}})
		must(t, err)
		return store.LetterArgs{Centre: c.id, Person: id, What: store.LetterForgotten}
	}
	none, verifier, stopped, good := add("none", "", account.Trainee), add("verifier", "v@example.org", account.ExternalVerifier), add("stopped", "s@example.org", account.Tutor), add("good", "g@example.org", account.Tutor)
	must(t, c.SetSignInAllowed(ctx, c.manager, stopped.Person, false))
	for _, l := range []store.LetterArgs{none, verifier, stopped} {
		must(t, c.SendLetter(ctx, l))
	}
	if _, err := c.InviteAgain(ctx, c.manager, verifier.Person); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("a verifier is invited to choose a password: %v", err)
	}
	s.Refuse("451 come back later")
	if err := c.SendLetter(ctx, good); err == nil {
		t.Error("a letter that was refused counts as sent")
	}
	if n := len(s.Letters()); n != 0 {
		t.Errorf("%d letters arrived", n)
	}
	s.Refuse("")
	must(t, c.SendLetter(ctx, good))
	if n := len(s.Letters()); n != 1 {
		t.Errorf("%d letters arrived, want 1", n)
	}
}
