package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// RuleEdition is one edition of one of the centre's rule sets. Lists leave Source empty. Days are dates, both ends included.
type RuleEdition struct {
	ID            uuid.UUID `db:"edition_id"`
	Key           string    // of the rule set, as briefs name it
	Edition       string    // as it calls itself
	Title         string
	Source        string // the YAML
	Digest        string // SHA-256 of Source, hex
	ValidFrom     time.Time
	ValidTo       time.Time // as the text has it; zero where it names no last day
	LastDay       time.Time // in force, the edition that follows considered; zero where none is known; before ValidFrom where it never came into force
	FollowedBy    uuid.UUID // the edition that set LastDay; zero where the text did, or nothing
	Demonstration bool
	EnteredBy     uuid.UUID
	EntererName   string
	EnteredAt     time.Time
	CheckedBy     uuid.UUID // zero while it is a draft; the database refuses any change afterwards
	CheckerName   string
	CheckedAt     time.Time
}

// Checked says whether a second person has checked the edition, so that it counts and stays as it is.
func (e RuleEdition) Checked() bool { return !e.CheckedAt.IsZero() }

// InForce says whether the edition counts on the day.
func (e RuleEdition) InForce(day time.Time) bool {
	return e.Checked() && !day.Before(e.ValidFrom) && (e.LastDay.IsZero() || !day.After(e.LastDay))
}

const ruleRestColumns = `e.digest, e.valid_from, coalesce(e.valid_to, '0001-01-01') AS valid_to,
	coalesce(least(e.valid_to, f.last_day), '0001-01-01') AS last_day,
	CASE WHEN f.last_day < e.valid_to OR e.valid_to IS NULL AND f.last_day IS NOT NULL THEN f.followed_by
		ELSE '00000000-0000-0000-0000-000000000000' END AS followed_by,
	e.demonstration, e.entered_by, n.name AS enterer_name, e.entered_at,
	coalesce(e.checked_by, '00000000-0000-0000-0000-000000000000') AS checked_by, coalesce(c.name, '') AS checker_name, coalesce(e.checked_at, '0001-01-01 00:00Z') AS checked_at`

const (
	ruleListColumns = `e.edition_id, e.key, e.edition, e.title, '' AS source, ` + ruleRestColumns
	ruleColumns     = `e.edition_id, e.key, e.edition, e.title, e.source, ` + ruleRestColumns
)

const ruleFrom = ` FROM rule_edition e
	JOIN person n ON n.centre_id = e.centre_id AND n.person_id = e.entered_by
	LEFT JOIN person c ON c.centre_id = e.centre_id AND c.person_id = e.checked_by
	LEFT JOIN LATERAL (
		SELECT last_day, followed_by FROM rule_end x WHERE x.centre_id = e.centre_id AND x.edition_id = e.edition_id
		ORDER BY x.last_day, x.ended_at LIMIT 1
	) f ON true `

// RuleEditions lists every edition of every rule set without its source: by key, the latest first day first.
func (s *Store) RuleEditions(ctx context.Context, centre int64) ([]RuleEdition, error) {
	return all[RuleEdition](s.reading(ctx, centre), "rule sets", `
		SELECT `+ruleListColumns+ruleFrom+` ORDER BY e.key, e.valid_from DESC, e.entered_at DESC, e.edition_id DESC`, args{})
}

// RuleEdition reads one edition with its source.
func (s *Store) RuleEdition(ctx context.Context, centre int64, id uuid.UUID) (RuleEdition, error) {
	return one[RuleEdition](s.reading(ctx, centre), "edition of a rule set", `
		SELECT `+ruleColumns+ruleFrom+` WHERE e.edition_id = @edition`, args{"edition": id})
}

// RulesOf reads every edition of the rule sets with these keys, drafts among them, with their sources: by key and first day.
func (s *Store) RulesOf(ctx context.Context, centre int64, keys []string) ([]RuleEdition, error) {
	return readRules(s.reading(ctx, centre), keys)
}

// RulesOf is Store.RulesOf within the transaction.
func (t *Tx) RulesOf(ctx context.Context, keys []string) ([]RuleEdition, error) {
	return readRules(t.reading(ctx), keys)
}

func readRules(r *reader, keys []string) ([]RuleEdition, error) {
	return all[RuleEdition](r, "rule sets", `
		SELECT `+ruleColumns+ruleFrom+` WHERE e.key = ANY(@keys) ORDER BY e.key, e.valid_from, e.entered_at, e.edition_id`, args{"keys": keys})
}

// LockRules holds a rule set until the transaction ends, and reads its editions as RulesOf does: nobody else saves or checks
// one of them meanwhile. A set that is not there yet is begun.
func (t *Tx) LockRules(ctx context.Context, key string, at time.Time) ([]RuleEdition, error) {
	if _, err := t.exec(ctx, "begin rule set", `
		INSERT INTO rule_set (centre_id, key, created_at) VALUES (@centre, @key, @at) ON CONFLICT (centre_id, key) DO NOTHING`,
		args{"centre": t.centre, "key": key, "at": at}); err != nil {
		return nil, err
	}
	if err := t.mustFind(ctx, "rule set", "lock rule set", `SELECT FROM rule_set WHERE key = @key FOR UPDATE`, args{"key": key}); err != nil {
		return nil, err
	}
	return t.RulesOf(ctx, []string{key})
}

