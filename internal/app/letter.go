package app

import (
	"context"
	"fmt"
	"net/mail"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/post"
	"witnessmark/internal/store"
)

// forgottenLife is how long a link can be used that somebody asked for who cannot sign in (our own value).
const forgottenLife = time.Hour

// letters is how the program writes to people.
type letters struct {
	office *post.Office
	base   *url.URL // under which people reach the program
}

// WithPost is the same application where invitations, and links that people ask for who cannot sign in, go by e-mail. Base is the
// address under which people reach it; what a request says of that is not believed.
func (a *App) WithPost(o *post.Office, base *url.URL) *App {
	other := *a
	other.letters = &letters{o, base}
	return &other
}

// SendsLetters says whether the program can write to people.
func (a *App) SendsLetters() bool { return a.letters != nil }

// AskForLink has a link sent to whoever signs in with the name, so that they can choose a password. Its answer is the same, and takes as
// long, whether anybody does, so that nobody learns who is here. The letter itself is a job's work.
func (a *App) AskForLink(ctx context.Context, name string) error {
	if !a.SendsLetters() {
		return fault.Conflict("This installation sends no e-mail. Ask your centre for a link.")
	}
	name = strings.ToLower(strings.TrimSpace(name))
	if name == "" {
		return fault.Invalid("name", "Type your sign-in name.")
	}
	p, err := a.db.PersonBySignInName(ctx, name)
	switch {
	case fault.KindOf(err) == fault.KindNotFound:
		p.ID = uuid.NewSHA1(uuid.Nil, []byte(name)) // nobody's: the job finds no one, and is done
	case err != nil:
		return err
	}
	return a.db.AskForLetter(ctx, store.LetterArgs{Centre: p.Centre, Person: p.ID, What: store.LetterForgotten})
}

// sentTo is the address that an invitation goes to; "" where it is only handed over.
func (a *App) sentTo(email string) string {
	if !a.SendsLetters() {
		return ""
	}
	return email
}

// postInvitation asks, within the transaction, for a person's invitation to be sent, where the program can write to them.
func (a *App) postInvitation(ctx context.Context, t *store.Tx, person uuid.UUID, email string) error {
	if a.sentTo(email) == "" {
		return nil
	}
	return t.EnqueueLetter(ctx, person, store.LetterInvitation)
}

// SendLetter makes a link for a person and sends it to them: a job's work. The token is nowhere but in the letter, so a job that is run
// again sends another one, and the first to be used ends them all. Somebody without an address, who may not sign in, or who comes by
// a visit's link alone, gets none.
func (a *App) SendLetter(ctx context.Context, l store.LetterArgs) error {
	if !a.SendsLetters() {
		return nil // it was asked for under other settings
	}
	p, err := a.db.Person(ctx, l.Centre, l.Person)
	if err != nil {
		return err
	}
	if p.Email == "" || !p.DisabledAt.IsZero() || comesByLink(p.Roles) {
		return nil
	}
	centre, err := a.db.Centre(ctx, l.Centre)
	if err != nil {
		return err
	}
	life := invitationLife
	if l.What == store.LetterForgotten {
		life = forgottenLife
	}
	until := a.now().Add(life)
	var token string
	err = a.db.Write(ctx, l.Centre, func(t *store.Tx) error {
		_, token, err = newLink(ctx, t, purposePassword, p.ID, until)
		return err
	})
	if err != nil {
		return err
	}
	letter := letterTo(p, centre.Name, a.letters.base.JoinPath("invitation", token).String(), l.What, until)
	return a.letters.office.Send(ctx, letter)
}

// comesByLink says whether somebody has no other role than one that a visit's link opens.
func comesByLink(roles []account.Role) bool {
	return len(roles) > 0 && !slices.ContainsFunc(roles, func(r account.Role) bool { return r != account.ExternalVerifier })
}

// letterTo words a letter.
func letterTo(p store.Person, centre, address string, what store.Letter, until time.Time) post.Letter {
	l := post.Letter{To: (&mail.Address{Name: p.Name, Address: p.Email}).String()}
	end := until.In(London()).Format("15:04 on Monday 2 January 2006")
	if what == store.LetterForgotten {
		l.Subject = "Choose a new password"
		l.Text = fmt.Sprintf("%s,\n\nsomebody, most likely you, asked %s for a way to sign in. You sign in as\n\n    %s\n\nTo choose a new password, open this address. It works once, until %s.\n\n%s\n\nIf it was not you, leave this letter alone: your password stays as it is.\n",
			p.Name, centre, p.SignInName, end, address)
		return l
	}
	l.Subject = "Your place at " + centre
	l.Text = fmt.Sprintf("%s,\n\n%s has a place for you where practical tasks are set and signed off. You sign in as\n\n    %s\n\nTo choose your password, open this address. It works once, until %s.\n\n%s\n",
		p.Name, centre, p.SignInName, end, address)
	return l
}
