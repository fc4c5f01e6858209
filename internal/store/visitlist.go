package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// VisitAttempt is one attempt that a visit can reach.
type VisitAttempt struct {
	ID          uuid.UUID `db:"attempt_id"`
	Number      int
	State       decision.State
	Trainee     uuid.UUID `db:"trainee_id"`
	TraineeName string
	BriefTitle  string
	CohortName  string
	Tutor       string    // who signed it off, or sent it back; "" where nobody did
	DecidedAt   time.Time // then; zero where nobody did
	PickedAt    time.Time // put on the list; zero where it is not on it
	PickedBy    uuid.UUID
	Draw        int // in which draw; 0 where it was not drawn
	Looked      int // how often the verifier looked at it
}

// What a visit can reach is on its list, or it is not. Asked as an outer join without a row the second would be taken for a rare thing,
// and planned by way of every brief with every cohort.
const (
	isListed   = `k.at AS picked_at, k.by_id AS picked_by, coalesce(k.number, 0) AS draw`
	onList     = ` JOIN visit_pick k ON ` + ofPick + ` WHERE x.visit_id = @visit`
	isUnlisted = `'0001-01-01 00:00Z'::timestamptz AS picked_at, '00000000-0000-0000-0000-000000000000'::uuid AS picked_by, 0 AS draw`
	offList    = ` WHERE x.visit_id = @visit AND NOT EXISTS (SELECT FROM visit_pick k WHERE ` + ofPick + `)`
	ofPick     = `k.centre_id = x.centre_id AND k.visit_id = x.visit_id AND k.attempt_id = x.attempt_id`
)

// visitAttempts lists a page of what a visit can reach: who signed what off and how often it was looked at is found out for that page
// alone.
func visitAttempts(picked, which, order string) string {
	return `
	WITH page AS (
		SELECT x.centre_id, x.visit_id, x.attempt_id, a.number, a.state, a.trainee_id, p.name AS trainee_name, b.title AS brief_title, c.name AS cohort_name,
			` + picked + `
		FROM visit_attempt x
		JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id` + which + ` ORDER BY ` + order + ` LIMIT @most OFFSET @offset
	)
	SELECT x.attempt_id, x.number, x.state, x.trainee_id, x.trainee_name, x.brief_title, x.cohort_name, x.picked_at, x.picked_by, x.draw,
		coalesce(d.by_name, '') AS tutor, coalesce(d.at, '0001-01-01 00:00Z') AS decided_at,
		(SELECT count(*) FROM visit_view w WHERE w.centre_id = x.centre_id AND w.visit_id = x.visit_id AND w.subject_id = x.attempt_id) AS looked
	FROM page x
	LEFT JOIN LATERAL (SELECT r.by_name, r.at FROM record r WHERE r.centre_id = x.centre_id AND r.attempt_id = x.attempt_id
		AND r.kind IN ('sign_off', 'more_to_do') ORDER BY r.seq DESC LIMIT 1) d ON true
	ORDER BY ` + order
}

// VisitPage is how many attempts of a visit stand on one page.
const VisitPage = 50

// VisitListed lists what is on a visit's list, a page of it: as it was put there, by trainee within that.
func (s *Store) VisitListed(ctx context.Context, centre int64, visit uuid.UUID, offset int) ([]VisitAttempt, error) {
	return all[VisitAttempt](s.reading(ctx, centre), "visit's list", visitAttempts(isListed, onList, "picked_at, trainee_name, brief_title, number, attempt_id"),
		args{"visit": visit, "most": VisitPage, "offset": offset})
}

// VisitUnlisted lists what a visit can reach and has not on its list, a page of it, by trainee.
func (s *Store) VisitUnlisted(ctx context.Context, centre int64, visit uuid.UUID, offset int) ([]VisitAttempt, error) {
	return all[VisitAttempt](s.reading(ctx, centre), "what a visit reaches", visitAttempts(isUnlisted, offList, "trainee_name, brief_title, number, attempt_id"),
		args{"visit": visit, "most": VisitPage, "offset": offset})
}

// VisitLists says whether the attempt is on the visit's list.
func (s *Store) VisitLists(ctx context.Context, centre int64, visit, attempt uuid.UUID) (bool, error) {
	found, err := all[struct{ Found bool }](s.reading(ctx, centre), "visit's list",
		`SELECT true AS found FROM visit_pick k WHERE k.visit_id = @visit AND k.attempt_id = @attempt`, args{"visit": visit, "attempt": attempt})
	return len(found) == 1, err
}

