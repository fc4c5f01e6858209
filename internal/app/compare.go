package app

import (
	"context"
	"io"

	"github.com/google/uuid"

	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// How many photos of others are laid over one, and from where on it is kept that they correlate: a centre may ask for that
// little (our own values).
const (
	candidatesMost = 40
	correlateFrom  = 0.5
)

// ComparePicture looks for photos of other trainees that are the same as one, or look alike: a job's work, with the same effect
// when it is done again. What it finds is a reason to look, and nothing else.
func (a *App) ComparePicture(ctx context.Context, centre int64, id uuid.UUID) error {
	e, err := a.db.Evidence(ctx, centre, id)
	if err != nil {
		return err
	}
	k, err := a.db.AlikeSetting(ctx, centre)
	if err != nil {
		return err
	}
	near, err := a.db.Candidates(ctx, centre, id, k, candidatesMost)
	if err != nil {
		return err
	}
	var pairs []store.Pair
	if len(near) > 0 {
		if pairs, err = a.pairsOf(ctx, centre, e, near); err != nil {
			return err
		}
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.SetPairs(ctx, id, pairs) })
}

// pairsOf lays a photo over those that may look alike.
func (a *App) pairsOf(ctx context.Context, centre int64, e store.Evidence, near []store.Candidate) ([]store.Pair, error) {
	own, drawn, err := a.greyOf(e.PreviewDigest)
	if err != nil {
		return nil, err
	}
	j, err := a.db.SheetHead(ctx, centre, e.Attempt)
	if err != nil {
		return nil, err
	}
	stage, err := a.stageOf(ctx, centre, j.Brief.Brief, j.Brief.Version, j.Brief.Digest, e.Item)
	if err != nil {
		return nil, err
	}
	var pairs []store.Pair
	for _, c := range near {
		p := store.Pair{Other: c.Evidence, Exact: c.Exact, Pattern: c.Pattern, Edges: c.Edges, Stage: stage, FoundAt: a.now()}
		if c.Exact {
			p.Correlation, p.Pattern, p.Edges = 1, 0, 0
		} else {
			theirs, ok, err := a.greyOf(c.PreviewDigest)
			if err != nil {
				return nil, err
			}
			if drawn && ok {
				p.Correlation = own.Correlation(theirs)
			}
			if p.Correlation < correlateFrom {
				continue
			}
		}
		if p.OtherStage, err = a.stageOf(ctx, centre, c.Brief, c.Version, c.BriefDigest, c.Item); err != nil {
			return nil, err
		}
		pairs = append(pairs, p)
	}
	return pairs, nil
}

// greyOf is the small grey copy of a preview, which is kept for the next photo that is laid over it; ok is false where there is
// no preview.
func (a *App) greyOf(digest string) (g photo.Grey, ok bool, err error) {
	if digest == "" {
		return photo.Grey{}, false, nil
	}
	g, err = a.greys.get(digest, func() (photo.Grey, error) {
		content, _, err := a.checked(digest)
		if err != nil {
			return photo.Grey{}, err
		}
		defer content.Close() // only read
		if _, err := content.Seek(0, io.SeekStart); err != nil {
			return photo.Grey{}, err
		}
		preview, err := io.ReadAll(content)
		if err != nil {
			return photo.Grey{}, err
		}
		return photo.GreyOf(preview)
	})
	return g, err == nil, err
}

// stageOf is the key of the stage at which an item of a brief stands; "" for none, as of a photo of a label.
func (a *App) stageOf(ctx context.Context, centre int64, id uuid.UUID, version int, digest, item string) (string, error) {
	b, err := a.briefs.brief(digest, func() (string, error) {
		v, err := a.db.BriefVersion(ctx, centre, id, version)
		return v.Source, err
	})
	if err != nil {
		return "", err
	}
	if _, st, ok := b.Item(item); ok {
		return st.Key, nil
	}
	return "", nil
}
