package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

const (
	uploadLife  = 7 * 24 * time.Hour // how long a file may take to come
	uploadsMost = 200                // files of one person that are on their way: weeks without signal (our own value)
)

// ErrAltered says that a file's bytes are not those that were announced: something on the way changed them, and what came is
// thrown away.
var ErrAltered = errors.New("the file arrived altered")

// Upload is a file that comes in parts, as far as it is here.
type Upload struct {
	store.Upload
	Offset int64 // bytes that are here
}

// BeginUpload makes room for a file of size bytes that the caller will send in parts; f.Digest is asked for. The same file
// announced again is the same upload, with all that has come of it; another one under the same id is Conflict.
func (a *App) BeginUpload(ctx context.Context, c account.Caller, attempt uuid.UUID, f NewFile, size int64) (Upload, error) {
	j, err := a.db.JobSheet(ctx, c.Centre, attempt)
	l, err := a.load(c, j, err)
	if err != nil {
		return Upload{}, err
	}
	if _, err := blob.Parse(f.Digest); err != nil {
		return Upload{}, err
	}
	if err := a.checkFile(c, l, f); err != nil {
		return Upload{}, err
	}
	if was, ok := fileBefore(l, f.ID); ok {
		if err := sameFile(was, store.Evidence{Item: f.Item, Digest: f.Digest}); err != nil {
			return Upload{}, err
		}
	}
	if size < 1 || size > EvidenceLimit {
		return Upload{}, fault.Invalid("file", "A file of %d bytes is not taken: send one of at least 1 and at most %d.", size, EvidenceLimit)
	}
	id, err := newID()
	if err != nil {
		return Upload{}, err
	}
	u := store.Upload{
		ID: id, Evidence: f.ID, Attempt: attempt, Item: f.Item, Name: f.Name, Caption: f.Caption, Size: size, Digest: f.Digest,
		DeviceAt: f.DeviceAt, Clock: f.clock(a.now()), Covers: f.Covers, LookedOver: f.LookedOver, StartedAt: a.now(), By: c.Person,
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		kept, err := t.StartUpload(ctx, u)
		if err != nil {
			return err
		}
		if kept.ID == id {
			if n, err := t.UnfinishedUploads(ctx, c.Person); err != nil || n > uploadsMost {
				return errors.Join(err, fault.Conflict("%d of your files are on their way already. Let some of them arrive first.", uploadsMost))
			}
		}
		err = sameUpload(kept, u)
		u = kept
		return err
	})
	if err != nil {
		return Upload{}, err
	}
	return a.reached(u)
}

// sameUpload is Conflict where what is announced is not what was announced under the same id, and NotFound where that was
// somebody else's.
func sameUpload(was, now store.Upload) error {
	switch {
	case was.By != now.By:
		return hidden("upload")
	case was.Attempt != now.Attempt || was.Item != now.Item || was.Digest != now.Digest || was.Size != now.Size:
		return fault.Conflict("Another file was announced before under this id, so this one is not taken. Add it once more.")
	}
	return nil
}

// Upload is how far an upload of the caller's is; nobody else sees it.
func (a *App) Upload(ctx context.Context, c account.Caller, id uuid.UUID) (Upload, error) {
	u, err := a.db.Upload(ctx, c.Centre, id)
	if err != nil {
		return Upload{}, err
	}
	if u.By != c.Person {
		return Upload{}, hidden("upload")
	}
	return a.reached(u)
}

// reached looks how much of an upload is here: all of it once it was received.
func (a *App) reached(u store.Upload) (Upload, error) {
	if u.Received != "" {
		return Upload{u, u.Size}, nil
	}
	offset, err := a.blobs.PartSize(blob.Part(u.ID))
	return Upload{u, offset}, err
}

// AppendUpload adds what r brings to an upload that has offset bytes, up to its announced size, and says how many bytes it
// added: those stay, and are on the disk, with an error too. r is not held in memory. One at a time may add to an upload.
func (a *App) AppendUpload(ctx context.Context, c account.Caller, id uuid.UUID, offset int64, r io.Reader) (int64, error) {
	u, err := a.Upload(ctx, c, id)
	if err != nil || u.Offset == u.Size {
		return 0, err
	}
	return a.blobs.AppendPart(ctx, blob.Part(id), offset, r, u.Size-offset)
}

// FinishUpload makes evidence of an upload whose bytes are all here. They are hashed again first: others than announced are
// ErrAltered, and thrown away like a file of a kind that is not taken. Done again it has no further effect.
func (a *App) FinishUpload(ctx context.Context, c account.Caller, id uuid.UUID) (Upload, error) {
	u, err := a.Upload(ctx, c, id)
	if err != nil || u.Received != "" {
		return u, err
	}
	j, err := a.db.JobSheet(ctx, c.Centre, u.Attempt)
	l, err := a.load(c, j, err)
	if err != nil {
		return Upload{}, err
	}
	f := NewFile{ID: u.Evidence, Item: u.Item, Name: u.Name, Caption: u.Caption, DeviceAt: u.DeviceAt, Covers: u.Covers, LookedOver: u.LookedOver, Digest: u.Digest}
	if err := a.checkFile(c, l, f); err != nil {
		return Upload{}, err
	}
	want, err := blob.Parse(u.Digest)
	if err != nil {
		return Upload{}, fmt.Errorf("finish an upload: %w", err)
	}
	var info photo.Info
	digest, size, err := a.blobs.KeepPart(blob.Part(id), unaltered(want), looked(&info))
	switch {
	case errors.Is(err, fs.ErrNotExist): // finished, or thrown away, by another request meanwhile
		return a.Upload(ctx, c, id)
	case fault.KindOf(err) == fault.KindInvalid:
		return Upload{}, errors.Join(err, a.dropUpload(ctx, c.Centre, id))
	case err != nil:
		return Upload{}, err
	}
	e, err := a.keepFile(ctx, c, f.evidence(u.Attempt, c.Person, digest, size, info, u.Clock))
	if err != nil {
		return Upload{}, err
	}
	u.Received = e.Digest
	return u, a.blobs.DropPart(blob.Part(id))
}

// unaltered is the check that a file's bytes are those that were announced; others are ErrAltered.
func unaltered(want blob.Digest) blob.Check {
	return func(content io.ReadSeeker, got blob.Digest, size int64) error {
		if err := blob.Expect(want)(content, got, size); err != nil {
			return errors.Join(ErrAltered, err)
		}
		return nil
	}
}

// dropUpload takes an upload away with all that has come of it.
func (a *App) dropUpload(ctx context.Context, centre int64, id uuid.UUID) error {
	err := a.db.Write(ctx, centre, func(t *store.Tx) error { return t.DropUpload(ctx, id) })
	return errors.Join(err, a.blobs.DropPart(blob.Part(id)))
}

// SweepUploads takes away, in every centre, the uploads that were announced over a week ago. What they became stays.
func (a *App) SweepUploads(ctx context.Context) error {
	before := a.now().Add(-uploadLife)
	centres, err := a.db.CentresWithUploadsBefore(ctx, before)
	if err != nil {
		return err
	}
	for _, centre := range centres {
		var gone []uuid.UUID
		err := a.db.Write(ctx, centre, func(t *store.Tx) (err error) {
			gone, err = t.DropUploadsBefore(ctx, before)
			return err
		})
		if err != nil {
			return err
		}
		for _, id := range gone {
			if err := a.blobs.DropPart(blob.Part(id)); err != nil {
				return err
			}
		}
	}
	return a.blobs.SweepParts(before) // of uploads that were dropped when the program ended
}
