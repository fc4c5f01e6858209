package app

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// NewSeal is a list of what is handed over, as it was sealed on a phone.
type NewSeal struct {
	ID uuid.UUID // made where it was sealed; the same again has no effect
	At time.Time // by the phone
	PhoneClock
	Items []decision.Listed
}

// HandedOver is how far a hand-over has come.
type HandedOver struct {
	State   decision.State
	Awaited int // things on the sealed list whose bytes have not come yet
}

// sealed is the list that goes with a hand-over: the phone's, or what is here where the phone made none.
func (a *App) sealed(l loaded, s *NewSeal) (decision.Seal, error) {
	now := a.now()
	if s == nil {
		return decision.Seal{
			ID: uuid.NewSHA1(l.Attempt.ID, []byte("sealed here")), Made: decision.Moment{At: now, Steady: true}, ReceivedAt: now, Items: here(l),
		}, nil
	}
	switch {
	case s.ID == uuid.Nil:
		return decision.Seal{}, fault.Invalid("seal", "The sealed list needs an id of its own.")
	case s.At.IsZero():
		return decision.Seal{}, fault.Invalid("seal", "The sealed list does not say when it was made.")
	}
	if err := decision.CheckList(s.Items); err != nil {
		return decision.Seal{}, err
	}
	seal := decision.Seal{ID: s.ID, Made: s.moment(s.At, now), ReceivedAt: now, Items: s.Items}
	for _, it := range here(l) { // under an id of the list there may lie something else already
		if err := seal.Fulfils(it.ID, it.Kind, it.Digest); err != nil {
			return decision.Seal{}, err
		}
	}
	return seal, nil
}

// here lists what of an attempt has been received.
func here(l loaded) []decision.Listed {
	var items []decision.Listed
	for _, e := range l.Entries {
		items = append(items, decision.Listed{ID: e.ID, Kind: decision.SealEntry, Digest: decision.EntryDigest(e.Entry)})
	}
	for _, e := range l.Evidence {
		items = append(items, decision.Listed{ID: e.ID, Kind: decision.SealFile, Digest: e.Digest})
	}
	return items
}

// admits says whether something may come in: into an open attempt, and after handing over whatever a phone still holds. What
// comes under an id of the sealed list has to be what the list names; what is not on the list comes in too, and is held.
// Into one that is stopped for safety, or whose trainee left, comes what was captured before, which is held where they left; into one that
// is suspended everything, and is held. digest is "" where it is not known yet.
func (l loaded) admits(id uuid.UUID, kind decision.SealKind, digest string, captured decision.Moment) error {
	if l.Attempt.State == decision.SafetyStopped {
		return l.beforeStop(captured)
	}
	if l.Attempt.State == decision.Suspended && l.Seal == nil {
		return nil // it is kept, and held back
	}
	if left := decision.Leaving(l.Attempt.State, l.Records); left != nil {
		return l.beforeLeaving(left, id, kind, digest, captured)
	}
	if l.Seal == nil || slices.Contains([]decision.State{decision.Withdrawn, decision.SetAside, decision.Destroyed}, l.Attempt.State) {
		return mustBeOpen(l.Attempt)
	}
	if digest == "" {
		return nil
	}
	return l.Seal.Fulfils(id, kind, digest)
}

// arrived does what follows when something came in under the attempt's lock: a release on the spot may have waited for it, the
// marker waits for the last thing of the sealed list, and looks again where a tutor had it go on without.
func (a *App) arrived(ctx context.Context, t *store.Tx, l loaded, ids ...uuid.UUID) error {
	if l.Attempt.State == decision.Suspended || l.Attempt.State == decision.Withdrawn {
		return nil
	}
	if err := a.spotsAfter(ctx, t, l.Attempt.ID); err != nil {
		return err
	}
	joined, left := false, false
	for _, it := range l.Awaited {
		if slices.Contains(ids, it.ID) {
			joined = true
		} else {
			left = true
		}
	}
	if !joined || l.Attempt.State == decision.HandedOver && left || !slices.Contains(beingJudged, l.Attempt.State) {
		return nil
	}
	return t.EnqueueMark(ctx, l.Attempt.ID)
}

// waitsForBytes says whether the marker waits for things on the sealed list: until the last came, or a tutor goes on without.
func waitsForBytes(j store.JobSheet) bool {
	return len(j.Awaited) > 0 && decision.Latest(j.Records, decision.KindGoOnWithout, "") == nil
}

// beingJudged are the states in which a tutor may still change what belongs to the set.
var beingJudged = []decision.State{decision.HandedOver, decision.Checked, decision.Decided}

// TakeIn takes something that is held back into the set, with the tutor's reason; the marker looks again.
func (a *App) TakeIn(ctx context.Context, c account.Caller, id, thing uuid.UUID, words string) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.TakeIn, -1, func(l *loaded) (decision.Record, error) {
		item, held := l.heldFor(thing)
		switch {
		case !held:
			return decision.Record{}, fault.NotFound("Nothing of that kind is held here. Load the page again to see what is.")
		case !slices.Contains(beingJudged, l.Attempt.State) && l.Attempt.State != decision.Open: // open: what came while it was suspended
			return decision.Record{}, fault.Conflict("This attempt is %s: nothing more is taken in.", l.Attempt.State.Words())
		case words == "":
			return decision.Record{}, fault.Invalid("words", "Say why it is taken in, so that whoever reads this later can follow you.")
		}
		return decision.Record{Kind: decision.KindTakeIn, Subject: thing.String(), Outcome: "taken in", Words: words, Evidence: []string{item}}, nil
	}}, a.remark)
}

// has says whether something with the id is here, held back or not.
func (l loaded) has(id uuid.UUID) bool {
	_, file := fileBefore(l, id)
	is := func(e store.Entry) bool { return e.ID == id }
	return file || slices.ContainsFunc(l.Entries, is) || slices.ContainsFunc(l.Held.Entries, is)
}

// holdOf is the hold point before a stage; nil where there is none.
func (l loaded) holdOf(stage string) *brief.Hold {
	for i := range l.brief.Stages {
		if l.brief.Stages[i].Key == stage {
			return l.brief.Stages[i].Hold
		}
	}
	return nil
}

// heldFor finds the item that something held back is for; ok is false where nothing of that id is held.
func (l loaded) heldFor(thing uuid.UUID) (item string, ok bool) {
	for _, e := range l.Held.Entries {
		if e.ID == thing {
			return e.Item, true
		}
	}
	for _, e := range l.Held.Evidence {
		if e.ID == thing {
			return e.Item, true
		}
	}
	return "", false
}

// GoOnWithout has an attempt marked although not everything on the sealed list has come, with the tutor's reason. What comes
// after it still joins the set, until the attempt is closed.
func (a *App) GoOnWithout(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.GoOnWithout, -1, func(l *loaded) (decision.Record, error) {
		switch {
		case l.Attempt.State != decision.HandedOver || !waitsForBytes(l.JobSheet):
			return decision.Record{}, fault.Conflict("This attempt waits for nothing. Load the page again to see where it stands.")
		case words == "":
			return decision.Record{}, fault.Invalid("words", "Say why it goes on without, so that whoever reads this later can follow you.")
		}
		return decision.Record{Kind: decision.KindGoOnWithout, Outcome: "gone on without", Value: strconv.Itoa(len(l.Awaited)), Words: words}, nil
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error { return t.EnqueueMark(ctx, l.Attempt.ID) })
}
