package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// CheckKind says what a person says of a draft.
type CheckKind string

// The kinds of words about a draft.
const (
	CheckAsked CheckKind = "asked"     // whoever wrote it asks for somebody else to check it
	SentBack   CheckKind = "sent_back" // somebody else says what is to be put right
)

// BriefCheck is what somebody said of one text of a draft: it stands as long as the draft has that text.
type BriefCheck struct {
	ID      uuid.UUID `db:"check_id"`
	Brief   uuid.UUID `db:"brief_id"`
	Version int
	Digest  string // of the text, hex
	Kind    CheckKind
	Words   string
	By      uuid.UUID `db:"said_by"`
	ByName  string
	At      time.Time `db:"said_at"`
}

const briefCheckSQL = `
	SELECT k.check_id, k.brief_id, k.version, k.digest, k.kind, k.words, k.said_by, p.name AS by_name, k.said_at
	FROM brief_check k JOIN person p ON p.centre_id = k.centre_id AND p.person_id = k.said_by
	WHERE k.brief_id = @brief AND k.version = @version ORDER BY k.said_at DESC, k.check_id DESC`

// BriefChecks lists what was said of a version while it was a draft, the newest first.
func (s *Store) BriefChecks(ctx context.Context, centre int64, brief uuid.UUID, version int) ([]BriefCheck, error) {
	return all[BriefCheck](s.reading(ctx, centre), "brief checks", briefCheckSQL, args{"brief": brief, "version": version})
}

// LockBriefVersion reads one version, without its source, and what was said of it; nobody can save or publish the brief
// until the transaction ends.
func (t *Tx) LockBriefVersion(ctx context.Context, brief uuid.UUID, version int) (BriefVersion, []BriefCheck, error) {
	if err := t.lockBrief(ctx, brief); err != nil {
		return BriefVersion{}, nil, err
	}
	var versions []BriefVersion
	var checks []BriefCheck
	a := args{"brief": brief, "version": version}
	r := t.reading(ctx)
	queue(r, &versions, `SELECT `+briefListColumns+briefFrom+` WHERE v.brief_id = @brief AND v.version = @version`, a)
	queue(r, &checks, briefCheckSQL, a)
	err := r.send("brief version")
	v, err := first(versions, "brief version", err)
	return v, checks, err
}

// SayOfBrief keeps what somebody says of a draft.
func (t *Tx) SayOfBrief(ctx context.Context, k BriefCheck) error {
	_, err := t.exec(ctx, "say of a draft", `
		INSERT INTO brief_check (centre_id, check_id, brief_id, version, digest, kind, words, said_by, said_at)
		VALUES (@centre, @check, @brief, @version, @digest, @kind, @words, @by, @at)`,
		args{"centre": t.centre, "check": k.ID, "brief": k.Brief, "version": k.Version, "digest": k.Digest, "kind": k.Kind,
			"words": k.Words, "by": k.By, "at": k.At})
	return err
}

// DiscardDraft throws a draft away with what was said of it. The brief itself goes too where it has no other version, so that
// its key is free again.
func (t *Tx) DiscardDraft(ctx context.Context, brief uuid.UUID, version int) error {
	n, err := t.exec(ctx, "discard draft", `DELETE FROM brief_version WHERE brief_id = @brief AND version = @version AND state = 'draft'`,
		args{"brief": brief, "version": version})
	if err != nil {
		return err
	}
	if n == 0 {
		return fault.Conflict("Version %d is no longer a draft. Load the page again to see it.", version)
	}
	_, err = t.exec(ctx, "discard brief", `
		DELETE FROM brief b WHERE b.brief_id = @brief AND NOT EXISTS (
			SELECT FROM brief_version v WHERE v.centre_id = b.centre_id AND v.brief_id = b.brief_id)`, args{"brief": brief})
	return err
}
