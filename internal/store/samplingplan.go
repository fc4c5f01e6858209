package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
)

// SampleStage says when in an attempt's life a plan samples it.
type SampleStage string

// The stages.
const (
	Interim SampleStage = "interim" // while it is being judged
	Final   SampleStage = "final"   // signed off, before it is cleared for claim
)

// SamplingPlan is how a centre samples. It is never changed, only ended.
type SamplingPlan struct {
	ID         uuid.UUID `db:"plan_id"`
	Name       string
	Stage      SampleStage
	Unit       string    `db:"unit_code"` // "" for every unit
	Cohort     uuid.UUID `db:"cohort_id"` // zero for every cohort
	CohortName string    // only read
	Share      int       // per cent
	Weights    sampling.Weights
	Words      string    // why it is so
	By         uuid.UUID `db:"made_by"`
	ByName     string    // only read
	At         time.Time `db:"made_at"`
	EndedAt    time.Time
	Samples    int // drawn so far; only read
}

const planSQL = `
	SELECT n.plan_id, n.name, n.stage, n.unit_code, coalesce(n.cohort_id, '00000000-0000-0000-0000-000000000000') AS cohort_id, coalesce(c.name, '') AS cohort_name,
		n.share, n.weights, n.words, n.made_by, p.name AS by_name, n.made_at, coalesce(n.ended_at, '0001-01-01 00:00Z') AS ended_at,
		(SELECT coalesce(max(s.number), 0) FROM sample s WHERE s.centre_id = n.centre_id AND s.plan_id = n.plan_id) AS samples
	FROM sampling_plan n
	JOIN person p ON p.centre_id = n.centre_id AND p.person_id = n.made_by
	LEFT JOIN cohort c ON c.centre_id = n.centre_id AND c.cohort_id = n.cohort_id `

// SamplingPlans lists the plans that are followed, the newest first.
func (s *Store) SamplingPlans(ctx context.Context, centre int64) ([]SamplingPlan, error) {
	return all[SamplingPlan](s.reading(ctx, centre), "sampling plans", planSQL+`WHERE n.ended_at IS NULL ORDER BY n.made_at DESC, n.plan_id`, args{})
}

// SamplingPlan reads one plan.
func (s *Store) SamplingPlan(ctx context.Context, centre int64, id uuid.UUID) (SamplingPlan, error) {
	return one[SamplingPlan](s.reading(ctx, centre), "sampling plan", planSQL+`WHERE n.plan_id = @plan`, args{"plan": id})
}

// AddSamplingPlan keeps a plan.
func (t *Tx) AddSamplingPlan(ctx context.Context, n SamplingPlan) error {
	_, err := t.exec(ctx, "add sampling plan", `
		INSERT INTO sampling_plan (centre_id, plan_id, name, stage, unit_code, cohort_id, share, weights, words, made_by, made_at)
		VALUES (@centre, @plan, @name, @stage, @unit, @cohort, @share, @weights, @words, @by, @at)`,
		args{"centre": t.centre, "plan": n.ID, "name": n.Name, "stage": string(n.Stage), "unit": n.Unit, "cohort": uuidOrNull(n.Cohort),
			"share": n.Share, "weights": n.Weights, "words": n.Words, "by": n.By, "at": n.At})
	return err
}

// EndSamplingPlan has a plan be followed no longer; what was drawn by it stays.
func (t *Tx) EndSamplingPlan(ctx context.Context, id uuid.UUID, at time.Time) error {
	n, err := t.exec(ctx, "end sampling plan", `UPDATE sampling_plan SET ended_at = @at WHERE plan_id = @plan AND ended_at IS NULL`,
		args{"plan": id, "at": at})
	if err == nil && n == 0 {
		return fault.Conflict("This plan has ended already. Load the page again to see.")
	}
	return err
}

// ToSample is an attempt that a plan may draw now, with what the risk is made from.
type ToSample struct {
	Attempt      uuid.UUID `db:"attempt_id"`
	Assessor     uuid.UUID `db:"assessor_id"` // who signed it off, or decided last
	AssessorName string
	Units        []string
	OnSite       bool
	Observed     bool      // somebody watched the work
	Questioned   bool      // somebody asked aloud
	Brief        uuid.UUID `db:"brief_id"`
	Version      int
	Digest       string // of the version's text
	NewAssessor  bool
	NewBrief     bool
	Disagreed    bool
	NeverSampled bool
	Adjusted     bool
	Overruled    bool
	Afresh       bool
}