// Undrawn is the ids of what a visit can reach and has not on its list, in their order: what a draw is made from.
func (t *Tx) Undrawn(ctx context.Context, visit uuid.UUID) ([]uuid.UUID, error) {
	r := t.reading(ctx)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT x.attempt_id FROM visit_attempt x WHERE x.visit_id = @visit
		AND NOT EXISTS (SELECT FROM visit_pick k WHERE k.centre_id = x.centre_id AND k.visit_id = x.visit_id AND k.attempt_id = x.attempt_id)
		ORDER BY x.attempt_id`, args{"visit": visit})
	return ids, r.send("what a visit reaches")
}

// VisitDraw is a draw of the verifier's own, that can be made again from its seed and the list it was made from.
type VisitDraw struct {
	Number int
	Seed   string // 32 hexadecimal digits
	Digest string // SHA-256 of the list, hex
	Listed int    // how many it was drawn from
	Size   int
	By     uuid.UUID `db:"by_id"`
	At     time.Time
}

// VisitDraws lists a visit's draws in their order.
func (s *Store) VisitDraws(ctx context.Context, centre int64, visit uuid.UUID) ([]VisitDraw, error) {
	return all[VisitDraw](s.reading(ctx, centre), "visit's draws", `
		SELECT d.number, d.seed, d.digest, d.listed, d.size, d.by_id, d.at FROM visit_draw d WHERE d.visit_id = @visit ORDER BY d.number LIMIT @most`,
		args{"visit": visit, "most": VisitsMost})
}

// AddVisitDraw keeps a draw under the next number of the visit, which is locked, and puts what was drawn on the list.
func (t *Tx) AddVisitDraw(ctx context.Context, visit uuid.UUID, d VisitDraw, drawn []uuid.UUID) error {
	if _, err := t.exec(ctx, "add visit's draw", `
		INSERT INTO visit_draw (centre_id, visit_id, number, seed, digest, listed, size, by_id, at)
		SELECT @centre, @visit, 1 + count(*), @seed, @digest, @listed, @size, @by, @at FROM visit_draw d WHERE d.visit_id = @visit`,
		args{"centre": t.centre, "visit": visit, "seed": d.Seed, "digest": d.Digest, "listed": d.Listed, "size": d.Size, "by": d.By, "at": d.At}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "list what was drawn", `
		INSERT INTO visit_pick (centre_id, visit_id, attempt_id, number, by_id, at)
		SELECT @centre, @visit, x.id, (SELECT max(d.number) FROM visit_draw d WHERE d.visit_id = @visit), @by, @at FROM unnest(@drawn::uuid[]) AS x (id)`,
		args{"centre": t.centre, "visit": visit, "drawn": drawn, "by": d.By, "at": d.At})
	return err
}

// PickForVisit puts an attempt that the visit can reach on its list; again has no effect. One that it cannot reach is NotFound.
func (t *Tx) PickForVisit(ctx context.Context, visit, attempt, by uuid.UUID, at time.Time) error {
	if _, err := one[struct{ Found bool }](t.reading(ctx), "attempt",
		`SELECT true AS found FROM visit_attempt x WHERE x.visit_id = @visit AND x.attempt_id = @attempt`, args{"visit": visit, "attempt": attempt}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "list attempt", `
		INSERT INTO visit_pick (centre_id, visit_id, attempt_id, by_id, at) VALUES (@centre, @visit, @attempt, @by, @at)
		ON CONFLICT (centre_id, visit_id, attempt_id) DO NOTHING`, args{"centre": t.centre, "visit": visit, "attempt": attempt, "by": by, "at": at})
	return err
}

// VisitPortfolios lists the newest finished portfolio of each trainee who has an attempt on the visit's list, for its unit.
func (s *Store) VisitPortfolios(ctx context.Context, centre int64, visit uuid.UUID) ([]Portfolio, error) {
	return all[Portfolio](s.reading(ctx, centre), "portfolios", `
		SELECT DISTINCT ON (p.name, f.trainee_id) `+portfolioColumns+portfolioFrom+visitPortfolios+`
		ORDER BY p.name, f.trainee_id, f.built_at DESC LIMIT @most`, args{"visit": visit, "most": VisitsMost})
}

// VisitPortfolio reads a finished portfolio that the visit can read; NotFound for any other.
func (s *Store) VisitPortfolio(ctx context.Context, centre int64, visit, id uuid.UUID) (Portfolio, error) {
	return one[Portfolio](s.reading(ctx, centre), "portfolio", `SELECT `+portfolioColumns+portfolioFrom+visitPortfolios+` AND f.portfolio_id = @portfolio`,
		args{"visit": visit, "portfolio": id})
}

const visitPortfolios = ` JOIN visit v ON v.centre_id = f.centre_id AND v.unit_code = f.unit_code
	WHERE v.visit_id = @visit AND f.state = 'ready' AND EXISTS (SELECT FROM visit_pick k JOIN attempt a ON a.centre_id = k.centre_id AND a.attempt_id = k.attempt_id
		WHERE k.centre_id = v.centre_id AND k.visit_id = v.visit_id AND a.trainee_id = f.trainee_id)`
