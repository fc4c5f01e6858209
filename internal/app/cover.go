package app

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// coversMost is how many rectangles may lie over one photo (our own value: a street of faces).
const coversMost = 100

// checkCovers refuses rectangles that do not lie on the picture.
func checkCovers(covers []store.Cover) error {
	if len(covers) > coversMost {
		return fault.Invalid("covers", "That is more than %d covers over one photo. Cover larger parts at once.", coversMost)
	}
	const hair = 1e-6 // parts that were worked out from pixels add up to a hair more than the whole
	for _, c := range covers {
		for _, v := range []float64{c.X, c.Y, c.W, c.H} {
			if math.IsNaN(v) || v < 0 || v > 1+hair {
				return fault.Invalid("covers", "A cover does not lie on the picture. Lay it again.")
			}
		}
		if c.W == 0 || c.H == 0 || c.X+c.W > 1+hair || c.Y+c.H > 1+hair {
			return fault.Invalid("covers", "A cover does not lie on the picture. Lay it again.")
		}
	}
	return nil
}

// CoverFile lays further covers over a photo: its trainee before handing over, a tutor at any time. Covers are only added, so
// that nothing that was hidden once is ever shown by mistake; the original stays as it is. Until the covered copy is made
// nothing of the photo is shown.
func (a *App) CoverFile(ctx context.Context, c account.Caller, id uuid.UUID, covers []store.Cover) error {
	if len(covers) == 0 {
		return fault.Invalid("covers", "Nothing was covered. Lay at least one rectangle over the photo.")
	}
	return a.changeFile(ctx, c, id, account.CoverFile, func(t *store.Tx, l *loaded, e store.Evidence) error {
		if err := a.coverable(c, l, e); err != nil {
			return err
		}
		if err := checkCovers(append(slices.Clone(e.Covers), covers...)); err != nil {
			return err
		}
		if err := t.AddCovers(ctx, id, covers); err != nil {
			return err
		}
		if err := t.EnqueueCopies(ctx, id, a.now()); err != nil {
			return err
		}
		return forget(ctx, t, e.CoveredDigest, e.PreviewDigest)
	})
}

// NothingToCover says that somebody looked at a photo and found nothing that has to be covered, besides what is: whoever may cover it.
// Of a photo of a private site nothing leaves the centre before that.
func (a *App) NothingToCover(ctx context.Context, c account.Caller, id uuid.UUID) error {
	return a.changeFile(ctx, c, id, account.CoverFile, func(t *store.Tx, l *loaded, e store.Evidence) error {
		if err := a.coverable(c, l, e); err != nil || e.LookedOver {
			return err
		}
		anew := e.Private && e.CoveredDigest == ""
		if err := t.SetLookedOver(ctx, id, anew); err != nil || !anew {
			return err
		}
		if err := t.EnqueueCopies(ctx, id, a.now()); err != nil {
			return err
		}
		return forget(ctx, t, e.PreviewDigest)
	})
}

// coverable refuses what the caller cannot cover now.
func (a *App) coverable(c account.Caller, l *loaded, e store.Evidence) error {
	own := l.Attempt.Trainee == c.Person && account.May(c, account.CoverFile, account.Teaches) != nil
	switch {
	case own && l.Attempt.State != decision.Open:
		return fault.Conflict("This attempt is %s. Ask your tutor to cover more of the photo.", l.Attempt.State.Words())
	case !a.previewed(e):
		return fault.Conflict("Only photos can be covered. This file is kept as it is, and does not leave the centre as a picture.")
	case !e.WithdrawnAt.IsZero():
		return fault.Conflict("This photo's original was withdrawn, so nothing can be changed on it.")
	}
	return nil
}

// forget asks for bytes to be taken away where nothing needs them; empty digests are passed over.
func forget(ctx context.Context, t *store.Tx, digests ...string) error {
	digests = slices.DeleteFunc(digests, func(d string) bool { return d == "" })
	if len(digests) == 0 {
		return nil
	}
	return t.EnqueueForget(ctx, digests...)
}

// changeFile locks a file's attempt, asks whether the caller may do the action, and does fn on the file's row.
func (a *App) changeFile(ctx context.Context, c account.Caller, id uuid.UUID, act account.Action, fn func(*store.Tx, *loaded, store.Evidence) error) error {
	e, err := a.db.Evidence(ctx, c.Centre, id)
	if err != nil {
		return err
	}
	return a.change(ctx, c, e.Attempt, act, func(t *store.Tx, l *loaded) error {
		now, err := t.LockEvidence(ctx, id)
		if err != nil {
			return err
		}
		return fn(t, l, now)
	})
}

