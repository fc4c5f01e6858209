package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// Sample is what a brief is to be worked through with.
type Sample struct {
	Draw   int64             // whose given values: 0 for the model answer's, any other number for a trainee's with that draw
	Values map[string]string // given values and readings by name, as typed; in place of the drawn and the model answer's
	Beside int               // how many further trainees' values are worked beside, from draw 1
}

// WorkedBrief is a version of a brief worked through with sample values.
type WorkedBrief struct {
	BriefText
	Samples []brief.Sampled
	Worked  []brief.Worked
	Untold  []brief.Untold // over the whole spread of values
	Full    bool           // the model answer marks itself full
	Marks   int            // for the figures and choices of the model answer
	Beside  []Variant
}

// Variant is what one trainee meets: their given values and what then is right.
type Variant struct {
	Draw   int64
	Given  map[string]string
	Worked []brief.Worked
}

// WorkThrough works every figure and choice of a brief out with sample values, beside the ways in which it is got wrong.
func (a *App) WorkThrough(ctx context.Context, c account.Caller, id uuid.UUID, version int, s Sample) (WorkedBrief, error) {
	t, err := a.Brief(ctx, c, id, version)
	if err != nil {
		return WorkedBrief{}, err
	}
	if t.Brief == nil {
		return WorkedBrief{}, fault.Conflict("This brief cannot be read yet: mend what the list beside it names first.")
	}
	compiled, problems := brief.Compile(t.Brief, a.functions)
	if problems.Err() != nil {
		return WorkedBrief{}, fault.Conflict("This brief cannot be worked through yet: mend what the list beside it names first.")
	}
	w := WorkedBrief{BriefText: t}
	values := map[string]string{}
	if s.Draw != 0 {
		values = brief.Draw(t.Brief, s.Draw)
	}
	for name, text := range s.Values {
		if text != "" {
			values[name] = text
		}
	}
	w.Samples, w.Worked = brief.WorkThrough(compiled, values)
	for n := range s.Beside {
		given := brief.Draw(t.Brief, int64(n+1))
		_, worked := brief.WorkThrough(compiled, given)
		w.Beside = append(w.Beside, Variant{Draw: int64(n + 1), Given: given, Worked: worked})
	}
	if t.Ready() {
		w.Untold = brief.Slips(compiled)
		r := marking.Mark(compiled, marking.ModelSheet(compiled))
		w.Full, w.Marks = len(marking.ModelFull(compiled)) == 0, r.Marks
	}
	return w, nil
}
