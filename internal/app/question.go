package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// AskTrainee leaves a note that the trainee is to be asked about a criterion; words say what. Asked again, the later note
// stands in place of the earlier. The trainee sees that they will be asked, and about what criterion.
func (a *App) AskTrainee(ctx context.Context, c account.Caller, id uuid.UUID, revision int, criterion, words string) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.Question, revision, func(l *loaded) (decision.Record, error) {
		if err := l.questionable(criterion); err != nil {
			return decision.Record{}, err
		}
		if words == "" {
			return decision.Record{}, fault.Invalid("words", "Say what you want to ask.")
		}
		return decision.Record{Kind: decision.KindQuestion, Subject: criterion, Outcome: decision.Asked, Words: words}, nil
	}})
}

// AnswerQuestion puts down the gist of what the trainee said when asked about a criterion.
func (a *App) AnswerQuestion(ctx context.Context, c account.Caller, id uuid.UUID, revision int, criterion, words string) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.Question, revision, func(l *loaded) (decision.Record, error) {
		if err := l.questionable(criterion); err != nil {
			return decision.Record{}, err
		}
		q := decision.OpenQuestion(l.Records, criterion)
		switch {
		case q == nil:
			return decision.Record{}, fault.Conflict("Nothing is to be asked about %s now. Load the page again to see what changed.", criterion)
		case words == "":
			return decision.Record{}, fault.Invalid("words", "Put down the gist of the answer, or why the question is no longer needed.")
		}
		return decision.Record{Kind: decision.KindQuestion, Subject: criterion, Outcome: decision.Answered, Words: words, Value: q.Words}, nil
	}})
}

// questionable refuses a criterion that the brief does not cover, and an attempt that is not being judged.
func (l *loaded) questionable(criterion string) error {
	if !slices.Contains(l.brief.CriterionRefs(), criterion) {
		return fault.NotFound("This brief does not cover criterion %s.", criterion)
	}
	if l.Attempt.State != decision.Checked && l.Attempt.State != decision.Decided {
		return fault.Conflict("This attempt is %s: it is not being judged now.", l.Attempt.State.Words())
	}
	return nil
}
