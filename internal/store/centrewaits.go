package store

import (
	"context"
	"time"
)

// CentreWaits is how much waits at each place of the page of the centre. Each number has its statement in centreWaits, under
// the same name.
type CentreWaits struct {
	Invited int // people who have not chosen a password yet; a verifier needs none
	Sampled int // drawn attempts that nobody has looked at, of samples that are not settled
	Actions int // open ones

	Instruments int // in use, and wrong, overdue or due within thirty days

	Standardising int // standardisations that are not closed
	Priors        int // claims of prior learning with a criterion that is not decided
	Unseen        int // claims of prior learning with a criterion that is recognised and that nobody has looked at
}

// centreWaits is one row of counts, in one round trip; @day is today.
const centreWaits = `SELECT
	(SELECT count(*) FROM person p WHERE p.password_hash = '' AND p.disabled_at IS NULL AND p.created_at < @day::date + 1
		AND EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role <> 'external_verifier')) AS invited,
	(SELECT count(*) FROM sample m JOIN sample_item i ON i.centre_id = m.centre_id AND i.sample_id = m.sample_id AND i.drawn
		WHERE m.settled_at IS NULL AND NOT EXISTS (SELECT FROM sample_outcome o
			WHERE o.centre_id = i.centre_id AND o.sample_id = i.sample_id AND o.attempt_id = i.attempt_id)) AS sampled,
	(SELECT count(*) FROM action x WHERE x.closed_at IS NULL) AS actions,
	(SELECT count(*) FROM register g WHERE g.retired_at IS NULL AND ` + registerWaits + `) AS instruments,
	(SELECT count(*) FROM standardisation s WHERE s.closed_at IS NULL) AS standardising,
	(SELECT count(*) FROM prior_learning l WHERE cardinality(l.criteria) >
		(SELECT count(*) FROM prior_decision d WHERE d.centre_id = l.centre_id AND d.prior_id = l.prior_id)) AS priors,
	(SELECT count(*) FROM prior_learning l WHERE ` + priorUnseen + ` > 0) AS unseen`

// CentreWaits counts what waits at the centre on a day.
func (s *Store) CentreWaits(ctx context.Context, centre int64, day time.Time) (CentreWaits, error) {
	return one[CentreWaits](s.reading(ctx, centre), "what waits at the centre", centreWaits, args{"day": day})
}
