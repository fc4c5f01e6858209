package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// PortfolioSet is the portfolios of a cohort for one unit, or of everybody on a visit's list for its unit, asked for at once, with how
// far they have come.
type PortfolioSet struct {
	ID              uuid.UUID `db:"set_id"`
	Cohort          uuid.UUID `db:"cohort_id"` // zero where it is of a visit
	Visit           uuid.UUID `db:"visit_id"`  // zero where it is of a cohort
	CohortName      string    // only read, as all below but who asked and when
	VerifierName    string    // whose visit it is
	Unit            string    `db:"unit_code"`
	RequestedBy     uuid.UUID
	RequestedByName string
	RequestedAt     time.Time
	StoppedByName   string    // "" where nobody stopped it
	StoppedAt       time.Time // zero likewise
	Total           int
	Ready           int
	Building        int
	Failed          int
	Stopped         int
}

// Left is how many have yet to be built.
func (s PortfolioSet) Left() int { return s.Total - s.Ready - s.Failed - s.Stopped }

const portfolioSetSQL = `
	SELECT g.set_id, coalesce(g.cohort_id, '00000000-0000-0000-0000-000000000000') AS cohort_id, coalesce(g.visit_id, '00000000-0000-0000-0000-000000000000') AS visit_id,
		coalesce(k.name, '') AS cohort_name, coalesce(y.name, '') AS verifier_name, g.unit_code, g.requested_by, q.name AS requested_by_name, g.requested_at,
		coalesce(x.name, '') AS stopped_by_name, coalesce(g.stopped_at, '0001-01-01 00:00Z') AS stopped_at, n.total, n.ready, n.building, n.failed, n.stopped
	FROM portfolio_set g
	LEFT JOIN cohort k ON k.centre_id = g.centre_id AND k.cohort_id = g.cohort_id
	LEFT JOIN visit v ON v.centre_id = g.centre_id AND v.visit_id = g.visit_id
	LEFT JOIN person y ON y.centre_id = v.centre_id AND y.person_id = v.verifier_id
	JOIN person q ON q.centre_id = g.centre_id AND q.person_id = g.requested_by
	LEFT JOIN person x ON x.centre_id = g.centre_id AND x.person_id = g.stopped_by
	CROSS JOIN LATERAL (SELECT count(*) AS total, count(*) FILTER (WHERE f.state = 'ready') AS ready, count(*) FILTER (WHERE f.state = 'building') AS building,
		count(*) FILTER (WHERE f.state = 'failed') AS failed, count(*) FILTER (WHERE f.state = 'stopped') AS stopped
		FROM portfolio f WHERE f.centre_id = g.centre_id AND f.set_id = g.set_id) n `

// portfolioSetsMost is how many sets are listed.
const portfolioSetsMost = 20

// PortfolioSets lists the newest sets of the given cohorts; of all where none is given.
func (s *Store) PortfolioSets(ctx context.Context, centre int64, cohorts []uuid.UUID) ([]PortfolioSet, error) {
	return all[PortfolioSet](s.reading(ctx, centre), "portfolios of cohorts", portfolioSetSQL+`
		WHERE @cohorts::uuid[] IS NULL OR g.cohort_id = ANY(@cohorts) ORDER BY g.requested_at DESC, g.set_id LIMIT @most`, args{"cohorts": cohorts, "most": portfolioSetsMost})
}

// PortfolioSet reads one set.
func (s *Store) PortfolioSet(ctx context.Context, centre int64, id uuid.UUID) (PortfolioSet, error) {
	return one[PortfolioSet](s.reading(ctx, centre), "portfolios asked for at once", portfolioSetSQL+`WHERE g.set_id = @set`, args{"set": id})
}

// VisitSet reads the set that was asked for last for a visit's list; none where nobody asked.
func (s *Store) VisitSet(ctx context.Context, centre int64, visit uuid.UUID) ([]PortfolioSet, error) {
	return visitSet(s.reading(ctx, centre), visit)
}

// VisitSet is the same within the transaction.
func (t *Tx) VisitSet(ctx context.Context, visit uuid.UUID) ([]PortfolioSet, error) {
	return visitSet(t.reading(ctx), visit)
}

