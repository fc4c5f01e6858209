package store

import (
	"context"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
)

// Sample is one draw under a plan.
type Sample struct {
	ID        uuid.UUID `db:"sample_id"`
	Plan      uuid.UUID `db:"plan_id"`
	PlanName  string
	Stage     SampleStage
	Share     int
	Number    int // among the plan's
	Seed      string
	Digest    string // SHA-256 of the list that it was drawn from, hex
	Listed    int
	Size      int
	Words     string    // what it would show, as it was said before it was drawn
	By        uuid.UUID `db:"drawn_by"`
	ByName    string
	At        time.Time `db:"drawn_at"`
	SettledAt time.Time // zero while it is being looked at
	Looked    int       // drawn ones with an outcome
	Found     int       // disagreed with
}

const sampleSQL = `
	SELECT s.sample_id, s.plan_id, n.name AS plan_name, n.stage, n.share, s.number, s.seed, s.digest, s.listed, s.size, s.words, s.drawn_by, p.name AS by_name, s.drawn_at,
		coalesce(s.settled_at, '0001-01-01 00:00Z') AS settled_at, coalesce(o.looked, 0) AS looked, coalesce(o.found, 0) AS found
	FROM sample s
	JOIN sampling_plan n ON n.centre_id = s.centre_id AND n.plan_id = s.plan_id
	JOIN person p ON p.centre_id = s.centre_id AND p.person_id = s.drawn_by
	CROSS JOIN LATERAL (SELECT count(*) AS looked, count(*) FILTER (WHERE x.outcome = 'disagree') AS found
		FROM sample_outcome x WHERE x.centre_id = s.centre_id AND x.sample_id = s.sample_id) o `

// SamplesMost is how many samples a list shows at most.
const SamplesMost = 100

// Samples lists the samples, the newest first, at most SamplesMost.
func (s *Store) Samples(ctx context.Context, centre int64) ([]Sample, error) {
	return all[Sample](s.reading(ctx, centre), "samples", sampleSQL+`ORDER BY s.drawn_at DESC, s.sample_id LIMIT @most`, args{"most": SamplesMost})
}

// Drawn is an attempt that was drawn.
type Drawn struct {
	Attempt      uuid.UUID `db:"attempt_id"`
	Trainee      uuid.UUID `db:"trainee_id"`
	TraineeName  string
	Title        string // of the brief version
	Number       int    // of the attempt
	State        decision.State
	Revision     int
	Assessor     uuid.UUID `db:"assessor_id"`
	AssessorName string
	Units        string
	Method       string
	Site         string
	Risk         int
	Why          []sampling.Factor
	Outcome      decision.SampleOutcome // "" before somebody looked
	Criteria     []string               // that a disagreement is about
	Words        string
	ByName       string // the sampler
	At           time.Time
	HadPart      bool // the reader had part in the decisions, or it is their own work
}

// drawnSQL reads what was drawn; @reader is whoever looks.
const drawnSQL = `
	SELECT i.attempt_id, a.trainee_id, w.name AS trainee_name, v.title, a.number, a.state, a.revision, i.assessor_id, p.name AS assessor_name,
		i.units, i.method, i.site, i.risk, i.why, coalesce(o.outcome, '') AS outcome, coalesce(r.evidence, '{}') AS criteria, coalesce(r.words, '') AS words, coalesce(r.by_name, '') AS by_name,
		coalesce(r.at, '0001-01-01 00:00Z') AS at, had_part(a.centre_id, a.attempt_id, @reader) AS had_part
	FROM sample_item i
	JOIN attempt a ON a.centre_id = i.centre_id AND a.attempt_id = i.attempt_id
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
	JOIN person w ON w.centre_id = a.centre_id AND w.person_id = a.trainee_id
	JOIN person p ON p.centre_id = i.centre_id AND p.person_id = i.assessor_id
	LEFT JOIN sample_outcome o ON o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id
	LEFT JOIN record r ON r.centre_id = o.centre_id AND r.record_id = o.record_id
	WHERE i.sample_id = @sample AND i.drawn `

// SampleStratum is how one stratum of a sample stands.
type SampleStratum struct {
	Assessor     uuid.UUID `db:"assessor_id"`
	AssessorName string
	Units        string
	Method       string
	Site         string
	Listed       int
	Drawn        int
	Looked       int
	Found        int // disagreed with
	Signed       int // still signed off, as they were when it was drawn: what can be cleared once the stratum is clear
}

