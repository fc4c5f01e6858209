package app

import (
	"context"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Difference is how one version of a brief differs from another.
type Difference struct {
	Was, Now BriefVersion
	Versions []BriefVersion // all of the brief, the newest first
	Lines    []brief.DiffLine
}

// BriefDifference holds a version of a brief against another one of it; was 0 is the one before, where there is one.
func (a *App) BriefDifference(ctx context.Context, c account.Caller, id uuid.UUID, was, now int) (Difference, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return Difference{}, err
	}
	versions, err := a.db.BriefVersions(ctx, c.Centre, id)
	if err != nil {
		return Difference{}, err
	}
	d := Difference{Versions: versions}
	if d.Now, err = a.db.BriefVersion(ctx, c.Centre, id, now); err != nil {
		return Difference{}, err
	}
	if was == 0 {
		i := slices.IndexFunc(versions, func(v store.BriefVersion) bool { return v.Version < now })
		if i < 0 {
			return Difference{}, fault.NotFound("This is the brief's first version, so there is nothing to hold it against.")
		}
		was = versions[i].Version
	}
	if d.Was, err = a.db.BriefVersion(ctx, c.Centre, id, was); err != nil {
		return Difference{}, err
	}
	d.Lines = brief.Differences(d.Was.Source, d.Now.Source)
	return d, nil
}

// NewestOfKey is the newest version of the brief with the key, with its source.
func (a *App) NewestOfKey(ctx context.Context, c account.Caller, key string) (BriefVersion, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return BriefVersion{}, err
	}
	return a.db.LatestBriefByKey(ctx, c.Centre, key)
}
