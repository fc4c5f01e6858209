package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// PurgeMost bounds what is proposed to be erased at once.
const PurgeMost = 2000

// Purge is what one person proposes to erase and another approves.
type Purge struct {
	ID             uuid.UUID `db:"purge_id"`
	ProposedBy     uuid.UUID
	ProposedByName string // only read
	ProposedAt     time.Time
	ApprovedBy     uuid.UUID // zero until then
	ApprovedByName string    // only read
	ApprovedAt     time.Time
	DroppedByName  string // only read; "" where it was not dropped
	DroppedAt      time.Time
	DoneAt         time.Time
	Items          int // only read
	Erased         int // of them; only read
}

const purgeSQL = `
	SELECT g.purge_id, g.proposed_by, p.name AS proposed_by_name, g.proposed_at, coalesce(g.approved_by, '00000000-0000-0000-0000-000000000000') AS approved_by,
		coalesce(a.name, '') AS approved_by_name, coalesce(g.approved_at, '0001-01-01 00:00Z') AS approved_at, coalesce(d.name, '') AS dropped_by_name,
		coalesce(g.dropped_at, '0001-01-01 00:00Z') AS dropped_at, coalesce(g.done_at, '0001-01-01 00:00Z') AS done_at,
		(SELECT count(*) FROM purge_item i WHERE i.centre_id = g.centre_id AND i.purge_id = g.purge_id) AS items,
		(SELECT count(*) FROM purge_item i JOIN erasure e ON e.centre_id = i.centre_id AND e.item_id = i.item_id WHERE i.centre_id = g.centre_id AND i.purge_id = g.purge_id) AS erased
	FROM purge g
	JOIN person p ON p.centre_id = g.centre_id AND p.person_id = g.proposed_by
	LEFT JOIN person a ON a.centre_id = g.centre_id AND a.person_id = g.approved_by
	LEFT JOIN person d ON d.centre_id = g.centre_id AND d.person_id = g.dropped_by `

// Purges lists the centre's purges, the newest first, at most fifty.
func (s *Store) Purges(ctx context.Context, centre int64) ([]Purge, error) {
	return all[Purge](s.reading(ctx, centre), "purges", purgeSQL+`ORDER BY g.proposed_at DESC, g.purge_id LIMIT 50`, args{})
}

// Purge reads one purge.
func (s *Store) Purge(ctx context.Context, centre int64, id uuid.UUID) (Purge, error) {
	return one[Purge](s.reading(ctx, centre), "purge", purgeSQL+`WHERE g.purge_id = @purge`, args{"purge": id})
}

// LockPurge reads one purge and holds it until the transaction ends.
func (t *Tx) LockPurge(ctx context.Context, id uuid.UUID) (Purge, error) {
	return one[Purge](t.reading(ctx), "purge", purgeSQL+`WHERE g.purge_id = @purge FOR UPDATE OF g`, args{"purge": id})
}

// PurgeItem is one thing of a purge: an attempt, or the details of a person.
type PurgeItem struct {
	Item       uuid.UUID `db:"item_id"` // the attempt's id, or the person's
	Person     uuid.UUID `db:"person_id"`
	PersonName string    // only read
	Attempt    uuid.UUID `db:"attempt_id"` // zero for a person's details
	About      string    // what it is in words; only read
	Due        time.Time `db:"due_on"` // since when
	Rule       string    // by which rule, in words
	Held       bool      // only read
	ErasedAt   time.Time // only read; zero until then
}

const purgeItemSQL = `
	SELECT i.item_id, i.person_id, p.name AS person_name, coalesce(i.attempt_id, '00000000-0000-0000-0000-000000000000') AS attempt_id,
		coalesce(b.title || ', attempt ' || a.number, 'name and details') AS about, i.due_on, i.rule,
		EXISTS (SELECT FROM legal_hold h WHERE h.centre_id = i.centre_id AND h.person_id = i.person_id AND h.lifted_at IS NULL
			AND (h.attempt_id IS NULL OR i.attempt_id IS NULL OR h.attempt_id = i.attempt_id)) AS held,
		coalesce(e.at, '0001-01-01 00:00Z') AS erased_at
	FROM purge_item i
	JOIN person p ON p.centre_id = i.centre_id AND p.person_id = i.person_id
	LEFT JOIN attempt a ON a.centre_id = i.centre_id AND a.attempt_id = i.attempt_id
	LEFT JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	LEFT JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
	LEFT JOIN erasure e ON e.centre_id = i.centre_id AND e.item_id = i.item_id
	WHERE i.purge_id = @purge `

// PurgeItems lists what a purge names, a page of it, the longest due first.
func (s *Store) PurgeItems(ctx context.Context, centre int64, purge uuid.UUID, offset int) ([]PurgeItem, error) {
	return all[PurgeItem](s.reading(ctx, centre), "purge", purgeItemSQL+`ORDER BY i.due_on, p.name, i.item_id LIMIT @most OFFSET @offset`,
		args{"purge": purge, "most": VisitPage, "offset": offset})
}

// ToErase lists what of an approved purge is neither erased nor held, at most n of it: attempts first.
func (t *Tx) ToErase(ctx context.Context, purge uuid.UUID, n int) ([]PurgeItem, error) {
	return all[PurgeItem](t.reading(ctx), "purge", purgeItemSQL+`AND e.item_id IS NULL
		AND NOT EXISTS (SELECT FROM legal_hold h WHERE h.centre_id = i.centre_id AND h.person_id = i.person_id AND h.lifted_at IS NULL
			AND (h.attempt_id IS NULL OR i.attempt_id IS NULL OR h.attempt_id = i.attempt_id))
		ORDER BY i.attempt_id IS NULL, i.due_on, i.item_id LIMIT @most`, args{"purge": purge, "most": n})
}

