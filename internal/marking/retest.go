package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
)

// EarlierRow is a result that a re-test has taken the place of. It is never overwritten: it stays on record with what was
// done before the next one (policy 14).
type EarlierRow struct {
	Item  string      `json:"item" yaml:"item"`
	Part  string      `json:"part,omitempty" yaml:"part,omitempty"`
	Phase brief.Phase `json:"phase,omitempty" yaml:"phase,omitempty"`
	Text  string      `json:"text" yaml:"text"`
	Unit  string      `json:"unit,omitempty" yaml:"unit,omitempty"`
	Done  string      `json:"done,omitempty" yaml:"done,omitempty"` // between this result and the next
}

// Earlier is what the marker says of an earlier row of a line. It brings no marks and decides nothing.
type Earlier struct {
	Part    string  `json:"part,omitempty"` // the repeat's number
	Stated  string  `json:"stated"`
	Verdict Verdict `json:"verdict"`
	Done    string  `json:"done,omitempty"`
}

// retests judges the earlier rows of a line, oldest first, and asks where a failed one was followed by another without a
// word of what was done in between: on a safety-critical line that keeps its criteria from being met.
func (m *marker) retests(it *brief.CompiledItem, f *Finding, judge func(EarlierRow) Verdict) {
	for _, row := range m.sheet.Earlier {
		// A reading's repeats are one line, so their parts are told apart within it.
		if row.Item != it.Item.Key || row.Phase != f.Phase || it.Item.Reading == nil && row.Part != f.Part {
			continue
		}
		e := Earlier{Stated: statedWords(row.Text, row.Unit), Verdict: judge(row), Done: strings.Join(strings.Fields(row.Done), " ")}
		if it.Item.Reading != nil {
			e.Part = row.Part
		}
		f.Earlier = append(f.Earlier, e)
		m.retested(it, f, e)
	}
}

func (m *marker) retested(it *brief.CompiledItem, f *Finding, e Earlier) {
	was := fmt.Sprintf("An earlier result, %s (%s), stands on the sheet.", e.Stated, e.Verdict.Words())
	switch {
	case e.Verdict.Full():
		f.flag(FlagRetested, "%s", was)
	case e.Done == "":
		f.Flags = append(f.Flags, Flag{
			Code: FlagRetestUnsaid, Text: was + " What was done in between is not said: ask.",
			Trainee: was + " Write down what you did before you tested again.",
		})
		f.Blocks = f.Blocks || it.Item.Safety()
	default:
		f.flag(FlagRetested, "%s In between: %s.", was, strings.TrimSuffix(e.Done, "."))
	}
}

// earlierReading is the verdict on one earlier row of a reading by itself, as the row had it when it was the latest: the
// brief's own guard band counts.
func earlierReading(it *brief.CompiledItem, limit Limit, last bool) func(EarlierRow) Verdict {
	return func(row EarlierRow) Verdict {
		t := readTyped(row.Text, row.Unit, it.Unit)
		if t.verdict == NotAttempted {
			return NotAttempted
		}
		s := shown{}.together([]typed{t})
		s.half = it.Unit.Difference().FromSI(half(t, it.Unit, false))
		var f Finding
		f.Verdict, f.Code = judged(s, limit, last, it.Item.Reading.Overload)
		uncertainReading(it, &f, &s, limit, last)
		return f.Verdict
	}
}
