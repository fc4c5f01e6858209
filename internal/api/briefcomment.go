package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// NewComment is what a second person says of an item of a draft.
type NewComment struct {
	Item  string `json:"item" validate:"omitempty,max=200" about:"Its key; absent for the whole brief."`
	Words string `json:"words" validate:"required,max=2000"`
}

// CommentAnswered is the answer of whoever wrote the draft.
type CommentAnswered struct {
	Comment uuid.UUID `json:"comment" validate:"required"`
	Words   string    `json:"words" validate:"required,max=2000"`
}

// BriefComment is a comment with its answer.
type BriefComment struct {
	ID         uuid.UUID `json:"id"`
	Item       string    `json:"item,omitzero" about:"Absent for the whole brief."`
	Words      string    `json:"words"`
	By         string    `json:"by"`
	At         time.Time `json:"at"`
	Answer     string    `json:"answer,omitzero"`
	AnsweredBy string    `json:"answered_by,omitzero"`
	AnsweredAt time.Time `json:"answered_at,omitzero"`
}

func (s *service) comments(ctx context.Context, who account.Caller, p versionPath, _ none, _ none) ([]BriefComment, error) {
	t, err := s.app.Brief(ctx, who, p.ID, p.Version)
	return each(t.Comments, func(c app.BriefComment) BriefComment {
		return BriefComment{ID: c.ID, Item: c.Item, Words: c.Words, By: c.ByName, At: c.At, Answer: c.Answer, AnsweredBy: c.AnsweredBy, AnsweredAt: c.AnsweredAt}
	}), err
}

func (s *service) commentBrief(ctx context.Context, who account.Caller, p versionPath, _ none, b NewComment) (none, error) {
	return none{}, s.app.CommentBrief(ctx, who, p.ID, p.Version, b.Item, b.Words)
}

func (s *service) answerComment(ctx context.Context, who account.Caller, p versionPath, _ none, b CommentAnswered) (none, error) {
	return none{}, s.app.AnswerComment(ctx, who, p.ID, p.Version, b.Comment, b.Words)
}

func (s *service) commentRoutes() []Route {
	return []Route{
		route("comments", get, "/api/briefs/{id}/versions/{version}/comments", account.SeeBriefs, "Lists what a second person said of a version's items, with the answers.", s.comments),
		route("commentBrief", post, "/api/briefs/{id}/versions/{version}/comments", account.CommentBrief, "Comments on an item of a draft; it is not published before the comment is answered.", s.commentBrief),
		route("answerComment", post, "/api/briefs/{id}/versions/{version}/answers", account.AnswerComment, "Answers a comment on a draft that the caller wrote in.", s.answerComment),
	}
}
