package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// A correction as it is stored, for the ways in.
type (
	Remark      = store.Remark
	RemarkState = store.RemarkState

	RemarkCount     = store.RemarkCount
	RemarkLineCount = store.RemarkLineCount
)

// The states of a correction.
const (
	RemarkMarking = store.RemarkMarking
	RemarkStopped = store.RemarkStopped
	RemarkMarked  = store.RemarkMarked
	RemarkTaking  = store.RemarkTaking
	RemarkTaken   = store.RemarkTaken
	RemarkDropped = store.RemarkDropped
)

// AskRemark is what a correction starts from.
type AskRemark struct {
	Brief    uuid.UUID
	From, To int    // versions; both published, To the later one
	Words    string // why
}

// AskRemark has every attempt that was marked under one version of a brief marked again under a later one. Nothing of it counts
// before TakeRemark: first comes a report.
func (a *App) AskRemark(ctx context.Context, c account.Caller, ask AskRemark) (uuid.UUID, error) {
	if err := account.May(c, account.RemarkBrief); err != nil {
		return uuid.Nil, err
	}
	was, err := a.db.BriefVersion(ctx, c.Centre, ask.Brief, ask.From)
	if err != nil {
		return uuid.Nil, err
	}
	now, err := a.db.BriefVersion(ctx, c.Centre, ask.Brief, ask.To)
	if err != nil {
		return uuid.Nil, err
	}
	words := strings.TrimSpace(ask.Words)
	switch {
	case was.State != store.Published || now.State != store.Published:
		return uuid.Nil, fault.Conflict("Only a published version can correct another. Have it checked and published first.")
	case ask.To <= ask.From:
		return uuid.Nil, fault.Invalid("from", "Choose a version that is older than this one.")
	case words == "":
		return uuid.Nil, fault.Invalid("words", "Say what was wrong, so that whoever reads this later can follow you.")
	}
	unlike, err := a.unlike(was, now)
	if err != nil {
		return uuid.Nil, err
	}
	if len(unlike) > 0 {
		return uuid.Nil, fault.Conflict("Version %d asks for other things than version %d, so work done for that one cannot be held against it. %s Set it as a new task.",
			ask.To, ask.From, strings.Join(unlike, " "))
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return t.AddRemark(ctx, store.Remark{ID: id, Brief: ask.Brief, From: ask.From, To: ask.To, Words: words, By: c.Person, At: a.now()})
	})
}

// unlike says in sentences in what two versions of a brief ask for different things.
func (a *App) unlike(was, now store.BriefVersion) ([]string, error) {
	var briefs [2]*brief.Brief
	for i, v := range []store.BriefVersion{was, now} {
		b, err := a.briefs.brief(v.Digest, func() (string, error) { return v.Source, nil })
		if err != nil {
			return nil, err
		}
		briefs[i] = b
	}
	return brief.Unlike(briefs[0], briefs[1]), nil
}

// Remarks lists the corrections of a brief, the newest first.
func (a *App) Remarks(ctx context.Context, c account.Caller, id uuid.UUID) ([]store.Remark, error) {
	if err := account.May(c, account.RemarkBrief); err != nil {
		return nil, err
	}
	return a.db.Remarks(ctx, c.Centre, id)
}

// BriefVersions lists the versions of one brief without their text, the newest first.
func (a *App) BriefVersions(ctx context.Context, c account.Caller, id uuid.UUID) ([]store.BriefVersion, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	versions, err := a.db.BriefVersions(ctx, c.Centre, id)
	if err == nil && len(versions) == 0 {
		err = hidden("brief")
	}
	return versions, err
}

// StopRemark has the marking pause after what is under way; what is marked by then stays.
func (a *App) StopRemark(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.moveRemark(ctx, c, id, store.RemarkStopped, store.RemarkMarking)
}

// GoOnRemark has a stopped correction go on where it stopped.
func (a *App) GoOnRemark(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.moveRemark(ctx, c, id, store.RemarkMarking, store.RemarkStopped)
}

// TakeRemark lets a correction take effect: a record on each attempt that is neither signed off nor closed, and the new result
// beside the old ones. Decisions that were made stay. It is for whoever may see every attempt that it concerns: a tutor of all their
// cohorts, or somebody who sees everybody's.
func (a *App) TakeRemark(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.moveRemark(ctx, c, id, store.RemarkTaking, store.RemarkMarked)
}

// DropRemark gives a correction up before it takes effect. What was marked is kept and never counts.
func (a *App) DropRemark(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.moveRemark(ctx, c, id, store.RemarkDropped, store.RemarkMarked, store.RemarkStopped)
}

// moveRemark moves a correction from one of the states to another.
func (a *App) moveRemark(ctx context.Context, c account.Caller, id uuid.UUID, to store.RemarkState, from ...store.RemarkState) error {
	if err := account.May(c, account.RemarkBrief); err != nil {
		return err
	}
	w, err := a.db.Remark(ctx, c.Centre, id)
	if err != nil {
		return err
	}
	action := account.RemarkBrief
	if to == store.RemarkTaking {
		action = account.TakeRemark
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if action == account.TakeRemark {
			if err := mayTake(ctx, t, c, id); err != nil {
				return err
			}
		}
		if !slices.Contains(from, w.State) {
			return fault.Conflict("This correction has moved on since you opened the page. Load it again to see where it stands.")
		}
		if err := t.MoveRemark(ctx, id, w.State, to); err != nil {
			return err
		}
		switch to {
		case store.RemarkMarking:
			return t.EnqueueRemark(ctx, id)
		case store.RemarkTaking:
			if err := t.EnqueueRemark(ctx, id); err != nil {
				return err
			}
		case store.RemarkDropped:
		default:
			return nil
		}
		return t.SettleRemark(ctx, id, c.Person, string(account.As(c, action, account.Teaches)), a.now())
	})
}

// mayTake refuses whoever cannot read all that a correction would change: its report shows them a part.
func mayTake(ctx context.Context, t *store.Tx, c account.Caller, id uuid.UUID) error {
	if account.As(c, account.TakeRemark) != "" {
		return nil
	}
	beyond, err := t.BeyondRemark(ctx, id, seesWithin(c))
	if err != nil {
		return err
	}
	if beyond > 0 {
		return fault.Forbidden("It would take effect on work that the report does not show you, since you do not teach its cohort or since it is your own. An internal quality assurer or a centre manager sees all of it: ask one of them to let it take effect.")
	}
	return account.May(c, account.TakeRemark, account.Teaches)
}
