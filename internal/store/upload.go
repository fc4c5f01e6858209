package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// Upload is a file that comes in parts, as it was announced.
type Upload struct {
	ID       uuid.UUID `db:"upload_id"` // made here
	Evidence uuid.UUID `db:"evidence_id"`
	Attempt  uuid.UUID `db:"attempt_id"`
	Item     string
	Name     string
	Caption  string
	Size     int64     // bytes of the whole file
	Digest   string    // SHA-256 of the whole file, hex
	DeviceAt time.Time // captured, by the phone; zero where unknown
	Clock
	Covers     []Cover
	LookedOver bool // somebody looked at it for what has to be covered
	StartedAt  time.Time
	By         uuid.UUID `db:"by_id"`
	Received   string    // only read: digest of the evidence that is there under its id, hex; "" where there is none
}

const uploadColumns = `u.upload_id, u.evidence_id, u.attempt_id, u.item, u.name, u.caption, u.size, encode(u.digest, 'hex') AS digest,
	coalesce(u.device_at, '0001-01-01 00:00Z') AS device_at, u.offset_ms, u.clock_steady, u.covers, u.looked_over, u.started_at, u.by_id,
	coalesce((SELECT encode(v.digest, 'hex') FROM evidence v WHERE v.evidence_id = u.evidence_id), '') AS received`

// Upload reads one upload.
func (s *Store) Upload(ctx context.Context, centre int64, id uuid.UUID) (Upload, error) {
	return one[Upload](s.reading(ctx, centre), "upload", `SELECT `+uploadColumns+` FROM upload u WHERE u.upload_id = @id`, args{"id": id})
}

// StartUpload keeps an upload and gives the row as it is kept: there is one for each piece of evidence, and the first stays
// as it is. It does not ask whether what is announced now is the same.
func (t *Tx) StartUpload(ctx context.Context, u Upload) (Upload, error) {
	digest, err := digestBytes(u.Digest)
	if err != nil {
		return Upload{}, err
	}
	if _, err := t.exec(ctx, "start upload", `
		INSERT INTO upload (centre_id, upload_id, evidence_id, attempt_id, item, name, caption, size, digest, device_at, offset_ms, clock_steady, covers, looked_over, started_at, by_id)
		VALUES (@centre, @id, @evidence, @attempt, @item, @name, @caption, @size, @digest, @device_at, @offset_ms, @clock_steady, @covers, @looked_over, @started_at, @by)
		ON CONFLICT (centre_id, evidence_id) DO NOTHING`,
		args{"centre": t.centre, "id": u.ID, "evidence": u.Evidence, "attempt": u.Attempt, "item": u.Item, "name": u.Name, "caption": u.Caption,
			"size": u.Size, "digest": digest, "device_at": timeOrNull(u.DeviceAt), "offset_ms": u.OffsetMS, "clock_steady": u.Steady,
			"covers": append([]Cover{}, u.Covers...), "looked_over": u.LookedOver, "started_at": u.StartedAt, "by": u.By}); err != nil {
		return Upload{}, err
	}
	return one[Upload](t.reading(ctx), "upload", `SELECT `+uploadColumns+` FROM upload u WHERE u.evidence_id = @evidence`, args{"evidence": u.Evidence})
}

// UnfinishedUploads counts the person's uploads whose file has not been received.
func (t *Tx) UnfinishedUploads(ctx context.Context, person uuid.UUID) (int, error) {
	r := t.reading(ctx)
	var n []int
	queueColumn(r, &n, `SELECT count(*) FROM upload u WHERE u.by_id = @person
		AND NOT EXISTS (SELECT FROM evidence v WHERE v.evidence_id = u.evidence_id)`, args{"person": person})
	if err := r.send("uploads"); err != nil {
		return 0, err
	}
	return n[0], nil
}

// DropUpload takes an upload away; one that is not there has gone already.
func (t *Tx) DropUpload(ctx context.Context, id uuid.UUID) error {
	_, err := t.exec(ctx, "drop upload", `DELETE FROM upload WHERE upload_id = @id`, args{"id": id})
	return err
}

// DropUploadsBefore takes away the centre's uploads that were started before the given time, and gives their ids.
func (t *Tx) DropUploadsBefore(ctx context.Context, before time.Time) ([]uuid.UUID, error) {
	r := t.reading(ctx)
	var ids []uuid.UUID
	queueColumn(r, &ids, `DELETE FROM upload WHERE started_at < @before RETURNING upload_id`, args{"before": before})
	return ids, r.send("uploads")
}

// CentresWithUploadsBefore lists the centres that have uploads started before the given time, by the function that may read
// before a centre is known.
func (s *Store) CentresWithUploadsBefore(ctx context.Context, before time.Time) ([]int64, error) {
	r := s.outside(ctx)
	var centres []int64
	queueColumn(r, &centres, `SELECT centre_id FROM lookup_old_uploads(@before) ORDER BY centre_id`, args{"before": before})
	return centres, r.send("uploads")
}
