package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// InquiryFile is an inquiry as one whom it names sees it.
type InquiryFile struct {
	store.InquiryFile
	MayAct bool               // the caller may name people, freeze attempts and close it, now
	People []store.BlindJudge // who may be named further; none where the caller may not
}

// Inquiries lists the inquiries that name the caller, a page of them. Page counts from 1; one after the last is empty.
func (a *App) Inquiries(ctx context.Context, c account.Caller, page int) ([]store.Inquiry, error) {
	if err := account.May(c, account.SeeFiles); err != nil {
		return nil, err
	}
	list, _, err := a.db.Inquiries(ctx, c.Centre, c.Person, spanOf(page))
	return list, err
}

// OpenInquiry opens a file on a person of the centre, other than the caller. Nobody else sees it until they are named.
func (a *App) OpenInquiry(ctx context.Context, c account.Caller, concerns uuid.UUID, words string) (uuid.UUID, error) {
	if err := account.May(c, account.Inquire); err != nil {
		return uuid.Nil, err
	}
	words, err := fileWords(words, "Say what is suspected, and what it rests on.")
	if err != nil {
		return uuid.Nil, err
	}
	if concerns == c.Person {
		return uuid.Nil, fault.Forbidden("This concerns you, so somebody else sees to it.")
	}
	if _, err := a.db.Person(ctx, c.Centre, concerns); err != nil {
		return uuid.Nil, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return t.AddInquiry(ctx, store.Inquiry{ID: id, Concerns: concerns, Words: words, By: c.Person, At: a.now()})
	})
}

// fileWords are words for a file; empty tells what to do where there are none.
func fileWords(words, empty string) (string, error) {
	words = strings.TrimSpace(words)
	switch {
	case words == "":
		return "", fault.Invalid("words", "%s", empty)
	case len([]rune(words)) > textMost:
		return "", fault.Invalid("words", "This is longer than %d characters. Say it more shortly.", textMost)
	}
	return words, nil
}

// Inquiry reads the file of one that names the caller.
func (a *App) Inquiry(ctx context.Context, c account.Caller, id uuid.UUID) (InquiryFile, error) {
	if err := account.May(c, account.SeeFiles); err != nil {
		return InquiryFile{}, err
	}
	f, err := a.db.InquiryFile(ctx, c.Centre, id, c.Person)
	if err != nil {
		return InquiryFile{}, err
	}
	out := InquiryFile{InquiryFile: f, MayAct: f.ClosedAt.IsZero() && account.May(c, account.Inquire) == nil}
	if out.MayAct {
		out.People, err = a.db.Assessors(ctx, c.Centre)
	}
	return out, err
}

// inInquiry does something in a running file that names the caller. act is account.Inquire, or account.SeeFiles for a note.
func (a *App) inInquiry(ctx context.Context, c account.Caller, id uuid.UUID, act account.Action, fn func(*store.Tx, store.Inquiry) error) error {
	if _, err := a.Inquiry(ctx, c, id); err != nil {
		return err
	}
	if err := account.May(c, act); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		i, err := runningInquiry(ctx, t, c, id)
		if err != nil {
			return err
		}
		return fn(t, i)
	})
}

// runningInquiry holds a file that names the caller until the transaction ends; one that is closed is Conflict.
func runningInquiry(ctx context.Context, t *store.Tx, c account.Caller, id uuid.UUID) (store.Inquiry, error) {
	i, err := t.LockInquiry(ctx, id, c.Person)
	if err == nil && !i.ClosedAt.IsZero() {
		err = fault.Conflict("%s closed this inquiry. Open another where there is more to look into.", i.ClosedBy)
	}
	return i, err
}

// NoteInquiry puts something into the file.
func (a *App) NoteInquiry(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	note, err := newID()
	if err != nil {
		return err
	}
	return a.inInquiry(ctx, c, id, account.SeeFiles, func(t *store.Tx, _ store.Inquiry) error {
		words, err := fileWords(words, "Say what you found, or what was said to you.")
		if err != nil {
			return err
		}
		return t.NoteInquiry(ctx, note, id, c.Person, a.now(), words)
	})
}

// NameInInquiry has one more person see the file: never whom it concerns.
func (a *App) NameInInquiry(ctx context.Context, c account.Caller, id, person uuid.UUID) error {
	p, err := a.db.Person(ctx, c.Centre, person)
	if err != nil && fault.KindOf(err) != fault.KindNotFound {
		return err
	}
	return a.inInquiry(ctx, c, id, account.Inquire, func(t *store.Tx, i store.Inquiry) error {
		switch {
		case p.ID == uuid.Nil || account.May(account.Caller{Roles: p.Roles}, account.SeeFiles) != nil:
			return fault.Invalid("person", "Choose a tutor, a quality assurer or a manager of the centre.")
		case person == i.Concerns:
			return fault.Forbidden("Whom an inquiry concerns does not see its file. Choose somebody else.")
		}
		return t.NameInInquiry(ctx, id, person, c.Person, a.now())
	})
}

