package app_test

import (
	"database/sql"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

func TestADraftWithAnOpenCommentIsNotPublished(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	src, err := brief.Print(sample.Brief())
	must(t, err)
	digest := brief.Digest(src)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), "")
	must(t, err)
	wantKind(t, "commenting on one's own", c.CommentBrief(ctx, c.tutor, id, version, "wire", "Mine."), fault.KindForbidden)
	wantKind(t, "a manager commenting", c.CommentBrief(ctx, c.manager, id, version, "wire", "No."), fault.KindForbidden)
	wantKind(t, "on no item", c.CommentBrief(ctx, c.second, id, version, "nowhere", "Where?"), fault.KindInvalid)
	wantKind(t, "without words", c.CommentBrief(ctx, c.second, id, version, "heat", "  "), fault.KindInvalid)
	wantKind(t, "without end", c.CommentBrief(ctx, c.second, id, version, "heat", strings.Repeat("x", 2001)), fault.KindInvalid)
	must(t, c.CommentBrief(ctx, c.second, id, version, "heat", "Which thermometer?"))
	must(t, c.CommentBrief(ctx, c.other, id, version, "", "The title is long."))
	must(t, c.AskForCheck(ctx, c.tutor, id, version, digest, ""))
	wantKind(t, "publishing with open comments", c.PublishBrief(ctx, c.second, id, version, digest), fault.KindConflict)

	// Nor does the database.
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	_, err = db.ExecContext(ctx, `UPDATE brief_version SET state = 'published', published_by = $1, published_at = now() WHERE brief_id = $2`, c.second.Person, id)
	if err == nil || !strings.Contains(err.Error(), "has no answer") {
		t.Errorf("the database publishes a draft with open comments: %v", err)
	}
	_, err = db.ExecContext(ctx, `INSERT INTO brief_comment (centre_id, comment_id, brief_id, version, item, words, said_by, said_at)
		VALUES ($1, gen_random_uuid(), $2, $3, '', 'Mine.', $4, now())`, c.id, id, version, c.tutor.Person)
	if err == nil || !strings.Contains(err.Error(), "what they wrote") {
		t.Errorf("the database takes a comment of whoever wrote it: %v", err)
	}

	draft, err := c.Brief(ctx, c.tutor, id, version)
	must(t, err)
	if draft.OpenComments() != 2 || !draft.MayAnswer || draft.MayComment || draft.Comments[0].Item != "heat" {
		t.Fatalf("the writer sees %+v, may answer %v, may comment %v", draft.Comments, draft.MayAnswer, draft.MayComment)
	}
	first, second := draft.Comments[0].ID, draft.Comments[1].ID
	wantKind(t, "the commenter answering", c.AnswerComment(ctx, c.second, id, version, first, "It is named."), fault.KindForbidden)
	wantKind(t, "no words", c.AnswerComment(ctx, c.tutor, id, version, first, ""), fault.KindInvalid)
	wantKind(t, "a comment that is not there", c.AnswerComment(ctx, c.tutor, id, version, newID(t), "So."), fault.KindNotFound)
	must(t, c.AnswerComment(ctx, c.tutor, id, version, first, "It is named in the conventions."))
	wantKind(t, "answering twice", c.AnswerComment(ctx, c.tutor, id, version, first, "Again."), fault.KindConflict)
	wantKind(t, "publishing with one open", c.PublishBrief(ctx, c.second, id, version, digest), fault.KindConflict)
	must(t, c.AnswerComment(ctx, c.tutor, id, version, second, "It stays."))
	must(t, c.PublishBrief(ctx, c.second, id, version, digest))
	wantKind(t, "commenting on what is published", c.CommentBrief(ctx, c.other, id, version, "", "Late."), fault.KindConflict)
}

func TestCommentsGoWithTheDraftThatIsThrownAway(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	src, err := brief.Print(sample.Brief())
	must(t, err)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), "")
	must(t, err)
	must(t, c.CommentBrief(ctx, c.second, id, version, "", "Long."))
	draft, err := c.Brief(ctx, c.tutor, id, version)
	must(t, err)
	must(t, c.AnswerComment(ctx, c.tutor, id, version, draft.Comments[0].ID, "Shorter now."))
	must(t, c.DiscardBrief(ctx, c.tutor, id, version, brief.Digest(src)))
}
