package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
)

// LockEvidence reads one file's row and holds it until the transaction ends.
func (t *Tx) LockEvidence(ctx context.Context, id uuid.UUID) (Evidence, error) {
	return one[Evidence](t.reading(ctx), "file", `SELECT `+evidenceColumns+evidenceFrom+` WHERE v.evidence_id = @evidence FOR UPDATE OF v`, args{"evidence": id})
}

// AddCovers lays further covers over a photo. What was made of its bytes before is forgotten, to be made anew.
func (t *Tx) AddCovers(ctx context.Context, id uuid.UUID, covers []Cover) error {
	return t.mustFind(ctx, "file", "add covers", `
		UPDATE evidence SET covers = covers || @covers::jsonb, looked_over = true, covered_digest = NULL, preview_digest = NULL WHERE evidence_id = @evidence`,
		args{"evidence": id, "covers": covers})
}

// SetCovered keeps the digest (hex) of a photo's covered copy.
func (t *Tx) SetCovered(ctx context.Context, id uuid.UUID, covered string) error {
	digest, err := digestBytes(covered)
	if err != nil {
		return err
	}
	return t.mustFind(ctx, "file", "set covered copy", `UPDATE evidence SET covered_digest = @digest WHERE evidence_id = @evidence`,
		args{"evidence": id, "digest": digest})
}

// SetLookedOver keeps that somebody looked a photo over and found nothing more to cover. With anew, what was made of its bytes before
// is forgotten, to be made anew.
func (t *Tx) SetLookedOver(ctx context.Context, id uuid.UUID, anew bool) error {
	return t.mustFind(ctx, "file", "set looked over", `
		UPDATE evidence SET looked_over = true, covered_digest = CASE WHEN @anew THEN NULL ELSE covered_digest END,
			preview_digest = CASE WHEN @anew THEN NULL ELSE preview_digest END
		WHERE evidence_id = @evidence`, args{"evidence": id, "anew": anew})
}

// SetUndrawn keeps when a photo could not be drawn.
func (t *Tx) SetUndrawn(ctx context.Context, id uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "file", "set undrawn", `UPDATE evidence SET undrawn_at = @at WHERE evidence_id = @evidence`, args{"evidence": id, "at": at})
}

// SetCard keeps what was read of the code card in a photo: "read", "other" or "not_read".
func (t *Tx) SetCard(ctx context.Context, id uuid.UUID, card string) error {
	return t.mustFind(ctx, "file", "set card", `UPDATE evidence SET card = @card WHERE evidence_id = @evidence`, args{"evidence": id, "card": card})
}

// Withdraw notes that a file's original is withdrawn. Without covers its preview shows what the original does and goes too.
func (t *Tx) Withdraw(ctx context.Context, id uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "file", "withdraw", `
		UPDATE evidence SET withdrawn_at = @at,
			covered_digest = CASE WHEN covers = '[]' THEN NULL ELSE covered_digest END,
			preview_digest = CASE WHEN covers = '[]' THEN NULL ELSE preview_digest END
		WHERE evidence_id = @evidence AND withdrawn_at IS NULL`, args{"evidence": id, "at": at})
}

// UseBytes says, until the transaction ends, that the bytes are being made evidence: nobody takes them away meanwhile. Whether
// they are still there is to be looked at afterwards.
func (t *Tx) UseBytes(ctx context.Context, digest string) error {
	_, err := t.exec(ctx, "use bytes", `SELECT pg_advisory_xact_lock_shared(hashtextextended(@digest, 18))`, args{"digest": digest})
	return err
}

// BytesNeeded says whether evidence or a portfolio of any centre needs the bytes. Until the transaction ends no further evidence can: the
// caller may take away what is not needed.
func (t *Tx) BytesNeeded(ctx context.Context, digest string) (bool, error) {
	raw, err := digestBytes(digest)
	if err != nil {
		return false, err
	}
	if _, err := t.exec(ctx, "hold bytes", `SELECT pg_advisory_xact_lock(hashtextextended(@digest, 18))`, args{"digest": digest}); err != nil {
		return false, err
	}
	row, err := one[struct{ Needed bool }](t.reading(ctx), "answer", `SELECT bytes_needed(@digest) AS needed`, args{"digest": raw})
	if err != nil {
		return false, fmt.Errorf("ask whether bytes are needed: %w", err)
	}
	return row.Needed, nil
}

// ForgetArgs asks for bytes to be taken away that no evidence needs any more.
type ForgetArgs struct {
	Centre  int64    `json:"centre"`
	Digests []string `json:"digests"` // hex
}

// Kind names the job in the queue.
func (ForgetArgs) Kind() string { return "forget" }

// EnqueueForget asks, within the transaction, for the bytes to be taken away where nothing needs them.
func (t *Tx) EnqueueForget(ctx context.Context, digests ...string) error {
	return t.enqueue(ctx, ForgetArgs{Centre: t.centre, Digests: digests})
}

// EnqueueCopies asks, within the transaction, for the copies of a photo to be made anew, since it changed at the moment.
func (t *Tx) EnqueueCopies(ctx context.Context, evidence uuid.UUID, at time.Time) error {
	return t.enqueue(ctx, PreviewArgs{Centre: t.centre, Evidence: evidence, Anew: at.UnixMicro()})
}