// Clear says whether all that was drawn of it was looked at and nothing disagreed with.
func (s SampleStratum) Clear() bool { return s.Looked == s.Drawn && s.Found == 0 }

const strataSQL = `
	SELECT i.assessor_id, p.name AS assessor_name, i.units, i.method, i.site, count(*) AS listed, count(*) FILTER (WHERE i.drawn) AS drawn,
		count(o.outcome) AS looked, count(*) FILTER (WHERE o.outcome = 'disagree') AS found,
		count(*) FILTER (WHERE a.state = 'signed_off' AND a.signed_off_at <= s.drawn_at) AS signed
	FROM sample s
	JOIN sample_item i ON i.centre_id = s.centre_id AND i.sample_id = s.sample_id
	JOIN attempt a ON a.centre_id = i.centre_id AND a.attempt_id = i.attempt_id
	JOIN person p ON p.centre_id = i.centre_id AND p.person_id = i.assessor_id
	LEFT JOIN sample_outcome o ON o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id
	WHERE s.sample_id = @sample
	GROUP BY i.assessor_id, p.name, i.units, i.method, i.site ORDER BY p.name, i.assessor_id, i.units, i.method, i.site`

// WholeSample is a sample with a span of what was drawn, in the order of the strata, and its strata.
type WholeSample struct {
	Sample
	Drawn   []Drawn
	Strata  []SampleStratum
	Actions []Action
}

// Sample reads one sample for a reader, in one round trip; of what was drawn the span, which are Size in all.
func (s *Store) Sample(ctx context.Context, centre int64, id, reader uuid.UUID, span Span) (WholeSample, error) {
	var w WholeSample
	var rows []Sample
	r, a := s.reading(ctx, centre), args{"sample": id}
	queue(r, &rows, sampleSQL+`WHERE s.sample_id = @sample`, a)
	queue(r, &w.Drawn, drawnSQL+`ORDER BY p.name, i.assessor_id, i.units, i.method, i.site, w.name, i.attempt_id LIMIT @limit OFFSET @offset`,
		args{"sample": id, "reader": reader}.spanned(span))
	queue(r, &w.Strata, strataSQL, a)
	queue(r, &w.Actions, actionSQL+`WHERE x.source = 'sample' AND x.source_id = @sample ORDER BY x.raised_at, x.action_id`, a)
	var err error
	w.Sample, err = first(rows, "sample", r.send("sample"))
	return w, err
}

// Drawn reads one drawn attempt of a sample for a reader, with the sample.
func (s *Store) Drawn(ctx context.Context, centre int64, id, attempt, reader uuid.UUID) (m Sample, d Drawn, err error) {
	var rows []Sample
	var drawn []Drawn
	r := s.reading(ctx, centre)
	queue(r, &rows, sampleSQL+`WHERE s.sample_id = @sample`, args{"sample": id})
	queue(r, &drawn, drawnSQL+`AND i.attempt_id = @attempt`, args{"sample": id, "attempt": attempt, "reader": reader})
	if m, err = first(rows, "sample", r.send("sample")); err != nil {
		return m, d, err
	}
	d, err = first(drawn, "attempt in this sample", nil)
	return m, d, err
}

// SampleList reads what a sample was drawn from, and which of it was drawn, in the order of the attempts' ids.
func (s *Store) SampleList(ctx context.Context, centre int64, id uuid.UUID) ([]sampling.Item, []uuid.UUID, error) {
	rows, err := all[struct {
		Attempt             uuid.UUID `db:"attempt_id"`
		Assessor            uuid.UUID `db:"assessor_id"`
		Units, Method, Site string
		Risk                int
		Drawn               bool
	}](s.reading(ctx, centre), "list of a sample", `
		SELECT attempt_id, assessor_id, units, method, site, risk, drawn FROM sample_item WHERE sample_id = @sample ORDER BY attempt_id`, args{"sample": id})
	var items []sampling.Item
	var drawn []uuid.UUID
	for _, r := range rows {
		items = append(items, sampling.Item{Attempt: r.Attempt, Stratum: sampling.Stratum{Assessor: r.Assessor, Units: r.Units, Method: r.Method, Site: r.Site}, Risk: r.Risk})
		if r.Drawn {
			drawn = append(drawn, r.Attempt)
		}
	}
	return items, drawn, err
}

