package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// RetentionKind is a kind of record that is kept for a time.
type RetentionKind string

// The kinds.
const (
	KeepDecisions RetentionKind = "decisions" // what was decided of an attempt, with sampling
	KeepWork      RetentionKind = "work"      // what the trainee handed in
	KeepDetails   RetentionKind = "details"   // a person's name and registrations
)

// RetentionRule says how long a kind of record is kept.
type RetentionRule struct {
	ID     uuid.UUID `db:"rule_id"`
	Unit   string    `db:"unit_code"` // "" for every unit
	Kind   RetentionKind
	Months int       // after the last thing that happened
	Words  string    // where it comes from
	By     uuid.UUID `db:"by_id"`
	ByName string    // only read
	At     time.Time
}

// RetentionRules lists the rules in force: of each unit and kind the newest.
func (s *Store) RetentionRules(ctx context.Context, centre int64) ([]RetentionRule, error) {
	return all[RetentionRule](s.reading(ctx, centre), "retention rules", retentionRules, args{})
}

const retentionRules = `
	SELECT DISTINCT ON (r.unit_code, r.kind) r.rule_id, r.unit_code, r.kind, r.months, r.words, r.by_id, p.name AS by_name, r.at
	FROM retention_rule r JOIN person p ON p.centre_id = r.centre_id AND p.person_id = r.by_id ORDER BY r.unit_code, r.kind, r.at DESC, r.rule_id DESC`

// RetentionRules is Store.RetentionRules within the transaction.
func (t *Tx) RetentionRules(ctx context.Context) ([]RetentionRule, error) {
	return all[RetentionRule](t.reading(ctx), "retention rules", retentionRules, args{})
}

// AddRetentionRule keeps a rule; it takes the place of the one before of the same unit and kind.
func (t *Tx) AddRetentionRule(ctx context.Context, r RetentionRule) error {
	_, err := t.exec(ctx, "add retention rule", `
		INSERT INTO retention_rule (centre_id, rule_id, unit_code, kind, months, words, by_id, at) VALUES (@centre, @rule, @unit, @kind, @months, @words, @by, @at)`,
		args{"centre": t.centre, "rule": r.ID, "unit": r.Unit, "kind": string(r.Kind), "months": r.Months, "words": r.Words, "by": r.By, "at": r.At})
	return err
}

// Over is a trainee's attempts at one task of which nothing is under way any more, as far as keeping them goes.
type Over struct {
	Attempts []uuid.UUID // that are not erased, by number
	Trainee  uuid.UUID   `db:"trainee_id"`
	Units    []string    // that the brief bears on
	EndedAt  time.Time   // the last thing that happened, or the day on which the trainee left
}

