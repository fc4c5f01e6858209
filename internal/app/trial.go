package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
)

// Trial is what somebody puts down who tries a brief before trainees meet it.
type Trial struct {
	Draw    int64           // whose given values: 0 for the model answer's, any other number for a trainee's with that draw
	Model   bool            // put down the model answer, with its own given values, in place of Entries
	Entries []marking.Entry // nil to look at the empty sheet
}

// TryBrief lays out a version of a brief as a trainee would meet it, under the rules in force today, and says what the marker
// makes of what is put down. Every reading counts as checked, files are passed over, and nothing is kept.
func (a *App) TryBrief(ctx context.Context, c account.Caller, id uuid.UUID, version int, trial Trial) (Sheet, error) {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return Sheet{}, err
	}
	if !t.Ready() {
		return Sheet{}, fault.Conflict("This brief cannot be tried yet: mend what the list beside it names first.")
	}
	compiled, problems := brief.Compile(t.Brief, a.functions)
	if err := problems.Err(); err != nil {
		return Sheet{}, err
	}
	model := marking.ModelSheet(compiled)
	sheet := marking.Sheet{Given: model.Given, Entries: trial.Entries, Checks: model.Checks}
	if trial.Model {
		sheet.Entries = model.Entries
	} else if trial.Draw != 0 {
		sheet.Given = brief.Draw(t.Brief, trial.Draw)
	}
	at := portfolio.Attempt{State: decision.Open, Given: sheet.Given}
	for _, e := range sheet.Entries {
		at.Entries = append(at.Entries, portfolio.Entry{Entry: e})
	}
	if len(sheet.Entries) > 0 {
		r := marking.Mark(compiled, sheet)
		at.Marking = &r
	}
	s := assemble(t.Brief, at, nil)
	s.Version = t.Version
	if at.Marking != nil {
		s.explain(marking.ExplainAll(compiled, sheet))
	}
	return s, nil
}
