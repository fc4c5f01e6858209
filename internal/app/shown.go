package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"

	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// strip finds out the digests of photos without what the camera wrote beside the picture, where the centre's portfolios show them so,
// and puts them into the rows. Each is worked out once and kept.
func (a *App) strip(ctx context.Context, k store.Centre, sheets []store.JobSheet) error {
	if portfolio.Photos(k.PortfolioPhotos) != portfolio.Uploaded {
		return nil
	}
	for _, j := range sheets {
		for i := range j.Evidence {
			e := &j.Evidence[i]
			if e.MediaType != string(photo.JPEG) || e.BareDigest != "" || len(e.Covers) > 0 || !e.WithdrawnAt.IsZero() {
				continue
			}
			bare, err := a.bareDigest(e.Digest)
			if err == nil {
				err = a.db.Write(ctx, k.ID, func(t *store.Tx) error { return t.SetBare(ctx, e.ID, bare) })
			}
			if err != nil {
				return err
			}
			e.BareDigest = bare
		}
	}
	return nil
}

// bareDigest is the digest of a stored JPEG without what stands beside the picture. All of it is read, and held against its own.
func (a *App) bareDigest(digest string) (string, error) {
	content, err := a.openChecked(digest)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	_, err = io.Copy(h, photo.Strip(content))
	if err := errors.Join(err, content.Close()); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// openShown opens what a portfolio shows, by its digest, for being read once from the start. Bytes that are not those of the digest
// are a blob.MismatchError at their end, or when they are closed before it.
func (a *App) openShown(files []portfolio.File) func(digest string) (io.ReadCloser, error) {
	stored := map[string]string{} // of what is shown stripped, the original's digest
	for i := range files {
		if f := &files[i]; f.Show == portfolio.Bare {
			stored[f.Shown] = f.Digest
		}
	}
	return func(digest string) (io.ReadCloser, error) {
		original, bare := stored[digest]
		if !bare {
			return a.openChecked(digest)
		}
		d, err := blob.Parse(original)
		if err != nil {
			return nil, err
		}
		want, err := blob.Parse(digest)
		if err != nil {
			return nil, err
		}
		content, err := a.blobs.OnceThrough(d, want, photo.Strip)
		return content, missing(err, original)
	}
}

// openChecked opens a stored file to be read once, with its digest checked on the way.
func (a *App) openChecked(digest string) (io.ReadCloser, error) {
	d, err := blob.Parse(digest)
	if err != nil {
		return nil, err
	}
	content, err := a.blobs.Once(d)
	return content, missing(err, digest)
}

// openStored opens a stored file as it is.
func (a *App) openStored(digest string) (io.ReadCloser, blob.Digest, error) {
	d, err := blob.Parse(digest)
	if err != nil {
		return nil, d, err
	}
	content, _, err := a.blobs.Open(d)
	return content, d, missing(err, digest)
}

// missing says of bytes that are not there, though their row is, that they are missing.
func missing(err error, digest string) error {
	if fault.KindOf(err) == fault.KindNotFound {
		return &missingError{digest}
	}
	return err
}