// Overs lists what is over, neither held nor under an inquiry, and whose time is up at a moment: the months of the longest rule that
// applies have gone by since the last thing that happened. An inquiry that is open keeps the attempts of whom it concerns, and those that
// they had part in. Where the trainee left, their last day there stands for the withdrawal, whenever that was entered, and what was signed
// off is over without a claim. With of it is asked of the task of that one attempt alone; zero is all. The longest ago comes first, at most PurgeMost. Where one attempt of a task is over and
// another is not, none is listed: what was met is carried from one to the next. One that is destroyed and not erased, since somebody
// placed a hold just then, is listed again.
func (t *Tx) Overs(ctx context.Context, rules []RetentionRule, at time.Time, of uuid.UUID) ([]Over, error) {
	var units []string
	var months []int
	for _, r := range rules {
		if r.Kind != KeepDetails {
			units, months = append(units, r.Unit), append(months, r.Months)
		}
	}
	return all[Over](t.reading(ctx), "what is over", `
		SELECT * FROM (
			SELECT array_agg(a.attempt_id ORDER BY a.number) FILTER (WHERE e.item_id IS NULL) AS attempts, a.trainee_id, b.units,
				max(greatest(l.at, coalesce(a.handed_over_at, a.opened_at, t.set_at), w.left_at)) AS ended_at
			FROM attempt a
			JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
			LEFT JOIN LATERAL (SELECT max(r.at) AS at FROM record r WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id
				AND r.kind NOT IN ('archived', 'destroyed', 'trainee_withdrawn', 'withdrawal_taken_back')) l ON true
			LEFT JOIN LATERAL (SELECT (x.left_on + time '12:00') AT TIME ZONE 'UTC' AS left_at FROM withdrawal x
				WHERE x.centre_id = a.centre_id AND x.trainee_id = a.trainee_id AND x.cohort_id = t.cohort_id AND x.back_at IS NULL) w ON true
			LEFT JOIN erasure e ON e.centre_id = a.centre_id AND e.item_id = a.attempt_id
			WHERE @of::uuid IS NULL OR (a.task_id, a.trainee_id) = (SELECT x.task_id, x.trainee_id FROM attempt x WHERE x.attempt_id = @of)
			GROUP BY a.centre_id, a.task_id, a.trainee_id, b.units
			HAVING bool_and(a.state IN ('more_to_do', 'claimed', 'archived', 'destroyed', 'withdrawn', 'set_aside')
					OR a.state IN ('signed_off', 'cleared') AND w.left_at IS NOT NULL) AND NOT bool_and(e.item_id IS NOT NULL)
				AND NOT bool_or(EXISTS (SELECT FROM legal_hold h WHERE h.centre_id = a.centre_id AND h.person_id = a.trainee_id AND h.lifted_at IS NULL
					AND (h.attempt_id IS NULL OR h.attempt_id = a.attempt_id)))
				AND NOT bool_or(EXISTS (SELECT FROM inquiry i WHERE i.centre_id = a.centre_id AND i.closed_at IS NULL AND had_part(a.centre_id, a.attempt_id, i.concerns)))
		) o
		WHERE o.ended_at + make_interval(months => (SELECT max(x.months) FROM unnest(@units::text[], @months::int[]) AS x (unit, months)
			WHERE x.unit = '' OR x.unit = ANY(o.units))) < @at
		ORDER BY o.ended_at, o.trainee_id, o.attempts LIMIT @most`, args{"units": units, "months": months, "at": at, "of": uuidOrNull(of), "most": PurgeMost})
}

// Gone is a trainee of whom nothing is left but their details.
type Gone struct {
	Person  uuid.UUID `db:"person_id"`
	EndedAt time.Time // when the last of their attempts was erased, or they left
}

// Gones lists trainees who are nothing else here, whose attempts are all erased, or who left every cohort without any, since before a moment, who are not held and whom no open
// inquiry concerns. With of it is asked of that one person alone; zero is all.
func (t *Tx) Gones(ctx context.Context, before time.Time, of uuid.UUID) ([]Gone, error) {
	return all[Gone](t.reading(ctx), "who is gone", `
		SELECT p.person_id, g.ended_at FROM person p
		CROSS JOIN LATERAL (SELECT max(o.at) AS ended_at FROM (
			SELECT e.at FROM erasure e WHERE e.centre_id = p.centre_id AND e.person_id = p.person_id
			UNION ALL SELECT (w.left_on + time '12:00') AT TIME ZONE 'UTC' FROM withdrawal w WHERE w.centre_id = p.centre_id AND w.trainee_id = p.person_id AND w.back_at IS NULL
				AND NOT EXISTS (SELECT FROM cohort_member m WHERE m.centre_id = p.centre_id AND m.person_id = p.person_id AND m.part = 'trainee' AND NOT `+memberLeft+`)
		) o) g
		WHERE g.ended_at < @before AND (@of::uuid IS NULL OR p.person_id = @of) AND NOT EXISTS (SELECT FROM erasure x WHERE x.centre_id = p.centre_id AND x.item_id = p.person_id)
			AND NOT EXISTS (SELECT FROM inquiry i WHERE i.centre_id = p.centre_id AND i.concerns = p.person_id AND i.closed_at IS NULL)
			AND NOT EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role <> 'trainee')
			AND NOT EXISTS (SELECT FROM attempt a WHERE a.centre_id = p.centre_id AND a.trainee_id = p.person_id
				AND NOT EXISTS (SELECT FROM erasure x WHERE x.centre_id = a.centre_id AND x.item_id = a.attempt_id))
			AND NOT EXISTS (SELECT FROM legal_hold h WHERE h.centre_id = p.centre_id AND h.person_id = p.person_id AND h.lifted_at IS NULL)
		ORDER BY g.ended_at, p.person_id LIMIT @most`, args{"before": before, "of": uuidOrNull(of), "most": PurgeMost})
}

