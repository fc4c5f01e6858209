package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
)

// ActionSource says what asked for an action.
type ActionSource string

// The sources of actions.
const (
	ActionFromSample          ActionSource = "sample"
	ActionFromVisit           ActionSource = "visit"
	ActionFromStandardisation ActionSource = "standardisation"
	ActionFromRuling          ActionSource = "ruling"
	ActionFromPrior           ActionSource = "prior_learning"
)

// Action is something that somebody is to do by a day. It is open until somebody other than its owner closes it.
type Action struct {
	ID           uuid.UUID `db:"action_id"`
	Source       ActionSource
	SourceID     uuid.UUID // the sample, visit, standardisation, ruling or claim of prior learning that it is because of
	Attempt      uuid.UUID `db:"attempt_id"` // zero where it is not about one attempt
	Words        string
	Owner        uuid.UUID `db:"owner_id"`
	OwnerName    string    // only read
	Due          time.Time `db:"due_on"` // a date
	RaisedBy     uuid.UUID
	RaisedByName string // only read
	RaisedAt     time.Time
	ClosedBy     uuid.UUID // zero while it is open
	ClosedByName string
	ClosedAt     time.Time
	ClosedWords  string
}

// Open says whether it is still to be done.
func (a Action) Open() bool { return a.ClosedAt.IsZero() }

// Late says whether it is open and its day is past; today is the day at the centre.
func (a Action) Late(today time.Time) bool { return a.Open() && a.Due.Before(today) }

// actionSource is what asked for an action x: those of rulings were once kept as a standardisation's, and stay so, since the decision
// log commits to them.
const actionSource = `CASE WHEN x.source = 'standardisation' AND EXISTS (SELECT FROM ruling g WHERE g.centre_id = x.centre_id AND g.ruling_id = x.source_id)
	THEN 'ruling' ELSE x.source END`

const actionSQL = `
	SELECT x.action_id, ` + actionSource + ` AS source, x.source_id, coalesce(x.attempt_id, '00000000-0000-0000-0000-000000000000') AS attempt_id, x.words,
		x.owner_id, o.name AS owner_name, x.due_on, x.raised_by, r.name AS raised_by_name, x.raised_at,
		coalesce(x.closed_by, '00000000-0000-0000-0000-000000000000') AS closed_by, coalesce(c.name, '') AS closed_by_name,
		coalesce(x.closed_at, '0001-01-01 00:00Z') AS closed_at, x.closed_words
	FROM action x
	JOIN person o ON o.centre_id = x.centre_id AND o.person_id = x.owner_id
	JOIN person r ON r.centre_id = x.centre_id AND r.person_id = x.raised_by
	LEFT JOIN person c ON c.centre_id = x.centre_id AND c.person_id = x.closed_by `

// ActionsMost is how many actions a list shows at most.
const ActionsMost = 200

// OpenActions lists what is still to be done, the earliest day first: a page of it, and how much there is in all. Owner narrows it
// to one person's, zero is everybody's.
func (s *Store) OpenActions(ctx context.Context, centre int64, owner uuid.UUID, offset, limit int) (page []Action, in int, err error) {
	const which = ` WHERE x.closed_at IS NULL AND (@owner::uuid IS NULL OR x.owner_id = @owner) `
	r := s.reading(ctx, centre)
	var counts []int
	queueColumn(r, &counts, `SELECT count(*) FROM action x`+which, args{"owner": uuidOrNull(owner)})
	queue(r, &page, actionSQL+which+`ORDER BY x.due_on, x.action_id LIMIT @limit OFFSET @offset`, args{"owner": uuidOrNull(owner), "limit": limit, "offset": offset})
	in, err = first(counts, "actions", r.send("actions"))
	return page, in, err
}

// ActionsOf lists what a sample, visit, standardisation or ruling asked for, open and closed, the newest first, at most ActionsMost.
func (s *Store) ActionsOf(ctx context.Context, centre int64, source ActionSource, id uuid.UUID) ([]Action, error) {
	r := s.reading(ctx, centre)
	return all[Action](r, "actions", actionSQL+`
		WHERE x.source IN (@source, 'standardisation') AND x.source_id = @id AND `+actionSource+` = @source ORDER BY x.raised_at DESC, x.action_id DESC LIMIT @most`,
		args{"source": string(source), "id": id, "most": ActionsMost})
}

// LockAction reads one action and holds it until the transaction ends.
func (t *Tx) LockAction(ctx context.Context, id uuid.UUID) (Action, error) {
	return one[Action](t.reading(ctx), "action", actionSQL+`WHERE x.action_id = @action FOR UPDATE OF x`, args{"action": id})
}

// AddAction keeps an action; the names and what closes it are not written.
func (t *Tx) AddAction(ctx context.Context, a Action) error {
	_, err := t.exec(ctx, "add action", `
		INSERT INTO action (centre_id, action_id, source, source_id, attempt_id, words, owner_id, due_on, raised_by, raised_at)
		VALUES (@centre, @action, @source, @source_id, @attempt, @words, @owner, @due, @by, @at)`,
		args{"centre": t.centre, "action": a.ID, "source": string(a.Source), "source_id": a.SourceID, "attempt": uuidOrNull(a.Attempt),
			"words": a.Words, "owner": a.Owner, "due": a.Due, "by": a.RaisedBy, "at": a.RaisedAt})
	if err == nil {
		t.logStatement(ledger.KindAction, a.ID)
	}
	return err
}

// CloseAction closes an open action with words on what was done. One that is closed already is Conflict, and the owner's own
// word is Forbidden.
func (t *Tx) CloseAction(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	n, err := t.exec(ctx, "close action", `
		UPDATE action SET closed_by = @by, closed_at = @at, closed_words = @words WHERE action_id = @action AND closed_at IS NULL`,
		args{"action": id, "by": by, "at": at, "words": words})
	if err == nil && n == 0 {
		return fault.Conflict("Somebody has closed this action, or it is not here. Load the page again to see.")
	}
	if err == nil {
		t.logStatement(ledger.KindActionClosed, id)
	}
	return err
}
