package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// AlikeSetting is from where on two photos are worth a look: their hashes differ in so few bits, and they correlate so well.
type AlikeSetting struct {
	Pattern     int // bits of the pattern hash, at most
	Edges       int // or of the edge hash
	Correlation float64
	Words       string // why; "" while the centre has no mind of its own
	ByName      string
	At          time.Time
}

// alikeSetting is the centre's, or what a trial on 160 drawn scenes came to (photo.VisualHash, photo.Grey).
const alikeSetting = `
	SELECT s.pattern, s.edges, s.correlation, s.words, p.name AS by_name, s.at FROM alike_setting s
	JOIN person p ON p.centre_id = s.centre_id AND p.person_id = s.by_id
	UNION ALL SELECT 6, 4, 0.95, '', '', '0001-01-01 00:00Z' ORDER BY at DESC LIMIT 1`

// AlikeSetting reads from where on two photos are worth a look.
func (s *Store) AlikeSetting(ctx context.Context, centre int64) (AlikeSetting, error) {
	return one[AlikeSetting](s.reading(ctx, centre), "setting", alikeSetting, args{})
}

// SetAlike keeps from where on two photos are worth a look, from now on.
func (t *Tx) SetAlike(ctx context.Context, id, by uuid.UUID, k AlikeSetting) error {
	_, err := t.exec(ctx, "set what is alike", `
		INSERT INTO alike_setting (centre_id, setting_id, pattern, edges, correlation, words, by_id, at)
		VALUES (@centre, @setting, @pattern, @edges, @correlation, @words, @by, @at)`,
		args{"centre": t.centre, "setting": id, "pattern": k.Pattern, "edges": k.Edges, "correlation": k.Correlation, "words": k.Words, "by": by, "at": k.At})
	return err
}

// Candidate is a photo of another trainee that may look like one.
type Candidate struct {
	Evidence       uuid.UUID `db:"evidence_id"`
	Attempt        uuid.UUID `db:"attempt_id"`
	Item           string
	Brief          uuid.UUID `db:"brief_id"`
	Version        int       // of the brief
	BriefDigest    string    // hex
	PreviewDigest  string    // hex; "" where it has none
	Exact          bool      // the very bytes
	Pattern, Edges int       // bits that differ; 64 where one of them has no hash
}

// Candidates finds the photos of other trainees that are the same bytes as one, or whose hashes lie near enough; at most so
// many, those at the same item of the same brief first.
func (s *Store) Candidates(ctx context.Context, centre int64, evidence uuid.UUID, k AlikeSetting, most int) ([]Candidate, error) {
	return all[Candidate](s.reading(ctx, centre), "photos that may be alike", `
		WITH near AS (
			SELECT o.evidence_id, o.attempt_id, o.item, coalesce(encode(o.preview_digest, 'hex'), '') AS preview_digest, o.digest = m.digest AS exact,
				CASE WHEN m.phash <> 0 AND o.phash <> 0 THEN bit_count((m.phash # o.phash)::bit(64)) ELSE 64 END AS pattern,
				CASE WHEN m.phash <> 0 AND o.phash <> 0 THEN bit_count((m.dhash # o.dhash)::bit(64)) ELSE 64 END AS edges,
				o.item = m.item AND ot.brief_id = t.brief_id AS same_item, o.centre_id, ot.brief_id, ot.version
			FROM evidence m
			JOIN attempt a ON a.centre_id = m.centre_id AND a.attempt_id = m.attempt_id
			JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			JOIN evidence o ON o.centre_id = m.centre_id AND o.media_type LIKE 'image/%'
			JOIN attempt oa ON oa.centre_id = o.centre_id AND oa.attempt_id = o.attempt_id AND oa.trainee_id <> a.trainee_id
			JOIN task ot ON ot.centre_id = oa.centre_id AND ot.task_id = oa.task_id
			WHERE m.evidence_id = @evidence AND m.media_type LIKE 'image/%' AND (o.withdrawn_at IS NULL OR o.digest = m.digest)
		)
		SELECT evidence_id, attempt_id, item, preview_digest, exact, pattern, edges, brief_id, version, v.digest AS brief_digest
		FROM near JOIN brief_version v USING (centre_id, brief_id, version)
		WHERE exact OR pattern <= @pattern OR edges <= @edges ORDER BY exact DESC, same_item DESC, pattern + edges, evidence_id LIMIT @most`,
		args{"evidence": evidence, "pattern": k.Pattern, "edges": k.Edges, "most": most})
}

// Pair is two photos that have something in common, one of them the one that was asked about.
type Pair struct {
	Other          uuid.UUID
	Exact          bool
	Pattern, Edges int
	Correlation    float64
	Stage          string // of the brief of the one that was asked about
	OtherStage     string
	FoundAt        time.Time
}

// SetPairs keeps what a photo has in common with others, in place of what was kept of it before.
func (t *Tx) SetPairs(ctx context.Context, evidence uuid.UUID, pairs []Pair) error {
	if _, err := t.exec(ctx, "forget pairs", `DELETE FROM picture_pair WHERE evidence_id = @evidence OR other_id = @evidence`, args{"evidence": evidence}); err != nil {
		return err
	}
	for _, p := range pairs {
		a := args{"centre": t.centre, "evidence": evidence, "other": p.Other, "exact": p.Exact, "pattern": p.Pattern, "edges": p.Edges,
			"correlation": p.Correlation, "stage": p.Stage, "other_stage": p.OtherStage, "at": p.FoundAt}
		if _, err := t.exec(ctx, "keep a pair", `
			INSERT INTO picture_pair (centre_id, evidence_id, other_id, exact, pattern, edges, correlation, stage, other_stage, found_at)
			VALUES (@centre, least(@evidence::uuid, @other::uuid), greatest(@evidence::uuid, @other::uuid), @exact, @pattern, @edges, @correlation,
				CASE WHEN @evidence::uuid < @other::uuid THEN @stage ELSE @other_stage END, CASE WHEN @evidence::uuid < @other::uuid THEN @other_stage ELSE @stage END, @at)
			ON CONFLICT (centre_id, evidence_id, other_id) DO UPDATE SET exact = excluded.exact, pattern = excluded.pattern, edges = excluded.edges,
				correlation = excluded.correlation, found_at = excluded.found_at`, a); err != nil {
			return err
		}
	}
	return nil
}