// SaveRules keeps a draft under its ID, over what was there; of e what checking sets is not read. Hold the set first
// (LockRules). An edition that is checked is Conflict, as is a name that another edition of the set has.
func (t *Tx) SaveRules(ctx context.Context, e RuleEdition) error {
	n, err := t.exec(ctx, "save rules", `
		INSERT INTO rule_edition (centre_id, edition_id, key, edition, title, source, digest, valid_from, valid_to, demonstration, entered_by, entered_at)
		VALUES (@centre, @id, @key, @edition, @title, @source, @digest, @valid_from, @valid_to, @demonstration, @by, @at)
		ON CONFLICT (centre_id, edition_id) DO UPDATE SET edition = excluded.edition, title = excluded.title, source = excluded.source,
			digest = excluded.digest, valid_from = excluded.valid_from, valid_to = excluded.valid_to, demonstration = excluded.demonstration,
			entered_by = excluded.entered_by, entered_at = excluded.entered_at
		WHERE rule_edition.checked_by IS NULL AND rule_edition.key = excluded.key`,
		args{"centre": t.centre, "id": e.ID, "key": e.Key, "edition": e.Edition, "title": e.Title, "source": e.Source, "digest": e.Digest,
			"valid_from": e.ValidFrom, "valid_to": timeOrNull(e.ValidTo), "demonstration": e.Demonstration, "by": e.EnteredBy, "at": e.EnteredAt})
	if err == nil && n == 0 {
		return fault.Conflict("This edition is checked and stays as it is. Give your text another edition and the day from which it counts.")
	}
	return err
}

// CheckRules makes a draft count: from then on it never changes. Hold the set first.
func (t *Tx) CheckRules(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	n, err := t.exec(ctx, "check rules", `
		UPDATE rule_edition SET checked_by = @by, checked_at = @at WHERE edition_id = @id AND checked_by IS NULL`,
		args{"id": id, "by": by, "at": at})
	if err == nil && n == 0 {
		return fault.Conflict("This edition is checked already. Load the page again to see by whom.")
	}
	return err
}

// EndRules takes an edition out of force after lastDay, because another one follows it.
func (t *Tx) EndRules(ctx context.Context, id, followedBy uuid.UUID, lastDay, at time.Time) error {
	_, err := t.exec(ctx, "end rules", `
		INSERT INTO rule_end (centre_id, edition_id, followed_by, last_day, ended_at) VALUES (@centre, @id, @next, @last_day, @at)`,
		args{"centre": t.centre, "id": id, "next": followedBy, "last_day": lastDay, "at": at})
	return err
}

var enqueueMarksFor = fmt.Sprintf(insertMark, `(
	SELECT a.attempt_id FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
	WHERE a.state = 'handed_over' AND EXISTS (SELECT FROM unnest(v.rules) x WHERE split_part(x, '/', 1) = @key))`)

// EnqueueMarksFor asks, within the transaction, for every attempt to be marked that was handed over, has not been marked and
// names a rule of the set: it may have waited for the edition that has come.
func (t *Tx) EnqueueMarksFor(ctx context.Context, key string) error {
	_, err := t.exec(ctx, "enqueue markings", enqueueMarksFor, args{"key": key}.withMark(t.centre))
	return err
}

// AttemptsUnder lists the attempts that a change of a rule set concerns, by the time their task was set and by trainee: their
// brief names one of the rules (each as set/rule), and they were marked, since a moment, under another edition of the set
// than the one named; or they are neither signed off nor closed, and were not marked under it.
func (s *Store) AttemptsUnder(ctx context.Context, centre int64, key, edition string, rules []string, since time.Time) ([]uuid.UUID, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT a.attempt_id FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		LEFT JOIN LATERAL (
			SELECT k.at, jsonb_path_query_first(k.result, '$.rules[*] ? (@.set == $set).edition', jsonb_build_object('set', @key::text)) #>> '{}' AS edition
			FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id ORDER BY k.seq DESC LIMIT 1
		) k ON true
		WHERE v.rules && @rules::text[] AND k.edition IS DISTINCT FROM @edition::text
		AND (k.at >= @since AND k.edition IS NOT NULL OR a.state IN ('planned', 'open', 'handed_over', 'checked', 'decided', 'safety_stop', 'suspended', 'under_appeal'))
		ORDER BY t.set_at, t.task_id, p.name, a.number, a.attempt_id`,
		args{"key": key, "edition": edition, "rules": rules, "since": since})
	err := r.send("attempts")
	return ids, err
}

// JobSheets reads attempts with everything that belongs to them, in the order of ids.
func (s *Store) JobSheets(ctx context.Context, centre int64, ids []uuid.UUID) ([]JobSheet, error) {
	return readSheets(s.reading(ctx, centre), ids)
}
