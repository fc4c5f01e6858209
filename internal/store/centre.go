package store

import (
	"context"
	"fmt"
	"time"
)

// Centre is one training centre.
type Centre struct {
	ID        int64 `db:"centre_id"`
	Code      string
	Name      string
	CreatedAt time.Time
	// PortfolioPhotos says how portfolios show photos: "previews", "uploaded" (but for what the camera wrote beside the picture) or
	// "uploaded_with_place".
	PortfolioPhotos string
}

// CreateCentre opens a centre with the next free number.
func (s *Store) CreateCentre(ctx context.Context, code, name string, at time.Time) (Centre, error) {
	c := Centre{Code: code, Name: name, CreatedAt: at}
	if err := s.pool.QueryRow(ctx, `SELECT nextval('centre_centre_id_seq')`).Scan(&c.ID); err != nil {
		return Centre{}, fmt.Errorf("number a centre: %w", err)
	}
	err := s.Write(ctx, c.ID, func(t *Tx) error {
		_, err := t.exec(ctx, "create centre", `
			INSERT INTO centre (centre_id, code, name, created_at) VALUES (@centre, @code, @name, @at)`,
			args{"centre": c.ID, "code": code, "name": name, "at": at})
		return err
	})
	return c, err
}

// Centre reads one centre.
func (s *Store) Centre(ctx context.Context, centre int64) (Centre, error) {
	return one[Centre](s.reading(ctx, centre), "centre", `SELECT centre_id, code, name, created_at, portfolio_photos FROM centre`, args{})
}

// SetPortfolioPhotos says how portfolios show photos from now on.
func (t *Tx) SetPortfolioPhotos(ctx context.Context, photos string) error {
	return t.mustFind(ctx, "centre", "set how portfolios show photos", `
		UPDATE centre SET portfolio_photos = @photos WHERE centre_id = @centre`, args{"centre": t.centre, "photos": photos})
}
