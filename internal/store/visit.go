package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// Visit is an external verifier's visit: for some days they read what is on one list, and write nothing but their own record.
type Visit struct {
	ID             uuid.UUID `db:"visit_id"`
	Verifier       uuid.UUID `db:"verifier_id"`
	VerifierName   string    // only read
	Link           uuid.UUID `db:"link_id"` // that opens it
	Unit           string    `db:"unit_code"`
	UnitTitle      string    // only read
	Words          string    // what it is for
	ArrangedBy     uuid.UUID
	ArrangedByName string // only read
	ArrangedAt     time.Time
	EndsAt         time.Time
	OpenedAt       time.Time // first; zero until then
	EndedAt        time.Time // before its time; zero where nobody ended it
	EndedByName    string    // only read
	Reach          int       // attempts that it can reach; only read
	Listed         int       // of them, how many are on the list; only read
	Views          int       // only read
}

// Runs says whether the visit is under way at the moment.
func (v Visit) Runs(at time.Time) bool { return v.EndedAt.IsZero() && at.Before(v.EndsAt) }

const visitColumns = `v.visit_id, v.verifier_id, p.name AS verifier_name, v.link_id, v.unit_code, u.title AS unit_title, v.words,
	v.arranged_by, b.name AS arranged_by_name, v.arranged_at, v.ends_at, coalesce(v.opened_at, '0001-01-01 00:00Z') AS opened_at,
	coalesce(v.ended_at, '0001-01-01 00:00Z') AS ended_at, coalesce(e.name, '') AS ended_by_name,
	(SELECT count(*) FROM visit_attempt x WHERE x.centre_id = v.centre_id AND x.visit_id = v.visit_id) AS reach,
	(SELECT count(*) FROM visit_pick x WHERE x.centre_id = v.centre_id AND x.visit_id = v.visit_id) AS listed,
	(SELECT count(*) FROM visit_view x WHERE x.centre_id = v.centre_id AND x.visit_id = v.visit_id) AS views`

const visitFrom = ` FROM visit v
	JOIN person p ON p.centre_id = v.centre_id AND p.person_id = v.verifier_id
	JOIN person b ON b.centre_id = v.centre_id AND b.person_id = v.arranged_by
	LEFT JOIN person e ON e.centre_id = v.centre_id AND e.person_id = v.ended_by
	JOIN qualification_unit u ON u.centre_id = v.centre_id AND u.unit_code = v.unit_code `

// VisitsMost is how many visits, notes, or views a page shows at most, the newest of them.
const VisitsMost = 200

// Visits lists the centre's visits, the newest first, at most VisitsMost.
func (s *Store) Visits(ctx context.Context, centre int64) ([]Visit, error) {
	return all[Visit](s.reading(ctx, centre), "visits", `SELECT `+visitColumns+visitFrom+` ORDER BY v.arranged_at DESC, v.visit_id LIMIT @most`,
		args{"most": VisitsMost})
}

// Visit reads one visit.
func (s *Store) Visit(ctx context.Context, centre int64, id uuid.UUID) (Visit, error) {
	return one[Visit](s.reading(ctx, centre), "visit", `SELECT `+visitColumns+visitFrom+` WHERE v.visit_id = @visit`, args{"visit": id})
}

// VisitByLink finds the visit that a link opens.
func (s *Store) VisitByLink(ctx context.Context, centre int64, link uuid.UUID) (Visit, error) {
	return one[Visit](s.reading(ctx, centre), "visit", `SELECT `+visitColumns+visitFrom+` WHERE v.link_id = @link`, args{"link": link})
}

// LockVisit reads one visit and holds it until the transaction ends.
func (t *Tx) LockVisit(ctx context.Context, id uuid.UUID) (Visit, error) {
	return one[Visit](t.reading(ctx), "visit", `SELECT `+visitColumns+visitFrom+` WHERE v.visit_id = @visit FOR UPDATE OF v`, args{"visit": id})
}

// visitable is the states in which an attempt has decisions that a verifier can look at.
const visitable = `('signed_off', 'more_to_do', 'cleared', 'claimed')`

// AddVisit keeps a visit whose link is there already, and what it can reach: every attempt at the unit with its decisions out, of
// the cohort or, where that is zero, of all. It says how many those are. With all of them listed, all are on its list at once.
func (t *Tx) AddVisit(ctx context.Context, v Visit, cohort uuid.UUID, listed bool) (int64, error) {
	_, err := t.exec(ctx, "add visit", `
		INSERT INTO visit (centre_id, visit_id, verifier_id, link_id, unit_code, words, arranged_by, arranged_at, ends_at)
		VALUES (@centre, @visit, @verifier, @link, @unit, @words, @by, @at, @ends)`,
		args{"centre": t.centre, "visit": v.ID, "verifier": v.Verifier, "link": v.Link, "unit": v.Unit, "words": v.Words,
			"by": v.ArrangedBy, "at": v.ArrangedAt, "ends": v.EndsAt})
	if err != nil {
		return 0, err
	}
	n, err := t.exec(ctx, "add what a visit reaches", `
		INSERT INTO visit_attempt (centre_id, visit_id, attempt_id)
		SELECT a.centre_id, @visit, a.attempt_id FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
		WHERE @unit = ANY(b.units) AND a.state IN `+visitable+` AND (@cohort::uuid IS NULL OR t.cohort_id = @cohort)`,
		args{"visit": v.ID, "unit": v.Unit, "cohort": uuidOrNull(cohort)})
	if err != nil || !listed {
		return n, err
	}
	_, err = t.exec(ctx, "list all that a visit reaches", `
		INSERT INTO visit_pick (centre_id, visit_id, attempt_id, by_id, at)
		SELECT x.centre_id, x.visit_id, x.attempt_id, @by, @at FROM visit_attempt x WHERE x.visit_id = @visit`,
		args{"visit": v.ID, "by": v.ArrangedBy, "at": v.ArrangedAt})
	return n, err
}

// OpenVisit notes that the visit was opened, the first time.
func (t *Tx) OpenVisit(ctx context.Context, id uuid.UUID, at time.Time) error {
	_, err := t.exec(ctx, "open visit", `UPDATE visit SET opened_at = @at WHERE visit_id = @visit AND opened_at IS NULL`, args{"visit": id, "at": at})
	return err
}

// EndVisit ends a visit before its time.
func (t *Tx) EndVisit(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "visit", "end visit", `UPDATE visit SET ended_by = @by, ended_at = @at WHERE visit_id = @visit AND ended_at IS NULL`,
		args{"visit": id, "by": by, "at": at})
}

// RelinkVisit puts another link in place of the one that opened the visit so far, which opens nothing from then on.
func (t *Tx) RelinkVisit(ctx context.Context, id, link uuid.UUID) error {
	return t.mustFind(ctx, "visit", "relink visit", `UPDATE visit SET link_id = @link WHERE visit_id = @visit`, args{"visit": id, "link": link})
}
