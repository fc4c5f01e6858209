package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// Claiming is what is known of one unit for the trainees of cohorts.
type Claiming struct {
	Cohorts  []string       // those that were asked for, by name; none for every one
	Trainees []ClaimTrainee // by name
}

// ClaimTrainee is one trainee's work for a unit.
type ClaimTrainee struct {
	Trainee       uuid.UUID
	Name          string
	Cohorts       []string  // that they are in, by name
	Left          bool      // they were withdrawn from each of these
	ClaimedAt     time.Time // zero where it was not claimed
	Attempts      []decision.ClaimAttempt
	Registrations []AwardRegistration
	Prior         map[string]decision.ClaimPrior // criteria met by prior learning, by UNIT/code
}

// unitWork is one attempt of a trainee's at a brief of the unit.
type unitWork struct {
	Trainee  uuid.UUID `db:"trainee_id"`
	Attempt  uuid.UUID `db:"attempt_id"`
	Title    string
	Number   int
	State    decision.State
	Met      []string
	Actions  int
	Conflict bool
	Apart    bool
	FirstAt  time.Time
	LastAt   time.Time
}

// The people that a claim is about: the trainees of the cohorts @who, of every cohort where there are none; or themselves.
const (
	claimCohorts  = `(SELECT m.person_id FROM cohort_member m WHERE m.part = 'trainee' AND (cardinality(@who::uuid[]) = 0 OR m.cohort_id = ANY(@who)))`
	claimTrainees = `(SELECT m.person_id FROM cohort_member m WHERE m.part = 'trainee' AND m.person_id = ANY(@who::uuid[]))`
)

// unitWorkSQL has an attempt a row, wherever the trainee did it, with what stands on the unit's criteria. It was judged by whoever decided
// what stands, of what is carried over in the earlier attempts too; it was assessed from the first decision on, there or here, whether or
// not that still stands.
const unitWorkSQL = `
	SELECT a.trainee_id, a.attempt_id, v.title, a.number, a.state, d.met, d.first_at, d.last_at,
		(SELECT count(*) FROM action x WHERE x.centre_id = a.centre_id AND x.attempt_id = a.attempt_id AND x.closed_at IS NULL) AS actions,
		EXISTS (SELECT FROM conflict c WHERE c.centre_id = a.centre_id AND c.ended_at IS NULL
			AND (c.person_id = a.trainee_id AND c.other_id = ANY(d.judges) OR c.other_id = a.trainee_id AND c.person_id = ANY(d.judges))) AS conflict,
		` + conflictWith + ` AS apart
	FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version AND @unit = ANY(v.units)
	CROSS JOIN LATERAL (
		SELECT coalesce(array_agg(r.subject ORDER BY r.subject) FILTER (WHERE r.own AND r.stands AND r.outcome = 'met'), '{}') AS met,
			array_agg(DISTINCT r.by_id) FILTER (WHERE r.stands AND (r.own OR r.carried)) AS judges,
			coalesce(min(r.at) FILTER (WHERE r.outcome <> 'taken_back'), '0001-01-01 00:00Z') AS first_at,
			coalesce(max(r.at) FILTER (WHERE r.own AND r.stands), '0001-01-01 00:00Z') AS last_at
		FROM (SELECT r.*, bool_or(r.own AND r.stands AND r.outcome = 'met' AND r.value <> '') OVER (PARTITION BY r.subject) AS carried
			FROM (SELECT r.subject, r.outcome, r.value, r.by_id, r.at, r.attempt_id = a.attempt_id AS own,
					NOT EXISTS (SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id) AS stands
				FROM record r WHERE r.centre_id = a.centre_id AND r.kind = 'criterion_decision' AND starts_with(r.subject, @unit || '/')
					AND r.attempt_id = ANY(CASE WHEN a.carried_from IS NULL THEN ARRAY[a.attempt_id] ELSE line_of(a.centre_id, a.attempt_id) END)) r) r
	) d
	WHERE a.state NOT IN ('withdrawn', 'destroyed', 'set_aside') AND a.trainee_id IN `