// ToSample lists what a plan may draw at a time: attempts of its stage, units and cohort that are in no sample of that stage which
// is still being looked at.
func (s *Store) ToSample(ctx context.Context, centre int64, n SamplingPlan, at time.Time) ([]ToSample, error) {
	return all[ToSample](s.reading(ctx, centre), "what can be sampled", toSampleSQL, n.toSample(at))
}

// ToSample is the same within the transaction that draws.
func (t *Tx) ToSample(ctx context.Context, n SamplingPlan, at time.Time) ([]ToSample, error) {
	return all[ToSample](t.reading(ctx), "what can be sampled", toSampleSQL, n.toSample(at))
}

// toSample are the arguments of toSampleSQL.
func (n SamplingPlan) toSample(at time.Time) args {
	states := []string{"signed_off"}
	judging := []string{"sign_off"}
	if n.Stage == Interim {
		states, judging = []string{"checked", "decided"}, []string{"criterion_decision"}
	}
	return args{"stage": string(n.Stage), "states": states, "judging": judging, "unit": n.Unit, "cohort": uuidOrNull(n.Cohort),
		"provisional": decision.RoleCountersigned, "recent": at.AddDate(0, 0, -sampling.NewDays), "year": at.AddDate(-1, 0, 0)}
}

// toSampleSQL goes once over the attempts and their records, and once over what was drawn in the last year.
const toSampleSQL = `
	WITH drawn AS MATERIALIZED (
		SELECT i.assessor_id, bool_or(coalesce(o.outcome = 'disagree', false)) AS disagreed
		FROM sample s
		JOIN sample_item i ON i.centre_id = s.centre_id AND i.sample_id = s.sample_id AND i.drawn
		LEFT JOIN sample_outcome o ON o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id
		WHERE s.drawn_at > @year GROUP BY i.assessor_id
	), busy AS MATERIALIZED (
		SELECT i.attempt_id FROM sample s
		JOIN sampling_plan n ON n.centre_id = s.centre_id AND n.plan_id = s.plan_id AND n.stage = @stage
		JOIN sample_item i ON i.centre_id = s.centre_id AND i.sample_id = s.sample_id
		WHERE s.settled_at IS NULL
	), said AS (
		SELECT a.centre_id, a.attempt_id, a.site <> '' AS on_site, t.brief_id, t.version, x.*
		FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id AND (@cohort::uuid IS NULL OR t.cohort_id = @cohort)
		CROSS JOIN LATERAL (
			SELECT (array_agg(r.by_id ORDER BY r.seq DESC) FILTER (WHERE r.kind = ANY(@judging)))[1] AS assessor_id,
				bool_or(r.role = @provisional AND r.kind = 'criterion_decision') AS provisional,
				bool_or(r.kind = 'observation') AS observed, bool_or(r.kind = 'oral_question') AS questioned,
				bool_or(r.kind = 'adjustment') AS adjusted, bool_or(r.kind = 'override') AS overruled,
				bool_or(r.kind = 'appeal_outcome' AND r.outcome = 'upheld' OR r.kind = 'sample_outcome' AND r.outcome = 'disagree') AS afresh
			FROM record r WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id
		) x
		WHERE a.state = ANY(@states) AND x.assessor_id IS NOT NULL AND a.attempt_id NOT IN (SELECT b.attempt_id FROM busy b)
	)
	SELECT y.attempt_id, y.assessor_id, p.name AS assessor_name, v.units, y.on_site, y.observed, y.questioned, y.brief_id, y.version, v.digest,
		y.provisional OR p.created_at > @recent AS new_assessor, v.published_at > @recent AS new_brief, coalesce(d.disagreed, false) AS disagreed,
		d.assessor_id IS NULL AS never_sampled, y.adjusted, y.overruled, y.afresh
	FROM said y
	JOIN brief_version v ON v.centre_id = y.centre_id AND v.brief_id = y.brief_id AND v.version = y.version
		AND (@unit = '' OR @unit = ANY(v.units))
	JOIN person p ON p.centre_id = v.centre_id AND p.person_id = y.assessor_id
	LEFT JOIN drawn d ON d.assessor_id = y.assessor_id
	ORDER BY y.attempt_id`