// AddSample keeps a draw with its whole list; why is what each item's risk is made from, drawn the places that were drawn. A
// number that the plan has already is Conflict.
func (t *Tx) AddSample(ctx context.Context, m Sample, list []sampling.Item, why [][]sampling.Factor, drawn []int) error {
	if _, err := t.exec(ctx, "add sample", `
		INSERT INTO sample (centre_id, sample_id, plan_id, number, seed, digest, listed, size, words, drawn_by, drawn_at)
		VALUES (@centre, @sample, @plan, @number, @seed, @digest, @listed, @size, @words, @by, @at)`,
		args{"centre": t.centre, "sample": m.ID, "plan": m.Plan, "number": m.Number, "seed": m.Seed, "digest": m.Digest,
			"listed": m.Listed, "size": m.Size, "words": m.Words, "by": m.By, "at": m.At}); err != nil {
		return err
	}
	n := len(list)
	attempts, assessors, risks, took := make([]uuid.UUID, n), make([]uuid.UUID, n), make([]int, n), make([]bool, n)
	units, methods, sites, whys := make([]string, n), make([]string, n), make([]string, n), make([]string, n)
	for i, it := range list {
		attempts[i], assessors[i], risks[i] = it.Attempt, it.Stratum.Assessor, it.Risk
		units[i], methods[i], sites[i] = it.Stratum.Units, it.Stratum.Method, it.Stratum.Site
		words := make([]string, len(why[i]))
		for k, f := range why[i] {
			words[k] = string(f)
		}
		whys[i] = strings.Join(words, ",")
	}
	for _, place := range drawn {
		took[place] = true
	}
	_, err := t.exec(ctx, "add sample's list", `
		INSERT INTO sample_item (centre_id, sample_id, attempt_id, assessor_id, units, method, site, risk, why, drawn)
		SELECT @centre, @sample, x.attempt, x.assessor, x.units, x.method, x.site, x.risk, string_to_array(x.why, ','), x.drawn
		FROM unnest(@attempts::uuid[], @assessors::uuid[], @units::text[], @methods::text[], @sites::text[], @risks::int[], @whys::text[], @took::bool[])
			AS x (attempt, assessor, units, method, site, risk, why, drawn) ORDER BY x.attempt`,
		args{"centre": t.centre, "sample": m.ID, "attempts": attempts, "assessors": assessors, "units": units, "methods": methods, "sites": sites,
			"risks": risks, "whys": whys, "took": took})
	return err
}

// AddSampleOutcome keeps what a sampler found of a drawn attempt, and settles the sample with its last. r is the record that says
// it. Somebody who was first is Conflict.
func (t *Tx) AddSampleOutcome(ctx context.Context, sample uuid.UUID, r decision.Record) error {
	m, err := t.LockSample(ctx, sample)
	if err != nil {
		return err
	}
	if !m.SettledAt.IsZero() {
		return fault.Conflict("This sample is settled: nothing more is looked at in it.")
	}
	n, err := t.exec(ctx, "add sample outcome", `
		INSERT INTO sample_outcome (centre_id, sample_id, attempt_id, outcome, record_id)
		SELECT i.centre_id, i.sample_id, i.attempt_id, @outcome, @record FROM sample_item i
		WHERE i.sample_id = @sample AND i.attempt_id = @attempt AND i.drawn`,
		args{"sample": sample, "attempt": r.Attempt, "outcome": r.Outcome, "record": r.ID})
	if err != nil {
		return err
	}
	if n == 0 {
		return notFound("attempt in this sample")
	}
	_, err = t.exec(ctx, "settle sample", `
		UPDATE sample SET settled_at = @at WHERE sample_id = @sample AND size = (SELECT count(*) FROM sample_outcome o WHERE o.sample_id = @sample)`,
		args{"sample": sample, "at": r.At})
	return err
}

// LockSample reads one sample and holds it until the transaction ends.
func (t *Tx) LockSample(ctx context.Context, id uuid.UUID) (Sample, error) {
	return one[Sample](t.reading(ctx), "sample", sampleSQL+`WHERE s.sample_id = @sample FOR UPDATE OF s`, args{"sample": id})
}