// Claiming reads what is known of a unit for cohorts, for every one where none is named, for a person who would claim, in one round trip. A cohort that is not
// here is NotFound.
func (s *Store) Claiming(ctx context.Context, centre int64, unit string, cohorts []uuid.UUID, person uuid.UUID) (Claiming, error) {
	r := s.reading(ctx, centre)
	cohorts = append([]uuid.UUID{}, cohorts...) // none is not NULL
	var names []string
	queueColumn(r, &names, `SELECT name FROM cohort WHERE cohort_id = ANY(@cohorts::uuid[]) ORDER BY name, cohort_id`, args{"cohorts": cohorts})
	c, err := readClaiming(r, unit, claimCohorts, cohorts, person)
	if err == nil && len(names) < len(cohorts) {
		err = notFound("cohort")
	}
	c.Cohorts = names
	return c, err
}

// LockClaiming reads the same of some trainees within the transaction that claims, and holds their attempts: nobody returns, suspends or
// clears one meanwhile.
func (t *Tx) LockClaiming(ctx context.Context, unit string, trainees []uuid.UUID, person uuid.UUID) (Claiming, error) {
	r := t.reading(ctx)
	var held []uuid.UUID
	queueColumn(r, &held, `SELECT a.attempt_id FROM attempt a WHERE a.trainee_id = ANY(@who::uuid[]) ORDER BY a.attempt_id FOR UPDATE`, args{"who": trainees})
	return readClaiming(r, unit, claimTrainees, trainees, person)
}

func readClaiming(r *reader, unit, who string, ids []uuid.UUID, person uuid.UUID) (c Claiming, err error) {
	var rows []unitWork
	var registrations []AwardRegistration
	var claimed []struct {
		Trainee uuid.UUID `db:"trainee_id"`
		At      time.Time `db:"made_at"`
	}
	var prior []PriorMet
	var people []struct {
		Person  uuid.UUID `db:"person_id"`
		Name    string
		Cohorts []string
		Gone    bool
	}
	of, a := args{"who": ids}, args{"who": ids, "unit": unit}
	queue(r, &people, `SELECT p.person_id, p.name, array_agg(c.name ORDER BY c.name) AS cohorts, bool_and(`+memberLeft+`) AS gone FROM person p
		JOIN cohort_member m ON m.centre_id = p.centre_id AND m.person_id = p.person_id AND m.part = 'trainee'
		JOIN cohort c ON c.centre_id = m.centre_id AND c.cohort_id = m.cohort_id
		WHERE p.person_id IN `+who+` GROUP BY p.centre_id, p.person_id ORDER BY p.name, p.person_id`, of)
	queue(r, &rows, unitWorkSQL+who+` ORDER BY a.trainee_id, t.set_at, a.task_id, a.number`, args{"who": ids, "unit": unit, "person": person})
	queue(r, &registrations, `SELECT `+awardRegistrationColumns+` FROM award_registration g
		WHERE g.person_id IN `+who+` AND g.unit_code IN ('', @unit) AND g.taken_back_at IS NULL ORDER BY g.registered_on, g.registration_id`, a)
	queue(r, &claimed, `SELECT i.trainee_id, c.made_at FROM claim_item i JOIN claim c ON c.centre_id = i.centre_id AND c.claim_id = i.claim_id
		WHERE i.trainee_id IN `+who+` AND i.unit_code = @unit ORDER BY i.trainee_id`, a)
	queue(r, &prior, priorMet(`IN `+who), of)
	if err := r.send("what can be claimed"); err != nil {
		return Claiming{}, err
	}
	at := map[uuid.UUID]*ClaimTrainee{}
	c.Trainees = make([]ClaimTrainee, len(people))
	for i, p := range people {
		c.Trainees[i] = ClaimTrainee{Trainee: p.Person, Name: p.Name, Cohorts: p.Cohorts, Left: p.Gone, Prior: map[string]decision.ClaimPrior{}}
		at[p.Person] = &c.Trainees[i]
	}
	for _, w := range rows {
		k := at[w.Trainee]
		k.Attempts = append(k.Attempts, decision.ClaimAttempt{ID: w.Attempt, Title: w.Title, Number: w.Number, State: w.State, Met: w.Met,
			Actions: w.Actions, Conflict: w.Conflict, Apart: w.Apart, FirstAt: w.FirstAt, LastAt: w.LastAt})
	}
	for _, g := range registrations {
		at[g.Person].Registrations = append(at[g.Person].Registrations, g)
	}
	for _, m := range prior {
		at[m.Trainee].Prior[m.Criterion] = decision.ClaimPrior{At: m.At, Seen: m.Seen != "", Acts: m.Acts}
	}
	for _, w := range claimed {
		at[w.Trainee].ClaimedAt = w.At
	}
	return c, nil
}