// AddPurge keeps what is proposed.
func (t *Tx) AddPurge(ctx context.Context, p Purge, items []PurgeItem) error {
	if _, err := t.exec(ctx, "add purge", `INSERT INTO purge (centre_id, purge_id, proposed_by, proposed_at) VALUES (@centre, @purge, @by, @at)`,
		args{"centre": t.centre, "purge": p.ID, "by": p.ProposedBy, "at": p.ProposedAt}); err != nil {
		return err
	}
	var ids, people []uuid.UUID
	var attempts []*uuid.UUID
	var dues []time.Time
	var rules []string
	for _, i := range items {
		ids, people, attempts = append(ids, i.Item), append(people, i.Person), append(attempts, uuidOrNull(i.Attempt))
		dues, rules = append(dues, i.Due), append(rules, i.Rule)
	}
	_, err := t.exec(ctx, "add what a purge names", `
		INSERT INTO purge_item (centre_id, purge_id, item_id, person_id, attempt_id, due_on, rule)
		SELECT @centre, @purge, x.item, x.person, x.attempt, x.due, x.rule
		FROM unnest(@items::uuid[], @people::uuid[], @attempts::uuid[], @dues::date[], @rules::text[]) AS x (item, person, attempt, due, rule)`,
		args{"centre": t.centre, "purge": p.ID, "items": ids, "people": people, "attempts": attempts, "dues": dues, "rules": rules})
	return err
}

// ApprovePurge keeps who approved it. That it was another person, and late enough, the database holds.
func (t *Tx) ApprovePurge(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "purge", "approve purge", `
		UPDATE purge SET approved_by = @by, approved_at = @at WHERE purge_id = @purge AND approved_at IS NULL AND dropped_at IS NULL`, args{"purge": id, "by": by, "at": at})
}

// DropPurge gives a purge up before it is approved.
func (t *Tx) DropPurge(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "purge", "drop purge", `
		UPDATE purge SET dropped_by = @by, dropped_at = @at WHERE purge_id = @purge AND approved_at IS NULL AND dropped_at IS NULL`, args{"purge": id, "by": by, "at": at})
}

// EndPurge notes that nothing of it is left to erase.
func (t *Tx) EndPurge(ctx context.Context, id uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "purge", "end purge", `UPDATE purge SET done_at = @at WHERE purge_id = @purge`, args{"purge": id, "at": at})
}

// Erase takes everything personal out of one thing of an approved purge, and gives the digests (hex) of the bytes that stood behind
// it: those that nothing else needs are to go too. What nobody approved, or what is held, the database refuses.
func (t *Tx) Erase(ctx context.Context, purge uuid.UUID, i PurgeItem, at time.Time) (digests []string, err error) {
	if digests, err = t.digestsOf(ctx, i.Person, i.Attempt); err != nil {
		return nil, err
	}
	if _, err := t.exec(ctx, "erase", `SELECT erase(@purge, @item, @at)`, args{"purge": purge, "item": i.Item, "at": at}); err != nil {
		return nil, err
	}
	// The leaves of the log stay, and say nothing about anybody any more.
	if err := t.forgetStatements(ctx, i.Item); err != nil {
		return nil, err
	}
	return digests, t.ForgetLogSecrets(ctx, i.Item)
}

// digestsOf lists the bytes that stand behind an attempt, or behind a person's details.
func (t *Tx) digestsOf(ctx context.Context, person, attempt uuid.UUID) ([]string, error) {
	r := t.reading(ctx)
	var digests []string
	queueColumn(r, &digests, digestsBehind, args{"centre": t.centre, "person": person, "attempt": attempt})
	return digests, r.send("bytes behind it")
}

// digestsBehind lists, in hex, the bytes behind an attempt with the portfolios that hold it, or behind a person's details (attempt zero).
const digestsBehind = `
	SELECT encode(d, 'hex') FROM (
		SELECT unnest(ARRAY[v.digest, v.covered_digest, v.preview_digest]) AS d FROM evidence v WHERE v.centre_id = @centre AND v.attempt_id = @attempt
		UNION SELECT f.digest FROM portfolio f WHERE f.centre_id = @centre AND f.trainee_id = @person
			AND (@attempt = '00000000-0000-0000-0000-000000000000'::uuid OR holds_attempt(f.trainee_id, f.unit_code, @attempt))
		UNION SELECT f.digest FROM prior_file f JOIN prior_learning l ON l.centre_id = f.centre_id AND l.prior_id = f.prior_id
			WHERE f.centre_id = @centre AND l.trainee_id = @person AND @attempt = '00000000-0000-0000-0000-000000000000'::uuid
	) x WHERE d IS NOT NULL ORDER BY 1`

// PurgeArgs asks for an approved purge to be carried out.
type PurgeArgs struct {
	Centre int64     `json:"centre"`
	Purge  uuid.UUID `json:"purge"`
}

// Kind names the job in the queue.
func (PurgeArgs) Kind() string { return "purge" }

// EnqueuePurge asks, within the transaction, for the purge to be carried out.
func (t *Tx) EnqueuePurge(ctx context.Context, id uuid.UUID) error {
	return t.enqueue(ctx, PurgeArgs{Centre: t.centre, Purge: id})
}