// EndSample settles a sample before everything was looked at: its strata with something left are not clear.
func (t *Tx) EndSample(ctx context.Context, id uuid.UUID, at time.Time) error {
	n, err := t.exec(ctx, "end sample", `UPDATE sample SET settled_at = @at WHERE sample_id = @sample AND settled_at IS NULL`, args{"sample": id, "at": at})
	if err == nil && n == 0 {
		return fault.Conflict("This sample is settled already. Load the page again to see.")
	}
	return err
}

// conflictWith says whether @person has a conflict of interest with the trainee of an attempt a, or with somebody who judged it: the rule of
// conflicts_apart in the database, for whoever clears or claims.
const conflictWith = `EXISTS (SELECT FROM conflict c CROSS JOIN LATERAL (SELECT CASE c.person_id WHEN @person THEN c.other_id ELSE c.person_id END AS other) o
		WHERE c.centre_id = a.centre_id AND c.ended_at IS NULL AND @person IN (c.person_id, c.other_id) AND (o.other = a.trainee_id OR EXISTS (
			SELECT FROM record h WHERE h.centre_id = a.centre_id AND h.attempt_id = ANY(line_of(a.centre_id, a.attempt_id))
				AND h.kind IN ('criterion_decision', 'override', 'sign_off') AND h.by_id = o.other)))`

// clearable are the attempts that a sample lets somebody clear for claim: of clear strata, still signed off as they were when it was
// drawn, that the person had no part in.
const clearable = ` FROM sample s
	JOIN sampling_plan n ON n.centre_id = s.centre_id AND n.plan_id = s.plan_id AND n.stage = 'final'
	JOIN sample_item i ON i.centre_id = s.centre_id AND i.sample_id = s.sample_id
	JOIN (
		SELECT i.assessor_id, i.units, i.method, i.site FROM sample_item i
		LEFT JOIN sample_outcome o ON o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id
		WHERE i.sample_id = @sample GROUP BY i.assessor_id, i.units, i.method, i.site
		HAVING bool_and(NOT i.drawn OR coalesce(o.outcome <> 'disagree', false))
	) x ON x.assessor_id = i.assessor_id AND x.units = i.units AND x.method = i.method AND x.site = i.site
	JOIN attempt a ON a.centre_id = i.centre_id AND a.attempt_id = i.attempt_id AND a.state = 'signed_off' AND a.signed_off_at <= s.drawn_at
	WHERE s.sample_id = @sample AND NOT had_part(a.centre_id, a.attempt_id, @person)`

// Clearable is what a sample lets somebody clear for claim.
type Clearable struct {
	Attempts []uuid.UUID // held until the transaction ends
	All      int         // with those beyond
	Apart    []string    // the trainees, by name, of work that is left out since they have a conflict of interest
}

// LockClearable holds, at most as many as said, the attempts that a sample lets somebody clear for claim, and counts all of them.
func (t *Tx) LockClearable(ctx context.Context, sample, person uuid.UUID, most int) (c Clearable, err error) {
	r, a := t.reading(ctx), args{"sample": sample, "person": person}
	var counted []int
	queueColumn(r, &c.Attempts, `SELECT a.attempt_id`+clearable+` AND NOT `+conflictWith+` ORDER BY a.attempt_id LIMIT @most FOR UPDATE OF a`,
		args{"sample": sample, "person": person, "most": most})
	queueColumn(r, &counted, `SELECT count(*)`+clearable+` AND NOT `+conflictWith, a)
	queueColumn(r, &c.Apart, `SELECT p.name FROM person p WHERE p.person_id IN (SELECT a.trainee_id`+clearable+` AND `+conflictWith+`) ORDER BY p.name, p.person_id`, a)
	c.All, err = first(counted, "attempts to clear", r.send("attempts to clear"))
	return c, err
}

// MoveAttempts appends a record to each of several held attempts and puts them all into a state. Revisions rise.
func (t *Tx) MoveAttempts(ctx context.Context, to decision.State, records []decision.Record) error {
	ids := make([]uuid.UUID, len(records))
	for i, r := range records {
		ids[i] = r.Attempt
		if err := t.AppendRecord(ctx, r); err != nil {
			return err
		}
	}
	_, err := t.exec(ctx, "move attempts", `UPDATE attempt SET state = @state, revision = revision + 1 WHERE attempt_id = ANY(@ids)`,
		args{"state": string(to), "ids": ids})
	return err
}