// LegalHold keeps what is kept of a person, or one attempt of theirs, from being erased.
type LegalHold struct {
	ID           uuid.UUID `db:"hold_id"`
	Person       uuid.UUID `db:"person_id"`
	PersonName   string    // only read
	Attempt      uuid.UUID `db:"attempt_id"` // zero for all of the person's
	Words        string
	PlacedBy     uuid.UUID
	PlacedByName string // only read
	PlacedAt     time.Time
	LiftedByName string // only read; "" while it holds
	LiftedAt     time.Time
	LiftedWords  string
}

// Holds lists the centre's legal holds, those that hold first, the newest first, at most two hundred.
func (s *Store) Holds(ctx context.Context, centre int64) ([]LegalHold, error) {
	return all[LegalHold](s.reading(ctx, centre), "legal holds", `
		SELECT h.hold_id, h.person_id, p.name AS person_name, coalesce(h.attempt_id, '00000000-0000-0000-0000-000000000000') AS attempt_id, h.words,
			h.placed_by, b.name AS placed_by_name, h.placed_at, coalesce(l.name, '') AS lifted_by_name,
			coalesce(h.lifted_at, '0001-01-01 00:00Z') AS lifted_at, h.lifted_words
		FROM legal_hold h
		JOIN person p ON p.centre_id = h.centre_id AND p.person_id = h.person_id
		JOIN person b ON b.centre_id = h.centre_id AND b.person_id = h.placed_by
		LEFT JOIN person l ON l.centre_id = h.centre_id AND l.person_id = h.lifted_by
		ORDER BY h.lifted_at IS NOT NULL, h.placed_at DESC, h.hold_id LIMIT 200`, args{})
}

// AddHold places a hold.
func (t *Tx) AddHold(ctx context.Context, h LegalHold) error {
	_, err := t.exec(ctx, "add legal hold", `
		INSERT INTO legal_hold (centre_id, hold_id, person_id, attempt_id, words, placed_by, placed_at) VALUES (@centre, @hold, @person, @attempt, @words, @by, @at)`,
		args{"centre": t.centre, "hold": h.ID, "person": h.Person, "attempt": uuidOrNull(h.Attempt), "words": h.Words, "by": h.PlacedBy, "at": h.PlacedAt})
	return err
}

// LiftHold lifts a hold that holds.
func (t *Tx) LiftHold(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	return t.mustFind(ctx, "hold", "lift legal hold", `
		UPDATE legal_hold SET lifted_by = @by, lifted_at = @at, lifted_words = @words WHERE hold_id = @hold AND lifted_at IS NULL`,
		args{"hold": id, "by": by, "at": at, "words": words})
}

// Held says whether an attempt of a person's, or, where that is zero, anything of theirs, is held, or under an open inquiry, as Overs has
// it. Nobody places a hold on them, or opens an inquiry into them, until the transaction ends: the person's row is locked, which both
// refer to.
func (t *Tx) Held(ctx context.Context, person, attempt uuid.UUID) (bool, error) {
	r := t.reading(ctx)
	var locked []uuid.UUID
	var held []bool
	queueColumn(r, &locked, `SELECT person_id FROM person WHERE person_id = @person FOR UPDATE`, args{"person": person})
	queueColumn(r, &held, `SELECT EXISTS (SELECT FROM legal_hold h WHERE h.person_id = @person AND h.lifted_at IS NULL
			AND (h.attempt_id IS NULL OR @attempt::uuid IS NULL OR h.attempt_id = @attempt))
		OR EXISTS (SELECT FROM inquiry i WHERE i.closed_at IS NULL AND (i.concerns = @person OR had_part(i.centre_id, @attempt, i.concerns)))`,
		args{"person": person, "attempt": uuidOrNull(attempt)})
	return first(held, "person", r.send("legal holds"))
}
