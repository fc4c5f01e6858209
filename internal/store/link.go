package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// Link is a single-use link sent to a person. Only the digest of its token is kept.
type Link struct {
	Centre    int64     `db:"centre_id"`
	ID        uuid.UUID `db:"link_id"`
	Digest    []byte    // SHA-256 of the token, 32 bytes
	Purpose   string    // what it may be used for, such as "password"
	Person    uuid.UUID `db:"person_id"`
	ExpiresAt time.Time
	UsedAt    time.Time // zero until it is used
}

const linkColumns = `l.centre_id, l.link_id, l.digest, l.purpose, l.person_id, l.expires_at, coalesce(l.used_at, '0001-01-01 00:00Z') AS used_at`

// AddLink keeps a new link.
func (t *Tx) AddLink(ctx context.Context, l Link) error {
	_, err := t.exec(ctx, "add link", `
		INSERT INTO link (centre_id, link_id, digest, purpose, person_id, expires_at)
		VALUES (@centre, @link, @digest, @purpose, @person, @expires_at)`,
		args{"centre": t.centre, "link": l.ID, "digest": l.Digest, "purpose": l.Purpose, "person": l.Person, "expires_at": l.ExpiresAt})
	return err
}

// LinkByDigest looks at a link in any centre without using it up; used and expired ones are given too.
func (s *Store) LinkByDigest(ctx context.Context, digest []byte) (Link, error) {
	r := s.outside(ctx)
	r.batch.Queue(`SELECT set_config('app.centre_id', centre_id::text, true) FROM lookup_link($1)`, digest)
	return one[Link](r, "link", `SELECT `+linkColumns+` FROM link l WHERE l.digest = @digest`, args{"digest": digest})
}

// UseLinks uses up whatever else a person was sent for the purpose.
func (t *Tx) UseLinks(ctx context.Context, person uuid.UUID, purpose string, at time.Time) error {
	_, err := t.exec(ctx, "use links", `UPDATE link SET used_at = @at WHERE person_id = @person AND purpose = @purpose AND used_at IS NULL`,
		args{"person": person, "purpose": purpose, "at": at})
	return err
}

// UseLink uses the link up. Of several at once exactly one succeeds; used or expired is Conflict with a sentence that
// says which.
func (t *Tx) UseLink(ctx context.Context, id uuid.UUID, at time.Time) (Link, error) {
	used, err := all[Link](t.reading(ctx), "link", `
		UPDATE link l SET used_at = @at WHERE l.link_id = @link AND l.used_at IS NULL AND l.expires_at > @at RETURNING `+linkColumns,
		args{"link": id, "at": at})
	if err != nil || len(used) == 1 {
		return first(used, "link", err)
	}
	l, err := one[Link](t.reading(ctx), "link", `SELECT `+linkColumns+` FROM link l WHERE l.link_id = @link`, args{"link": id})
	if err != nil {
		return Link{}, err
	}
	if !l.UsedAt.IsZero() {
		return Link{}, fault.Conflict("This link has been used. Ask your centre for a new one.")
	}
	return Link{}, fault.Conflict("This link has run out. Ask your centre for a new one.")
}
