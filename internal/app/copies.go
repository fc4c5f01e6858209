package app

import (
	"bytes"
	"context"
	"errors"
	"image/jpeg"
	"io"

	"github.com/google/uuid"

	"witnessmark/internal/blob"
	"witnessmark/internal/codecard"
	"witnessmark/internal/fault"
	"witnessmark/internal/heif"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// previewSide is the longer side of a preview in pixels: enough for labels on fittings to be read.
const previewSide = 1600

// What was read of the code card in a photo whose item asks for it.
const (
	CardRead    = "read"     // this attempt's
	CardOther   = "other"    // another attempt's
	CardNotRead = "not_read" // none was found, which proves nothing
)

// copies is what is made of a photo's bytes.
type copies struct {
	covered string // digest of the covered copy; "" where the photo needs none
	preview string
	hash    photo.VisualHash
	card    string
}

// MakePreview makes what is shown of a photo (its covered copy, its preview) with its visual hash, and looks for the code card
// where its item asks for one: a job's work, with the same effect when it is done again. A picture that turns out damaged, and a
// HEIC that its decoder does not draw, is left without, since trying again would not mend it.
//
// A photo has a covered copy where covers lie over it, where it was taken on a private site or carries the place it was taken at, and
// where it is a HEIC, which few browsers show: the copy stands in for it wherever it is shown.
func (a *App) MakePreview(ctx context.Context, centre int64, id uuid.UUID) error {
	e, err := a.db.Evidence(ctx, centre, id)
	if err != nil || e.PreviewDigest != "" || !e.WithdrawnAt.IsZero() {
		return err
	}
	c, err := a.inTurn(ctx, e)
	switch {
	case unmendable(err):
		return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.SetUndrawn(ctx, id, a.now()) })
	case err != nil:
		return settled(err)
	}
	if c.card, err = a.cardIn(ctx, centre, e, c.preview); err != nil {
		return err
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error {
		now, err := t.LockEvidence(ctx, id)
		if err != nil || now.PreviewDigest != "" || len(now.Covers) != len(e.Covers) || !now.WithdrawnAt.IsZero() {
			return err // changed meanwhile: another job makes them
		}
		return a.keepCopies(ctx, t, id, c)
	})
}

// keepCopies keeps what was made. Bytes that were taken away in the meantime, being the same as a withdrawn photo's, make the
// job run again.
func (a *App) keepCopies(ctx context.Context, t *store.Tx, id uuid.UUID, c copies) error {
	if err := a.useBytes(ctx, t, c.preview); err != nil {
		return err
	}
	if c.covered != "" {
		if err := errors.Join(a.useBytes(ctx, t, c.covered), t.SetCovered(ctx, id, c.covered)); err != nil {
			return err
		}
	}
	if c.card != "" {
		if err := t.SetCard(ctx, id, c.card); err != nil {
			return err
		}
	}
	if err := t.SetPreview(ctx, id, c.preview, int64(c.hash.P), int64(c.hash.D)); err != nil {
		return err
	}
	return t.EnqueueCompare(ctx, id)
}

// errTakenAway says that bytes were taken away between being stored and being made evidence.
var errTakenAway = errors.New("the bytes were taken away meanwhile")

// useBytes keeps bytes from being taken away until the transaction ends.
func (a *App) useBytes(ctx context.Context, t *store.Tx, digest string) error {
	if err := t.UseBytes(ctx, digest); err != nil {
		return err
	}
	d, err := blob.Parse(digest)
	if err != nil {
		return err
	}
	there, err := a.blobs.Has(d)
	if err == nil && !there {
		err = errTakenAway
	}
	return err
}

// inTurn makes the copies of one photo at a time, whoever asks: decoding the largest pictures takes some hundred megabytes.
func (a *App) inTurn(ctx context.Context, e store.Evidence) (copies, error) {
	select {
	case a.drawing <- struct{}{}:
		defer func() { <-a.drawing }()
	case <-ctx.Done():
		return copies{}, ctx.Err()
	}
	return a.makeCopies(ctx, e)
}

