package store

import (
	"context"
	"crypto/md5"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/ledger"
)

// actionAbout is whom an action x is about that is about no attempt.
const actionAbout = `ARRAY(SELECT p.trainee_id FROM prior_learning p WHERE x.source = 'prior_learning' AND p.centre_id = x.centre_id AND p.prior_id = x.source_id)`

// statementsSQL says, for every row that is a decision and no record of an attempt, what its leaf says: kind, subject, when, the
// statement itself, and whom it is about, so that it is forgotten with them. The statement is made of the row, so that a leaf that is
// appended late says the same as one that was appended with it.
const statementsSQL = `(
	SELECT 'ruling' AS kind, g.ruling_id AS subject, g.made_at AS at, NULL::uuid AS attempt, '{}'::uuid[] AS about,
		jsonb_build_object('criterion', g.criterion, 'words', g.words, 'doubts', g.doubts, 'effective_on', g.effective_on, 'since', g.since, 'by', g.made_by) AS statement
	FROM ruling g
	UNION ALL SELECT 'ruling_look', l.look_id, l.looked_at, l.attempt_id, '{}',
		jsonb_build_object('ruling', l.ruling_id, 'record', l.record_id, 'outcome', l.outcome, 'words', l.words, 'by', l.looked_by) FROM ruling_look l
	UNION ALL SELECT 'action', x.action_id, x.raised_at, x.attempt_id, ` + actionAbout + `,
		jsonb_build_object('source', x.source, 'of', x.source_id, 'attempt', x.attempt_id, 'words', x.words, 'owner', x.owner_id, 'due_on', x.due_on, 'by', x.raised_by) FROM action x
	UNION ALL SELECT 'action_closed', x.action_id, x.closed_at, x.attempt_id, ` + actionAbout + `,
		jsonb_build_object('words', x.closed_words, 'by', x.closed_by) FROM action x WHERE x.closed_at IS NOT NULL
	UNION ALL SELECT 'instrument_struck', k.event_id, k.at, NULL, '{}',
		jsonb_build_object('words', k.words, 'by', k.by_id) FROM register_strike k
	UNION ALL SELECT 'conflict', c.conflict_id, c.declared_at, NULL, ARRAY[c.person_id, c.other_id],
		jsonb_build_object('person', c.person_id, 'other', c.other_id, 'words', c.words, 'by', c.declared_by) FROM conflict c
	UNION ALL SELECT 'conflict_ended', c.conflict_id, c.ended_at, NULL, ARRAY[c.person_id, c.other_id],
		jsonb_build_object('words', c.ended_words, 'by', c.ended_by) FROM conflict c WHERE c.ended_at IS NOT NULL
	UNION ALL SELECT 'prior_decision', md5(d.prior_id || '/' || d.criterion)::uuid, d.decided_at, NULL, ARRAY[p.trainee_id],
		jsonb_build_object('prior', d.prior_id, 'criterion', d.criterion, 'outcome', d.outcome, 'words', d.words, 'by', d.decided_by)
	FROM prior_decision d JOIN prior_learning p ON p.centre_id = d.centre_id AND p.prior_id = d.prior_id
	UNION ALL SELECT 'prior_look', md5(k.prior_id || '/' || k.criterion)::uuid, k.looked_at, NULL, ARRAY[p.trainee_id],
		jsonb_build_object('prior', k.prior_id, 'criterion', k.criterion, 'outcome', k.outcome, 'words', k.words, 'by', k.looked_by)
	FROM prior_look k JOIN prior_learning p ON p.centre_id = k.centre_id AND p.prior_id = k.prior_id
	UNION ALL SELECT 'withdrawal', w.withdrawal_id, w.at, NULL, ARRAY[w.trainee_id],
		jsonb_build_object('trainee', w.trainee_id, 'cohort', w.cohort_id, 'left_on', w.left_on, 'words', w.words, 'by', w.by_id) FROM withdrawal w
	UNION ALL SELECT 'withdrawal_back', w.withdrawal_id, w.back_at, NULL, ARRAY[w.trainee_id],
		jsonb_build_object('words', w.back_words, 'by', w.back_by) FROM withdrawal w WHERE w.back_at IS NOT NULL
) s `

