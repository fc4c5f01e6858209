package api

import (
	"context"

	"witnessmark/internal/account"
)

// DraftRead names a draft as it was read.
type DraftRead struct {
	Digest string `json:"digest" validate:"required,len=64,hexadecimal" about:"The draft's, as it was read."`
}

// CheckAsked asks for a draft to be checked by somebody else.
type CheckAsked struct {
	Digest string `json:"digest" validate:"required,len=64,hexadecimal" about:"The draft's, as it was read."`
	Words  string `json:"words" validate:"omitempty,max=2000" about:"To whoever checks it; may be left out."`
}

func (s *service) askForCheck(ctx context.Context, who account.Caller, p versionPath, _ none, b CheckAsked) (none, error) {
	return none{}, s.app.AskForCheck(ctx, who, p.ID, p.Version, b.Digest, b.Words)
}

// BriefSentBack says what is to be put right in a draft.
type BriefSentBack struct {
	Digest string `json:"digest" validate:"required,len=64,hexadecimal" about:"The draft's, as it was read."`
	Words  string `json:"words" validate:"required,max=2000" about:"What is to be put right."`
}

func (s *service) sendBriefBack(ctx context.Context, who account.Caller, p versionPath, _ none, b BriefSentBack) (none, error) {
	return none{}, s.app.SendBriefBack(ctx, who, p.ID, p.Version, b.Digest, b.Words)
}

func (s *service) publishBrief(ctx context.Context, who account.Caller, p versionPath, _ none, b DraftRead) (none, error) {
	return none{}, s.app.PublishBrief(ctx, who, p.ID, p.Version, b.Digest)
}

func (s *service) discardBrief(ctx context.Context, who account.Caller, p versionPath, _ none, b DraftRead) (none, error) {
	return none{}, s.app.DiscardBrief(ctx, who, p.ID, p.Version, b.Digest)
}