// makeCopies draws and stores the copies of a photo. Without covers everything is drawn from the original; with covers the
// preview is drawn from the covered copy.
func (a *App) makeCopies(ctx context.Context, e store.Evidence) (copies, error) {
	content, info, err := a.checked(e.Digest)
	if err != nil {
		return copies{}, err
	}
	defer content.Close() // only read
	var c copies
	from := io.ReadSeeker(content)
	if info.Media == photo.HEIC {
		if from, info, err = a.redrawn(ctx, content, info); err != nil {
			return copies{}, err
		}
	}
	if len(e.Covers) > 0 || e.Private || info.HasLocation || e.MediaType == string(photo.HEIC) {
		rects := make([]photo.Rect, len(e.Covers))
		for i, k := range e.Covers {
			rects[i] = photo.Rect(k)
		}
		covered, err := photo.Cover(from, info, rects)
		if err != nil {
			return copies{}, err
		}
		if c.covered, err = a.store(ctx, covered); err != nil {
			return copies{}, err
		}
		from, info = bytes.NewReader(covered), photo.Info{Media: photo.JPEG, Orientation: 1}
	}
	small, err := photo.Preview(from, info, previewSide)
	if err != nil {
		return copies{}, err
	}
	if c.hash, err = photo.Hash(small); err != nil {
		return copies{}, err
	}
	c.preview, err = a.store(ctx, small)
	return c, err
}

// redrawn is a HEIC as the JPEG that the system's decoder makes of it.
func (a *App) redrawn(ctx context.Context, content io.ReadSeeker, info photo.Info) (io.ReadSeeker, photo.Info, error) {
	if a.heic == nil || info.Width == 0 {
		return nil, photo.Info{}, photo.ErrNoPreview
	}
	if _, err := content.Seek(0, io.SeekStart); err != nil {
		return nil, photo.Info{}, err
	}
	drawn, err := a.heic.JPEG(ctx, content)
	if err != nil {
		return nil, photo.Info{}, err
	}
	r := bytes.NewReader(drawn)
	info, err = photo.Redrawn(r, r.Size(), info)
	return r, info, err
}

// checked opens stored bytes and looks again what they are.
func (a *App) checked(digest string) (io.ReadSeekCloser, photo.Info, error) {
	d, err := blob.Parse(digest)
	if err != nil {
		return nil, photo.Info{}, err
	}
	content, size, err := a.blobs.Open(d)
	if err != nil {
		return nil, photo.Info{}, err
	}
	info, err := photo.Check(content, size)
	if err != nil {
		return nil, photo.Info{}, errors.Join(err, content.Close())
	}
	return content, info, nil
}

// store keeps bytes and gives their digest in hex.
func (a *App) store(ctx context.Context, content []byte) (string, error) {
	d, _, err := a.blobs.Put(ctx, bytes.NewReader(content), portfolioLimit)
	return d.String(), err
}

// cardIn looks for the attempt's code card in a photo's preview where its item asks for one; "" where it does not.
func (a *App) cardIn(ctx context.Context, centre int64, e store.Evidence, preview string) (string, error) {
	j, err := a.db.JobSheet(ctx, centre, e.Attempt)
	if err != nil {
		return "", err
	}
	r, err := a.forAttempt(j)
	if err != nil {
		return "", err
	}
	it, _, ok := r.brief.Item(e.Item)
	if !ok || it.Photo == nil || !it.Photo.Card {
		return "", nil
	}
	content, _, err := a.checked(preview)
	if err != nil {
		return "", err
	}
	defer content.Close() // only read
	if _, err := content.Seek(0, io.SeekStart); err != nil {
		return "", err
	}
	img, err := jpeg.Decode(content)
	if err != nil {
		return "", err
	}
	card := CardNotRead
	for _, id := range codecard.Read(img) {
		if id == j.Attempt.Card {
			return CardRead, nil
		}
		card = CardOther
	}
	return card, nil
}

// settled drops trouble that trying again does not mend as things are.
func settled(err error) error {
	if errors.Is(err, photo.ErrNoPreview) || unmendable(err) {
		return nil
	}
	return err
}

// unmendable says that a photo was tried, and cannot be drawn.
func unmendable(err error) bool {
	return errors.Is(err, heif.ErrNotDrawn) || err != nil && fault.KindOf(err) == fault.KindInvalid
}
