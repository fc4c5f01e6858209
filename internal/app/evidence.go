package app

import (
	"context"
	"io"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// EvidenceLimit is the largest file that is taken, in bytes (our own value: a 50-megapixel photo has about 12 MB).
const EvidenceLimit = 25 << 20

// NewFile is one photo or document as it comes in.
type NewFile struct {
	ID       uuid.UUID // made where it was captured; the same again has no effect
	Item     string
	Name     string
	Caption  string
	DeviceAt time.Time // zero where unknown
	PhoneClock
	Covers     []store.Cover // laid over it before it was sent
	LookedOver bool          // somebody looked at it for what has to be covered, be it nothing
	Digest     string        // SHA-256 in hex as the sender reckons it; "" where it does not
}

// AddFile keeps a file as evidence. The bytes are on the disk, and their row in the database, before it answers.
func (a *App) AddFile(ctx context.Context, c account.Caller, id uuid.UUID, f NewFile, r io.Reader) (store.Evidence, error) {
	j, err := a.db.JobSheet(ctx, c.Centre, id)
	l, err := a.load(c, j, err)
	if err != nil {
		return store.Evidence{}, err
	}
	if err := a.checkFile(c, l, f); err != nil {
		return store.Evidence{}, err
	}
	var info photo.Info
	checks := []blob.Check{looked(&info)}
	if f.Digest != "" {
		want, err := blob.Parse(f.Digest)
		if err != nil {
			return store.Evidence{}, err
		}
		checks = append(checks, blob.Expect(want))
	}
	digest, size, err := a.blobs.PutChecked(ctx, r, EvidenceLimit, checks...)
	if err != nil {
		return store.Evidence{}, err
	}
	return a.keepFile(ctx, c, f.evidence(id, c.Person, digest, size, info, f.clock(a.now())))
}

// looked is the check that a file is one of the kinds that are taken; it leaves behind what the file says about itself.
func looked(info *photo.Info) blob.Check {
	return func(content io.ReadSeeker, _ blob.Digest, size int64) (err error) {
		*info, err = photo.Check(content, size)
		return err
	}
}

// evidence is the row of a file whose bytes are here.
func (f NewFile) evidence(attempt, by uuid.UUID, digest blob.Digest, size int64, info photo.Info, clock store.Clock) store.Evidence {
	e := store.Evidence{
		ID: f.ID, Attempt: attempt, Item: f.Item, Digest: digest.String(), Size: size, MediaType: string(info.Media),
		Width: info.Width, Height: info.Height, Orientation: info.Orientation, Name: f.Name, Caption: f.Caption,
		TakenAt: info.TakenAt, TakenZoned: info.ZoneStated, DeviceAt: f.DeviceAt, By: by, Clock: clock, Covers: f.Covers, LookedOver: f.LookedOver || len(f.Covers) > 0,
	}
	if info.Orientation >= 5 { // the row keeps the sides as stored
		e.Width, e.Height = e.Height, e.Width
	}
	return e
}

// checkFile refuses a file that has no place, before its bytes are read.
func (a *App) checkFile(c account.Caller, l loaded, f NewFile) error {
	if err := account.May(c, account.Record, l.standings...); err != nil {
		return err
	}
	_, _, ok := l.brief.Item(f.Item) // of an item that is typed, a photo of the sheet that it was first written on
	_, label := decision.LabelOf(f.Item)
	switch {
	case !ok && !label:
		return fault.Invalid("item", "The brief asks for no file there.")
	case f.ID == uuid.Nil:
		return fault.Invalid("id", "Every file needs an id of its own.")
	case utf8.RuneCountInString(f.Caption) > textMost || utf8.RuneCountInString(f.Name) > 255:
		return fault.Invalid("caption", "The caption is longer than %d characters. Shorten it.", textMost)
	}
	if err := checkCovers(f.Covers); err != nil {
		return err
	}
	if _, again := fileBefore(l, f.ID); again {
		return nil
	}
	return l.admits(f.ID, decision.SealFile, f.Digest, f.moment(f.DeviceAt, a.now()))
}

// keepFile adds the row under the attempt's lock, asks for the preview, and for the marker where it waited for this. It gives
// the row as it is kept: the first one where the same was sent before.
func (a *App) keepFile(ctx context.Context, c account.Caller, e store.Evidence) (store.Evidence, error) {
	kept := e
	err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		j, err := t.LockJobSheet(ctx, e.Attempt)
		l, err := a.load(c, j, err)
		if err != nil {
			return err
		}
		if was, ok := fileBefore(l, e.ID); ok {
			kept = was
			if err := sameFile(was, e); err != nil || was.WithdrawnAt.IsZero() {
				return err
			}
			return forget(ctx, t, e.Digest) // sent again after it was withdrawn
		}
		if err := l.admits(e.ID, decision.SealFile, e.Digest, e.Captured()); err != nil {
			return err
		}
		if err := a.stillThere(ctx, t, e); err != nil {
			return err
		}
		kept.ReceivedAt, kept.Private = a.now(), l.Attempt.Site != ""
		added, err := t.AddEvidence(ctx, kept)
		switch {
		case err != nil:
			return err
		case !added: // of another attempt
			return fault.Invalid("id", "Every file needs an id of its own.")
		case a.previewed(e):
			if err := t.EnqueuePreview(ctx, e.ID); err != nil {
				return err
			}
		}
		return a.arrived(ctx, t, l, e.ID)
	})
	return kept, err
}

// previewed says whether a file gets a preview: photo.Preview draws JPEG and PNG, and the system's decoder a HEIC whose size is
// within the limits.
func (a *App) previewed(e store.Evidence) bool {
	switch photo.Media(e.MediaType) {
	case photo.JPEG, photo.PNG:
		return true
	case photo.HEIC:
		return a.heic != nil && e.Width > 0
	}
	return false
}

// File is the bytes of one piece of evidence, or of a copy of it.
type File struct {
	store.Evidence
	Content io.ReadSeekCloser
	Size    int64
	Type    string // media type of Content
	Shown   string // digest of Content, hex
}

// OpenFile opens evidence that the caller may see, its covered copy where it has one; preview gives the small upright picture
// where there is one. Close the content.
func (a *App) OpenFile(ctx context.Context, c account.Caller, id uuid.UUID, preview bool) (File, error) {
	e, _, err := a.visibleFile(ctx, c, id)
	if err != nil {
		return File{}, err
	}
	digest, media, err := a.shown(e, preview)
	if err != nil {
		return File{}, err
	}
	return a.openBytes(e, digest, media)
}