// priorSubject is the subject of the leaves of a decision on prior learning and of what was found of it, as statementsSQL has it.
func priorSubject(prior uuid.UUID, criterion string) uuid.UUID {
	return md5.Sum([]byte(prior.String() + "/" + criterion))
}

// logStatement has the leaf of a row appended with the commit, which says what the row says by then.
func (t *Tx) logStatement(kind string, subject uuid.UUID) {
	t.leaves = append(t.leaves, pendingLeaf{Leaf: ledger.Leaf{Kind: kind, Subject: subject}, ofRow: true})
}

// queueStatements reads what the leaves of rows say.
func (t *Tx) queueStatements(r *reader) {
	var subjects []uuid.UUID
	for _, l := range t.leaves {
		if l.ofRow {
			subjects = append(subjects, l.Subject)
		}
	}
	if len(subjects) == 0 {
		return
	}
	r.batch.Queue(`SELECT s.kind, s.subject, s.at, s.statement::text FROM `+statementsSQL+`WHERE s.subject = ANY(@subjects)`, args{"subjects": subjects}).Query(func(rows pgx.Rows) error {
		var kind, text string
		var subject uuid.UUID
		var at time.Time
		found := 0
		if _, err := pgx.ForEachRow(rows, []any{&kind, &subject, &at, &text}, func() error {
			for i := range t.leaves {
				if l := &t.leaves[i]; l.ofRow && l.Kind == kind && l.Subject == subject {
					l.At, l.Secrets = at, map[string]string{ledger.SecretStatement: text}
					found++
				}
			}
			return nil
		}); err != nil {
			return err
		}
		if found != len(subjects) {
			return fmt.Errorf("%d of the rows that the log is to tell of are not there", len(subjects)-found)
		}
		return nil
	})
}

// unloggedStatements are the rows that no entry of the log is of.
const unloggedStatements = statementsSQL + `WHERE NOT EXISTS (SELECT FROM log_entry e WHERE e.subject_id = s.subject AND e.kind = s.kind)`

// backfillStatements appends the leaves of rows that have none, marked as late, and says how many.
func (s *Store) backfillStatements(ctx context.Context, centre int64) (int, error) {
	for n := 0; ; {
		var rows []struct {
			Kind      string
			Subject   uuid.UUID
			At        time.Time
			Statement string
		}
		err := s.Write(ctx, centre, func(t *Tx) error {
			r := t.reading(ctx)
			r.batch.Queue(`SELECT pg_advisory_xact_lock($1, $2)`, logLock, int32(centre))
			queue(r, &rows, `SELECT s.kind, s.subject, s.at, s.statement::text AS statement FROM `+unloggedStatements+` ORDER BY s.at, s.kind, s.subject LIMIT @limit`, args{"limit": backfillAtOnce})
			if err := r.send("decisions that are not in the log"); err != nil {
				return err
			}
			for _, u := range rows {
				t.leaves = append(t.leaves, pendingLeaf{Leaf: ledger.Leaf{Kind: u.Kind, Subject: u.Subject, At: u.At, Backfilled: true,
					Secrets: map[string]string{ledger.SecretStatement: u.Statement}}})
			}
			return nil
		})
		if n += len(rows); err != nil || len(rows) < backfillAtOnce {
			return n, err
		}
	}
}

// forgetStatementsSQL erases what opens the leaves of rows about a person or an attempt.
const forgetStatementsSQL = `DELETE FROM log_secret o USING log_entry e, ` + statementsSQL + `
	WHERE e.idx = o.idx AND e.centre_id = o.centre_id AND s.subject = e.subject_id AND s.kind = e.kind AND (s.attempt = @item OR @item = ANY(s.about))`

func (t *Tx) forgetStatements(ctx context.Context, item uuid.UUID) error {
	_, err := t.exec(ctx, "erase what opens the log", forgetStatementsSQL, args{"item": item})
	return err
}