// WithdrawFile takes the original of a file away, with the tutor's reason. What is left (its digest, the covered copy where
// there is one, the record of who and why) stays valid; the bytes go once no other evidence needs them.
func (a *App) WithdrawFile(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	words = strings.TrimSpace(words)
	e, err := a.db.Evidence(ctx, c.Centre, id)
	if err != nil {
		return err
	}
	return a.judge(ctx, c, e.Attempt, judged{account.WithdrawFile, -1, func(*loaded) (decision.Record, error) {
		if words == "" {
			return decision.Record{}, fault.Invalid("words", "Say why the original is withdrawn, so that whoever reads this later can follow you.")
		}
		return decision.Record{Kind: decision.KindWithdraw, Subject: id.String(), Outcome: "withdrawn", Words: words}, nil
	}}, func(ctx context.Context, t *store.Tx, _ *loaded) error {
		e, err := t.LockEvidence(ctx, id)
		switch {
		case err != nil:
			return err
		case !e.WithdrawnAt.IsZero():
			return fault.Conflict("This original was withdrawn before.")
		case len(e.Covers) > 0 && e.CoveredDigest == "":
			return errBeingCovered
		}
		if err := t.Withdraw(ctx, id, a.now()); err != nil {
			return err
		}
		if len(e.Covers) > 0 {
			return forget(ctx, t, e.Digest)
		}
		return forget(ctx, t, e.Digest, e.CoveredDigest, e.PreviewDigest)
	})
}

// withdrawal is the record of who took a file's original away; nil where it is kept.
func withdrawal(records []decision.Record, e store.Evidence) *decision.Record {
	if e.WithdrawnAt.IsZero() {
		return nil
	}
	return decision.Latest(records, decision.KindWithdraw, e.ID.String())
}

// errBeingCovered says that a photo's covered copy is on its way.
var errBeingCovered = fault.Conflict("The covered copy of this photo is being made. Look again in a moment.")

// errWithdrawn says that a file's original is gone.
var errWithdrawn = fault.NotFound("The original of this file was withdrawn. Its digest and the record of it stay.")

// ForgetBytes takes bytes away that nothing needs: a job's work, with the same effect when it is done again.
func (a *App) ForgetBytes(ctx context.Context, centre int64, digests []string) error {
	for _, digest := range digests {
		d, err := blob.Parse(digest)
		if err != nil {
			return err
		}
		if err := a.db.Write(ctx, centre, func(t *store.Tx) error { return a.takeAway(ctx, t, d) }); err != nil {
			return err
		}
	}
	return nil
}

// takeAway takes bytes away that nothing needs.
func (a *App) takeAway(ctx context.Context, t *store.Tx, d blob.Digest) error {
	needed, err := t.BytesNeeded(ctx, d.String())
	if err != nil || needed {
		return err
	}
	return a.blobs.Remove(d)
}

// shown is what people see of a file: its digest and media type. Where there is a covered copy it stands in for the original,
// for everybody.
func (a *App) shown(e store.Evidence, preview bool) (digest, media string, err error) {
	switch {
	case preview && e.PreviewDigest != "":
		return e.PreviewDigest, string(photo.JPEG), nil
	case e.CoveredDigest != "":
		return e.CoveredDigest, string(photo.JPEG), nil
	case len(e.Covers) > 0 && a.previewed(e):
		return "", "", errBeingCovered
	case len(e.Covers) > 0:
		return "", "", fault.Conflict("Parts of this file are covered, and a file of this kind cannot be shown without them.")
	case !e.WithdrawnAt.IsZero():
		return "", "", errWithdrawn
	}
	return e.Digest, e.MediaType, nil
}

// OpenOriginal opens the bytes of a file as they were received, without covers, for a tutor or quality assurer inside the
// centre. Close the content.
func (a *App) OpenOriginal(ctx context.Context, c account.Caller, id uuid.UUID) (File, error) {
	e, st, err := a.visibleFile(ctx, c, id)
	if err != nil {
		return File{}, err
	}
	if err := account.May(c, account.SeeOriginal, st...); err != nil {
		return File{}, err
	}
	if !e.WithdrawnAt.IsZero() {
		return File{}, errWithdrawn
	}
	return a.openBytes(e, e.Digest, e.MediaType)
}

// visibleFile reads the row of a file that the caller may see, and how they stand to it.
func (a *App) visibleFile(ctx context.Context, c account.Caller, id uuid.UUID) (store.Evidence, []account.Standing, error) {
	e, err := a.db.Evidence(ctx, c.Centre, id)
	if err != nil {
		return store.Evidence{}, nil, err
	}
	at, err := a.db.Attempt(ctx, c.Centre, e.Attempt)
	if err != nil {
		return store.Evidence{}, nil, err
	}
	st := standings(c, at)
	if account.May(c, account.SeeAttempt, st...) == nil {
		return e, st, nil
	}
	if sits, err := a.sitsOn(ctx, c, e.Attempt); err != nil || sits {
		return e, st, err
	}
	return e, st, hidden("file")
}

func (a *App) openBytes(e store.Evidence, digest, media string) (File, error) {
	d, err := blob.Parse(digest)
	if err != nil {
		return File{}, err
	}
	content, size, err := a.blobs.Open(d)
	return File{Evidence: e, Content: content, Size: size, Type: media, Shown: digest}, err
}

// stillThere keeps a file's bytes from being taken away until the transaction ends; bytes that were, in the moment since they
// came, have to be sent again.
func (a *App) stillThere(ctx context.Context, t *store.Tx, e store.Evidence) error {
	err := a.useBytes(ctx, t, e.Digest)
	if errors.Is(err, errTakenAway) {
		return fault.Conflict("The same file was withdrawn while this one came in. Send it again.")
	}
	return err
}
