package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// BriefComment is what a second person said of an item of a draft, and the answer of whoever wrote it.
type BriefComment struct {
	ID         uuid.UUID `db:"comment_id"`
	Brief      uuid.UUID `db:"brief_id"`
	Version    int
	Item       string // its key; "" for the whole brief
	Words      string
	By         uuid.UUID `db:"said_by"`
	ByName     string
	At         time.Time `db:"said_at"`
	Answer     string    // "" while it is open
	AnsweredBy string
	AnsweredAt time.Time
}

// Open says whether it waits for an answer.
func (c BriefComment) Open() bool { return c.Answer == "" }

const briefCommentSQL = `
	SELECT c.comment_id, c.brief_id, c.version, c.item, c.words, c.said_by, p.name AS by_name, c.said_at,
		coalesce(a.words, '') AS answer, coalesce(q.name, '') AS answered_by, coalesce(a.said_at, '0001-01-01 00:00Z') AS answered_at
	FROM brief_comment c JOIN person p ON p.centre_id = c.centre_id AND p.person_id = c.said_by
	LEFT JOIN brief_answer a ON a.centre_id = c.centre_id AND a.comment_id = c.comment_id
	LEFT JOIN person q ON q.centre_id = a.centre_id AND q.person_id = a.said_by `

// BriefComments lists what was said of a version's items, the first first.
func (s *Store) BriefComments(ctx context.Context, centre int64, brief uuid.UUID, version int) ([]BriefComment, error) {
	return all[BriefComment](s.reading(ctx, centre), "comments", briefCommentSQL+`WHERE c.brief_id = @brief AND c.version = @version ORDER BY c.said_at, c.comment_id`,
		args{"brief": brief, "version": version})
}

// BriefComments is the same within a transaction.
func (t *Tx) BriefComments(ctx context.Context, brief uuid.UUID, version int) ([]BriefComment, error) {
	return all[BriefComment](t.reading(ctx), "comments", briefCommentSQL+`WHERE c.brief_id = @brief AND c.version = @version ORDER BY c.said_at, c.comment_id`,
		args{"brief": brief, "version": version})
}

// AddBriefComment keeps a comment; its answer is not written.
func (t *Tx) AddBriefComment(ctx context.Context, c BriefComment) error {
	_, err := t.exec(ctx, "comment on a draft", `
		INSERT INTO brief_comment (centre_id, comment_id, brief_id, version, item, words, said_by, said_at)
		VALUES (@centre, @comment, @brief, @version, @item, @words, @by, @at)`,
		args{"centre": t.centre, "comment": c.ID, "brief": c.Brief, "version": c.Version, "item": c.Item, "words": c.Words, "by": c.By, "at": c.At})
	return err
}

// AnswerBriefComment keeps the answer to a comment; a second one is Conflict.
func (t *Tx) AnswerBriefComment(ctx context.Context, comment, by uuid.UUID, at time.Time, words string) error {
	_, err := t.exec(ctx, "answer a comment", `
		INSERT INTO brief_answer (centre_id, comment_id, words, said_by, said_at) VALUES (@centre, @comment, @words, @by, @at)`,
		args{"centre": t.centre, "comment": comment, "words": words, "by": by, "at": at})
	return err
}
