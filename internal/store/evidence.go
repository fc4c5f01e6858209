package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/google/uuid"
)

// Evidence is one file; its bytes lie elsewhere, under their digest.
type Evidence struct {
	ID            uuid.UUID `db:"evidence_id"` // made where it was captured
	Attempt       uuid.UUID `db:"attempt_id"`
	Item          string
	Digest        string // SHA-256 of the bytes as received, hex
	Size          int64  // bytes
	MediaType     string
	Width, Height int // pixels, as stored; 0 for what is not a picture
	Orientation   int // EXIF 1 to 8; 0 where not stated
	Name          string
	Caption       string
	TakenAt       time.Time // by the camera; zero where unknown
	TakenZoned    bool      // the camera stated its zone
	DeviceAt      time.Time // by the phone; zero where unknown
	ReceivedAt    time.Time
	Clock
	By            uuid.UUID `db:"by_id"`
	ByName        string    // only read
	PreviewDigest string    // hex; "" until the preview is made
	Covers        []Cover   // laid over it by the trainee before it was sent
	Private       bool      // taken on a private site
	LookedOver    bool      // somebody looked at it for what has to be covered
	CoveredDigest string    // hex, of the copy with what they hide painted over; "" where there are none, and until it is made
	WithdrawnAt   time.Time // the original's bytes were taken away; zero where they were not
	UndrawnAt     time.Time // when drawing it was last tried in vain; zero where it never was
	Card          string    // what was read of the code card: "" not looked for, "read", "other" attempt's, "not_read"
	BareDigest    string    // hex, of a JPEG without what stands beside the picture; "" until a portfolio shows it so
	PHash, DHash  int64     // visual hashes, their 64 bits as they stand; 0 until the preview is made
}

// Cover is a rectangle laid over a photo, in parts of the upright picture from its upper left corner, 0 to 1.
type Cover struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

const evidenceColumns = `v.evidence_id, v.attempt_id, v.item, encode(v.digest, 'hex') AS digest, v.size, v.media_type, v.width, v.height, v.orientation,
	v.name, v.caption, coalesce(v.taken_at, '0001-01-01 00:00Z') AS taken_at, v.taken_zoned, coalesce(v.device_at, '0001-01-01 00:00Z') AS device_at,
	v.received_at, v.offset_ms, v.clock_steady, v.covers, v.private, v.looked_over, coalesce(encode(v.covered_digest, 'hex'), '') AS covered_digest,
	coalesce(v.withdrawn_at, '0001-01-01 00:00Z') AS withdrawn_at, coalesce(v.undrawn_at, '0001-01-01 00:00Z') AS undrawn_at, v.card, v.by_id, b.name AS by_name, coalesce(encode(v.preview_digest, 'hex'), '') AS preview_digest,
	coalesce(encode(v.bare_digest, 'hex'), '') AS bare_digest, coalesce(v.phash, 0) AS phash, coalesce(v.dhash, 0) AS dhash`

const evidenceFrom = ` FROM evidence v JOIN person b ON b.centre_id = v.centre_id AND b.person_id = v.by_id `

// Evidence reads one file's row.
func (s *Store) Evidence(ctx context.Context, centre int64, id uuid.UUID) (Evidence, error) {
	return one[Evidence](s.reading(ctx, centre), "file", `SELECT `+evidenceColumns+evidenceFrom+` WHERE v.evidence_id = @evidence`, args{"evidence": id})
}

// AddEvidence keeps a file's row and says whether it is new: the same id again has no effect. It does not ask for the
// attempt's state.
func (t *Tx) AddEvidence(ctx context.Context, e Evidence) (added bool, err error) {
	digest, err := digestBytes(e.Digest)
	if err != nil {
		return false, err
	}
	var covered []byte
	if e.CoveredDigest != "" {
		if covered, err = digestBytes(e.CoveredDigest); err != nil {
			return false, err
		}
	}
	n, err := t.exec(ctx, "add evidence", `
		INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption,
			taken_at, taken_zoned, device_at, received_at, offset_ms, clock_steady, covers, private, looked_over, covered_digest, withdrawn_at, card, by_id)
		VALUES (@centre, @evidence, @attempt, @item, @digest, @size, @media_type, @width, @height, @orientation, @name, @caption,
			@taken_at, @taken_zoned, @device_at, @received_at, @offset_ms, @clock_steady, @covers, @private, @looked_over, @covered, @withdrawn_at, @card, @by)
		ON CONFLICT (centre_id, evidence_id) DO NOTHING`,
		args{"centre": t.centre, "evidence": e.ID, "attempt": e.Attempt, "item": e.Item, "digest": digest, "size": e.Size,
			"media_type": e.MediaType, "width": e.Width, "height": e.Height, "orientation": e.Orientation, "name": e.Name, "caption": e.Caption,
			"taken_at": timeOrNull(e.TakenAt), "taken_zoned": e.TakenZoned, "device_at": timeOrNull(e.DeviceAt), "received_at": e.ReceivedAt,
			"offset_ms": e.OffsetMS, "clock_steady": e.Steady, "covers": append([]Cover{}, e.Covers...), "private": e.Private, "looked_over": e.LookedOver, "covered": covered,
			"withdrawn_at": timeOrNull(e.WithdrawnAt), "card": e.Card, "by": e.By})
	return n == 1, err
}

// SetPreview keeps what was made of a photo: the digest of its preview (hex) and its visual hashes.
func (t *Tx) SetPreview(ctx context.Context, id uuid.UUID, preview string, phash, dhash int64) error {
	digest, err := digestBytes(preview)
	if err != nil {
		return err
	}
	return t.mustFind(ctx, "file", "set preview", `
		UPDATE evidence SET preview_digest = @digest, phash = @phash, dhash = @dhash WHERE evidence_id = @evidence`,
		args{"evidence": id, "digest": digest, "phash": phash, "dhash": dhash})
}

// SetBare keeps the digest (hex) of a photo without what stands beside the picture.
func (t *Tx) SetBare(ctx context.Context, id uuid.UUID, bare string) error {
	digest, err := digestBytes(bare)
	if err != nil {
		return err
	}
	return t.mustFind(ctx, "file", "set bare digest", `UPDATE evidence SET bare_digest = @digest WHERE evidence_id = @evidence`,
		args{"evidence": id, "digest": digest})
}

// digestBytes reads a SHA-256 digest in hex.
func digestBytes(s string) ([]byte, error) {
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != 32 {
		return nil, fmt.Errorf("keep a digest: %q is not 64 hexadecimal digits", s)
	}
	return b, nil
}
