package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// mostSaid is how many characters people say to one another about a draft at most.
const mostSaid = 2000

// Checking is how far a draft is from being published: whoever wrote it asks, and somebody else checks and publishes it.
type Checking struct {
	Said       []store.BriefCheck   // what was said of the version, of its present text or an earlier one, the newest first
	MayAsk     bool                 // the caller may ask for it to be checked, now
	MayCheck   bool                 // the caller may publish it, or send it back, now
	MayDiscard bool                 // the caller may throw it away, now
	Comments   []store.BriefComment // on its items, the first first
	MayComment bool                 // the caller may comment on an item, now
	MayAnswer  bool                 // the caller may answer comments, now
	WhyNot     string               // why the caller may not check it, in words; "" where they may
}

// Asked is the asking that stands: of the present text, and not answered by sending it back; nil where there is none.
func (t BriefText) Asked() *store.BriefCheck {
	i := slices.IndexFunc(t.Said, func(k store.BriefCheck) bool { return k.Digest == t.Digest })
	if t.State != store.Draft || i < 0 || t.Said[i].Kind != store.CheckAsked {
		return nil
	}
	return &t.Said[i]
}

// SentBack is what somebody wants put right before the draft is asked about again; nil where nobody has sent it back since.
func (t BriefText) SentBack() *store.BriefCheck {
	if t.State != store.Draft || len(t.Said) == 0 || t.Said[0].Kind != store.SentBack {
		return nil
	}
	return &t.Said[0]
}

// AskForCheck says that a draft with nothing left to mend is to be checked by somebody else; words may be empty. It lapses
// when the draft is saved again with another text.
func (a *App) AskForCheck(ctx context.Context, c account.Caller, id uuid.UUID, version int, digest, words string) error {
	return a.onDraft(ctx, c, id, version, digest, mayAskForCheck, func(tx *store.Tx, t BriefText) error {
		return a.sayOfBrief(ctx, tx, c, t, store.CheckAsked, words)
	})
}

// SendBriefBack says what whoever wrote a draft has to put right before it can be published.
func (a *App) SendBriefBack(ctx context.Context, c account.Caller, id uuid.UUID, version int, digest, words string) error {
	return a.onDraft(ctx, c, id, version, digest, mayPublish, func(tx *store.Tx, t BriefText) error {
		if strings.TrimSpace(words) == "" {
			return fault.Invalid("words", "Say what is to be put right, so that it can be.")
		}
		return a.sayOfBrief(ctx, tx, c, t, store.SentBack, words)
	})
}

// PublishBrief publishes a draft that has no problem left, by another person than those who wrote it, whom they asked. From
// then on it never changes.
func (a *App) PublishBrief(ctx context.Context, c account.Caller, id uuid.UUID, version int, digest string) error {
	return a.onDraft(ctx, c, id, version, digest, mayPublish, func(tx *store.Tx, t BriefText) error {
		if err := commentsAnswered(ctx, tx, id, version); err != nil {
			return err
		}
		return tx.PublishBrief(ctx, id, version, digest, c.Person, a.now())
	})
}

// DiscardBrief throws a draft away for good; where it is the brief's only version, the brief with it.
func (a *App) DiscardBrief(ctx context.Context, c account.Caller, id uuid.UUID, version int, digest string) error {
	return a.onDraft(ctx, c, id, version, digest, mayDiscard, func(tx *store.Tx, t BriefText) error {
		return tx.DiscardDraft(ctx, id, version)
	})
}

// onDraft does something with the draft that has the digest, where the caller may. A draft that was saved since is Conflict.
func (a *App) onDraft(ctx context.Context, c account.Caller, id uuid.UUID, version int, digest string,
	may func(account.Caller, BriefText) error, do func(*store.Tx, BriefText) error,
) error {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(tx *store.Tx) error {
		if t.BriefVersion, t.Said, err = tx.LockBriefVersion(ctx, id, version); err != nil {
			return err
		}
		if t.State == store.Draft && t.Digest != digest {
			return fault.Conflict("%s saved this draft after you opened it. Load it again and read what you then see.", t.WriterName)
		}
		if err := may(c, t); err != nil {
			return err
		}
		return do(tx, t)
	})
}

func (a *App) sayOfBrief(ctx context.Context, tx *store.Tx, c account.Caller, t BriefText, kind store.CheckKind, words string) error {
	words = strings.TrimSpace(words)
	if len([]rune(words)) > mostSaid {
		return fault.Invalid("words", "This is longer than %d characters. Say it more shortly.", mostSaid)
	}
	id, err := newID()
	if err != nil {
		return err
	}
	return tx.SayOfBrief(ctx, store.BriefCheck{
		ID: id, Brief: t.BriefVersion.Brief, Version: t.Version, Digest: t.Digest, Kind: kind, Words: words, By: c.Person, At: a.now(),
	})
}

func mayAskForCheck(c account.Caller, t BriefText) error {
	switch err := account.May(c, account.WriteBrief); {
	case err != nil:
		return err
	case t.State == store.Published:
		return alreadyPublished(t)
	case !t.Wrote(c.Person):
		return fault.Forbidden("Whoever wrote this draft asks for it to be checked: that is %s.", t.WriterName)
	case !t.Ready():
		return fault.Conflict("This draft cannot be published yet: mend what the list beside it names first.")
	case t.Asked() != nil:
		return fault.Conflict("It waits already for somebody else to check it.")
	}
	return nil
}

// mayPublish says whether the caller may check a draft: publish it, or send it back.
func mayPublish(c account.Caller, t BriefText) error {
	switch err := account.May(c, account.CheckBrief); {
	case err != nil:
		return err
	case t.Wrote(c.Person):
		return fault.Forbidden("You wrote in this draft, so somebody else has to check and publish it.")
	case t.State == store.Published:
		return alreadyPublished(t)
	case !t.Ready():
		return fault.Conflict("This draft cannot be published yet: mend what the list beside it names first.")
	case t.Asked() == nil:
		return fault.Conflict("This draft is still being written: %s has not asked for it to be checked.", t.WriterName)
	}
	return nil
}

// mayDiscard says whether the caller may throw a draft away: who wrote it, and nobody else.
func mayDiscard(c account.Caller, t BriefText) error {
	switch err := account.May(c, account.WriteBrief); {
	case err != nil:
		return err
	case t.State == store.Published:
		return alreadyPublished(t)
	case !t.Wrote(c.Person):
		return fault.Forbidden("Whoever wrote this draft may throw it away: that is %s.", t.WriterName)
	}
	return nil
}

func alreadyPublished(t BriefText) error {
	return fault.Conflict("Version %d is already published. Load the page again to see it.", t.Version)
}

// may gives what a rule says as yes or no and, where it is no, the reason that a person reads.
func may(err error) (bool, string) {
	if f, ok := fault.As(err); ok {
		return false, f.Message
	}
	return err == nil, ""
}
