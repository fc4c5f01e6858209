package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/sampling"
)

// LogProofs is what a portfolio carries of its centre's log.
type LogProofs struct {
	Keys       []LogKey
	Checkpoint LogCheckpoint   // the first that was signed with the portfolio's own entry in it
	Witnesses  []string        // public keys of those who signed it along
	Entries    []LogEntry      // by index, all under that checkpoint
	Earlier    []LogCheckpoint // at which the newest portfolios before it were made, the smallest first
}

// earlierMost is how many portfolios before it a portfolio can be held against (our own value: a proof is some 800 bytes).
const earlierMost = 100

// LogProofs reads the portfolio's own entry, those of the given records and about the given things, and those that tell of keys. It
// is NotFound before the log was signed with the own entry in it. A record that has no entry is an error.
func (s *Store) LogProofs(ctx context.Context, centre, own int64, subjects, records []uuid.UUID) (LogProofs, error) {
	r := s.reading(ctx, centre)
	var p LogProofs
	var signed []LogCheckpoint
	queue(r, &p.Keys, `SELECT `+logKeyColumns+` FROM log_key k ORDER BY k.made_at, k.key_id`, args{})
	queue(r, &signed, `SELECT `+logCheckpointColumns+` FROM log_checkpoint c WHERE c.centre_id = @centre AND c.size > @own ORDER BY c.size LIMIT 1`,
		args{"centre": centre, "own": own})
	queue(r, &p.Earlier, `SELECT DISTINCT ON (c.size) `+logCheckpointColumns+`
		FROM (SELECT f.centre_id, f.portfolio_id FROM portfolio f ORDER BY f.requested_at DESC, f.portfolio_id LIMIT @most) f
		JOIN log_entry e ON e.centre_id = f.centre_id AND e.subject_id = f.portfolio_id AND e.idx < @own
		CROSS JOIN LATERAL (SELECT * FROM log_checkpoint c WHERE c.centre_id = e.centre_id AND c.size > e.idx ORDER BY c.size LIMIT 1) c
		ORDER BY c.size`, args{"own": own, "most": earlierMost})
	var err error
	if p.Checkpoint, err = first(signed, "checkpoint of the log", r.send("the log's proofs")); err != nil {
		return p, err
	}
	p.Earlier = slices.DeleteFunc(p.Earlier, func(c LogCheckpoint) bool { return c.Size >= p.Checkpoint.Size })
	for _, k := range p.Keys {
		subjects = append(subjects, KeySubject(k.Text))
	}
	return p, s.proofEntries(ctx, centre, own, subjects, records, &p)
}

// WitnessedCheckpoint reads the first signed state of at least so many entries that the witness of that name signed along, or any of
// them where the name is "". It is NotFound where nobody did.
func (s *Store) WitnessedCheckpoint(ctx context.Context, centre, size int64, witness string) (LogCheckpoint, error) {
	return one[LogCheckpoint](s.reading(ctx, centre), "checkpoint of the log", `SELECT `+logCheckpointColumns+` FROM log_checkpoint c
		WHERE c.centre_id = @centre AND c.size >= @size AND EXISTS (SELECT FROM log_cosignature g
			WHERE g.centre_id = c.centre_id AND g.size = c.size AND (@witness = '' OR g.name = @witness)) ORDER BY c.size LIMIT 1`,
		args{"centre": centre, "size": size, "witness": witness})
}

// KeySubject is the subject of the entry that tells of a key of the log.
func KeySubject(key string) uuid.UUID { return uuid.NewSHA1(uuid.NameSpaceOID, []byte(key)) }

func (s *Store) proofEntries(ctx context.Context, centre, own int64, subjects, records []uuid.UUID, p *LogProofs) error {
	r, a := s.reading(ctx, centre), args{"size": p.Checkpoint.Size, "own": own, "subjects": subjects, "records": records}
	const which = ` e.idx < @size AND (e.idx = @own OR e.record_id = ANY(@records) OR e.record_id IS NULL AND e.subject_id = ANY(@subjects))`
	queue(r, &p.Entries, `SELECT `+logEntryColumns+` FROM log_entry e WHERE`+which+` ORDER BY e.idx`, a)
	queueOpenings(r, &p.Entries, ` WHERE`+which+` ORDER BY o.idx, o.name`, a)
	queueColumn(r, &p.Witnesses, `SELECT g.vkey FROM log_cosignature g WHERE g.size = @size ORDER BY g.at, g.name`, args{"size": p.Checkpoint.Size})
	if err := r.send("the log's entries"); err != nil {
		return err
	}
	logged := map[uuid.UUID]bool{}
	for _, e := range p.Entries {
		logged[e.Record] = true
	}
	for _, id := range records {
		if !logged[id] {
			return fmt.Errorf("the record %s has no entry in the signed log", id)
		}
	}
	return nil
}

// DrawnAttempt is an attempt that a sample drew, with what came of it.
type DrawnAttempt struct {
	Sample   uuid.UUID `db:"sample_id"`
	Attempt  uuid.UUID `db:"attempt_id"`
	Plan     string
	DrawnBy  string
	DrawnAt  time.Time
	Why      []sampling.Factor
	Outcome  decision.SampleOutcome // "" before somebody looked, as all below
	Words    string
	Sampler  string
	Role     string
	LookedAt time.Time
}

// SamplesOfAttempts lists the samples that drew one of the attempts, in the order of drawing.
func (s *Store) SamplesOfAttempts(ctx context.Context, centre int64, attempts []uuid.UUID) ([]DrawnAttempt, error) {
	return all[DrawnAttempt](s.reading(ctx, centre), "samples", `
		SELECT i.sample_id, i.attempt_id, n.name AS plan, p.name AS drawn_by, s.drawn_at, i.why, coalesce(o.outcome, '') AS outcome, coalesce(r.words, '') AS words,
			coalesce(r.by_name, '') AS sampler, coalesce(r.role, '') AS role, coalesce(r.at, '0001-01-01 00:00Z') AS looked_at
		FROM sample_item i
		JOIN sample s ON s.centre_id = i.centre_id AND s.sample_id = i.sample_id
		JOIN sampling_plan n ON n.centre_id = s.centre_id AND n.plan_id = s.plan_id
		JOIN person p ON p.centre_id = s.centre_id AND p.person_id = s.drawn_by
		LEFT JOIN sample_outcome o ON o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id
		LEFT JOIN record r ON r.centre_id = o.centre_id AND r.record_id = o.record_id
		WHERE i.drawn AND i.attempt_id = ANY(@attempts) ORDER BY s.drawn_at, i.sample_id, i.attempt_id`, args{"attempts": attempts})
}
