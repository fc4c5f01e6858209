package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// BlindSheet is an attempt as somebody sees it who judges it blind: what was handed in and what the marker found, without whose it
// is and without anything that was decided.
type BlindSheet struct {
	Sheet           Sheet
	Standardisation uuid.UUID
	Title           string
	Place, Of       int
	Said            []store.BlindJudgement // what the caller said of it, by criterion; none before they did
	May             bool                   // the caller may judge it now
}

// BlindSheet shows an attempt of a standardisation to one of its judges, unless they had part in it.
func (a *App) BlindSheet(ctx context.Context, c account.Caller, id, attempt uuid.UUID) (BlindSheet, error) {
	s, at, err := a.blindFor(ctx, c, id, attempt)
	if err != nil {
		return BlindSheet{}, err
	}
	l, err := a.loadBlind(ctx, c, attempt)
	if err != nil {
		return BlindSheet{}, err
	}
	texts, err := a.criterionTexts(ctx, c.Centre, l.brief, l.Task.SetAt)
	if err != nil {
		return BlindSheet{}, err
	}
	sheet := assemble(l.brief, l.attempt, texts)
	sheet.explain(explanations(l.compiled, l))
	sheet.Version, sheet.State, sheet.Site, sheet.Householder, sheet.Records = l.Brief.Version, decision.Checked, "", "", nil
	out := BlindSheet{Sheet: sheet, Standardisation: id, Title: s.Title, Place: at.Place, Of: len(s.Attempts)}
	for _, j := range s.Judgements {
		if j.Attempt == attempt && j.Person == c.Person {
			out.Said = append(out.Said, j)
		}
	}
	out.May = len(out.Said) == 0 && s.ClosedAt.IsZero() && account.May(c, account.JudgeBlind) == nil
	return out, nil
}

// blindFor reads a standardisation in which the caller judges the attempt.
func (a *App) blindFor(ctx context.Context, c account.Caller, id, attempt uuid.UUID) (store.StandardisationSheet, store.BlindAttempt, error) {
	s, err := a.standardisationFor(ctx, c, id)
	if err != nil {
		return s, store.BlindAttempt{}, err
	}
	for _, at := range s.Attempts {
		if at.Attempt == attempt && s.Sits && !hadPart(s, attempt, c.Person) {
			return s, at, nil
		}
	}
	return s, store.BlindAttempt{}, hidden("attempt")
}

// loadBlind reads an attempt without what was decided of it.
func (a *App) loadBlind(ctx context.Context, c account.Caller, attempt uuid.UUID) (loaded, error) {
	j, err := a.db.JobSheet(ctx, c.Centre, attempt)
	if err != nil {
		return loaded{}, err
	}
	r, err := a.forAttempt(j)
	if err != nil {
		return loaded{}, err
	}
	j.Records = decision.Blind(j.Records)
	return loaded{JobSheet: j, ruled: r, attempt: attemptOf(j, r.brief)}, nil
}

// JudgeBlind keeps what the caller says of every criterion of an attempt, at once. It changes nothing of the attempt.
func (a *App) JudgeBlind(ctx context.Context, c account.Caller, id, attempt uuid.UUID, js []decision.Judgement) error {
	if _, _, err := a.blindFor(ctx, c, id, attempt); err != nil {
		return err
	}
	if err := account.May(c, account.JudgeBlind); err != nil {
		return err
	}
	l, err := a.loadBlind(ctx, c, attempt)
	if err != nil {
		return err
	}
	if err := decision.CheckBlind(l.brief, js, standing(l.brief, l.attempt).Blocked); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		s, err := t.LockStandardisation(ctx, id, c.Person)
		switch {
		case err != nil:
			return err
		case !s.ClosedAt.IsZero():
			return fault.Conflict("This standardisation is closed. Load the page again to see what was said.")
		case judgedBlind(s, attempt, c.Person):
			return fault.Conflict("You have judged this one already. What you said stands until all have judged.")
		}
		rows := make([]store.BlindJudgement, 0, len(js))
		for _, j := range js {
			rows = append(rows, store.BlindJudgement{
				Attempt: attempt, Person: c.Person, Criterion: j.Criterion, Outcome: j.Outcome, Reason: j.Reason, Words: strings.TrimSpace(j.Words), At: a.now(),
			})
		}
		return t.JudgeBlind(ctx, id, rows)
	})
}

// sitsOn says whether the caller may see an attempt's files because they judge it blind.
func (a *App) sitsOn(ctx context.Context, c account.Caller, attempt uuid.UUID) (bool, error) {
	if account.May(c, account.JudgeBlind) != nil {
		return false, nil
	}
	return a.db.SitsOn(ctx, c.Centre, attempt, c.Person)
}