// ClaimMade is certificates of one unit that were claimed together.
type ClaimMade struct {
	ID     uuid.UUID `db:"claim_id"`
	Unit   string    `db:"unit_code"`
	Title  string    // of the unit
	Words  string
	By     uuid.UUID `db:"made_by"`
	ByName string
	At     time.Time `db:"made_at"`
	Count  int
}

// ClaimItem is one trainee's unit in a claim, as it stood.
type ClaimItem struct {
	Trainee  uuid.UUID `db:"trainee_id"`
	Name     string    // only read
	Number   string    // with the awarding organisation
	MetOn    time.Time // a date
	Attempts []uuid.UUID
	// Prior is criteria met by prior learning, as UNIT/code; nil in claims from before that was kept.
	Prior []string
}

const claimColumns = `c.claim_id, c.unit_code, u.title, c.words, c.made_by, p.name AS by_name, c.made_at,
	(SELECT count(*) FROM claim_item i WHERE i.centre_id = c.centre_id AND i.claim_id = c.claim_id) AS count `

const claimFrom = ` FROM claim c
	JOIN qualification_unit u ON u.centre_id = c.centre_id AND u.unit_code = c.unit_code
	JOIN person p ON p.centre_id = c.centre_id AND p.person_id = c.made_by `

// Claims lists the claims, the newest first, and says how many there are.
func (s *Store) Claims(ctx context.Context, centre int64, span Span) ([]ClaimMade, int, error) {
	return paged[ClaimMade](s.reading(ctx, centre), "claims", claimColumns, claimFrom, `c.made_at DESC, c.claim_id`, args{}, span)
}

// Claim reads one claim with its trainees by name.
func (s *Store) Claim(ctx context.Context, centre int64, id uuid.UUID) (ClaimMade, []ClaimItem, error) {
	var rows []ClaimMade
	var items []ClaimItem
	r, a := s.reading(ctx, centre), args{"claim": id}
	queue(r, &rows, `SELECT `+claimColumns+claimFrom+`WHERE c.claim_id = @claim`, a)
	queue(r, &items, `SELECT i.trainee_id, p.name, i.number, i.met_on, i.attempts, i.prior FROM claim_item i JOIN person p ON p.centre_id = i.centre_id AND p.person_id = i.trainee_id
		WHERE i.claim_id = @claim ORDER BY p.name, i.trainee_id`, a)
	c, err := first(rows, "claim", r.send("claim"))
	return c, items, err
}

// AddClaim keeps a claim with its trainees. A unit that was claimed before for one of them is Conflict.
func (t *Tx) AddClaim(ctx context.Context, c ClaimMade, items []ClaimItem) error {
	if _, err := t.exec(ctx, "add claim", `
		INSERT INTO claim (centre_id, claim_id, unit_code, words, made_by, made_at) VALUES (@centre, @claim, @unit, @words, @by, @at)`,
		args{"centre": t.centre, "claim": c.ID, "unit": c.Unit, "words": c.Words, "by": c.By, "at": c.At}); err != nil {
		return err
	}
	for _, i := range items {
		t.later(`
			INSERT INTO claim_item (centre_id, claim_id, trainee_id, unit_code, number, met_on, attempts, prior)
			VALUES (@centre, @claim, @trainee, @unit, @number, @met_on, @attempts, @prior)`,
			args{"centre": t.centre, "claim": c.ID, "trainee": i.Trainee, "unit": c.Unit, "number": i.Number, "met_on": i.MetOn, "attempts": append([]uuid.UUID{}, i.Attempts...), "prior": append([]string{}, i.Prior...)},
			func(int64) error { return nil })
	}
	return nil
}