func visitSet(r *reader, visit uuid.UUID) ([]PortfolioSet, error) {
	return all[PortfolioSet](r, "portfolios for a visit", portfolioSetSQL+`WHERE g.visit_id = @visit ORDER BY g.requested_at DESC, g.set_id LIMIT 1`, args{"visit": visit})
}

// VisitTrainees lists the trainees who have an attempt on the visit's list.
func (t *Tx) VisitTrainees(ctx context.Context, visit uuid.UUID) ([]uuid.UUID, error) {
	r := t.reading(ctx)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT DISTINCT a.trainee_id FROM visit_pick k JOIN attempt a ON a.centre_id = k.centre_id AND a.attempt_id = k.attempt_id
		WHERE k.visit_id = @visit ORDER BY a.trainee_id`, args{"visit": visit})
	return ids, r.send("trainees on a visit's list")
}

// SetTrainees lists the trainees of a cohort who were set a task whose brief bears on the unit, in any cohort.
func (s *Store) SetTrainees(ctx context.Context, centre int64, cohort uuid.UUID, unit string) ([]uuid.UUID, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT m.person_id FROM cohort_member m
		WHERE m.cohort_id = @cohort AND m.part = 'trainee' AND EXISTS (SELECT FROM attempt a
			JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
			WHERE a.centre_id = m.centre_id AND a.trainee_id = m.person_id AND @unit = ANY(v.units))
		ORDER BY m.person_id`, args{"cohort": cohort, "unit": unit})
	return ids, r.send("trainees of a cohort")
}

// AddPortfolioSet keeps a set with its portfolios, each waiting.
func (t *Tx) AddPortfolioSet(ctx context.Context, s PortfolioSet, portfolios, trainees []uuid.UUID) error {
	if _, err := t.exec(ctx, "ask for portfolios", `
		INSERT INTO portfolio_set (centre_id, set_id, cohort_id, visit_id, unit_code, requested_by, requested_at) VALUES (@centre, @set, @cohort, @visit, @unit, @by, @at)`,
		args{"centre": t.centre, "set": s.ID, "cohort": uuidOrNull(s.Cohort), "visit": uuidOrNull(s.Visit), "unit": s.Unit, "by": s.RequestedBy, "at": s.RequestedAt}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "ask for portfolios", `
		INSERT INTO portfolio (centre_id, portfolio_id, trainee_id, unit_code, requested_by, requested_at, state, set_id)
		SELECT @centre, p, w, @unit, @by, @at, 'waiting', @set FROM unnest(@portfolios::uuid[], @trainees::uuid[]) AS x (p, w)`,
		args{"centre": t.centre, "set": s.ID, "unit": s.Unit, "by": s.RequestedBy, "at": s.RequestedAt, "portfolios": portfolios, "trainees": trainees})
	return err
}

// StopPortfolioSet has those that are not ready never be built; one that is finished or stopped is Conflict.
func (t *Tx) StopPortfolioSet(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	n, err := t.exec(ctx, "stop portfolios", `UPDATE portfolio SET state = 'stopped' WHERE set_id = @set AND state IN ('waiting', 'building')`, args{"set": id})
	if err != nil {
		return err
	}
	if n == 0 {
		return fault.Conflict("Nothing of this is under way any more. Load the page again to see.")
	}
	_, err = t.exec(ctx, "stop portfolios", `UPDATE portfolio_set SET stopped_by = @by, stopped_at = @at WHERE set_id = @set AND stopped_at IS NULL`,
		args{"set": id, "by": by, "at": at})
	return err
}

// StartPortfolio says that a portfolio is being built; false where it was built, given up or stopped.
func (s *Store) StartPortfolio(ctx context.Context, centre int64, id uuid.UUID) (started bool, err error) {
	err = s.Write(ctx, centre, func(t *Tx) error {
		n, err := t.exec(ctx, "start a portfolio", `UPDATE portfolio SET state = 'building' WHERE portfolio_id = @portfolio AND state IN ('waiting', 'building')`, args{"portfolio": id})
		started = n == 1
		return err
	})
	return started, err
}