// suspendedWords are what the record of a suspension says, which the trainee and the cohort's tutors read: nothing of the inquiry.
const suspendedWords = "This attempt is held for the time being. Ask the centre what that means for you."

// Suspend freezes an attempt of whom an inquiry concerns, claimed and archived ones among them: every write to it is refused, and what a
// phone still sends is held back. The inquiry is held while it does, so that nobody closes it with something newly frozen.
func (a *App) Suspend(ctx context.Context, c account.Caller, id, attempt uuid.UUID) error {
	i, err := a.Inquiry(ctx, c, id)
	if err != nil {
		return err
	}
	if err := account.May(c, account.Inquire); err != nil {
		return err
	}
	return a.judge(ctx, c, attempt, judged{account.Inquire, -1, func(l *loaded) (decision.Record, error) {
		if l.Attempt.Trainee != i.Concerns {
			return decision.Record{}, fault.NotFound("This is no attempt of the person whom the inquiry concerns.")
		}
		before := l.Attempt.State
		var err error
		l.Attempt.State, err = decision.Next(before, decision.EventSuspend)
		return decision.Record{Kind: decision.KindSuspend, Outcome: "suspended", Value: string(before), Words: suspendedWords}, err
	}}, func(ctx context.Context, t *store.Tx, _ *loaded) error {
		if _, err := runningInquiry(ctx, t, c, id); err != nil {
			return err
		}
		return t.FreezeFor(ctx, id, attempt)
	})
}

// LiftSuspension has an attempt that the inquiry froze go on from where it was.
func (a *App) LiftSuspension(ctx context.Context, c account.Caller, id, attempt uuid.UUID, words string) error {
	if err := a.inInquiry(ctx, c, id, account.Inquire, func(t *store.Tx, _ store.Inquiry) error { return frozenHere(ctx, t, id, attempt) }); err != nil {
		return err
	}
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, attempt, judged{account.Inquire, -1, func(l *loaded) (decision.Record, error) {
		var err error
		l.Attempt.State, err = decision.BeforeSuspension(l.Attempt.State, l.Records)
		return decision.Record{Kind: decision.KindResume, Outcome: string(l.Attempt.State), Words: words}, err
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		if err := a.leftMeanwhile(ctx, t, c, l); err != nil {
			return err
		}
		if l.Attempt.State == decision.HandedOver { // the marker passed it over meanwhile
			return t.EnqueueMark(ctx, attempt)
		}
		return a.remark(ctx, t, l)
	})
}

// frozenHere is NotFound where the inquiry has not frozen the attempt, or no longer has.
func frozenHere(ctx context.Context, t *store.Tx, id, attempt uuid.UUID) error {
	n, err := t.FrozenBy(ctx, id, attempt)
	if err == nil && n == 0 {
		err = fault.NotFound("This inquiry has not frozen that attempt. Load the page again to see what it has.")
	}
	return err
}

// CloseInquiry keeps what came of an inquiry, once nothing is frozen by it any more: each attempt goes on, or is set aside.
func (a *App) CloseInquiry(ctx context.Context, c account.Caller, id uuid.UUID, outcome store.InquiryOutcome, found string) error {
	return a.inInquiry(ctx, c, id, account.Inquire, func(t *store.Tx, _ store.Inquiry) error {
		if outcome != store.NothingFound && outcome != store.MinorFound && outcome != store.FoundUpheld {
			return fault.Invalid("outcome", "Say what came of it.")
		}
		found, err := fileWords(found, "Say what was found, and what follows from it.")
		if err != nil {
			return err
		}
		switch n, err := t.FrozenBy(ctx, id, uuid.Nil); {
		case err != nil:
			return err
		case n > 0:
			return fault.Conflict("%d of the attempts are still frozen. Let each go on, or set it aside, first.", n)
		}
		return t.CloseInquiry(ctx, id, c.Person, a.now(), outcome, found)
	})
}

// OpenInquiryOn is OpenInquiry on the person of the centre who signs in with a name.
func (a *App) OpenInquiryOn(ctx context.Context, c account.Caller, signInName, words string) (uuid.UUID, error) {
	if err := account.May(c, account.Inquire); err != nil {
		return uuid.Nil, err
	}
	p, err := a.db.PersonBySignInName(ctx, strings.ToLower(strings.TrimSpace(signInName)))
	if fault.KindOf(err) == fault.KindNotFound || err == nil && p.Centre != c.Centre {
		return uuid.Nil, fault.Invalid("who", "Nobody of the centre signs in with this name.")
	} else if err != nil {
		return uuid.Nil, err
	}
	return a.OpenInquiry(ctx, c, p.ID, words)
}
