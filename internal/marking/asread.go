package marking

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// AsRead is how a line of a reading or figure reads while it is being typed. It is made from the brief and the typed text
// alone, so that it cannot tell whether anything is right: no reference, no limit, and no unit that the trainee has to find.
type AsRead struct {
	Number     formula.Line   // as it was read, with its unit, to the stated digits; nil where none could be read
	Bound      quantity.Bound // of what Number is one side, where the instrument was out of range; OverRange has no Number
	Why        string         // why no number could be read, or what to mind about the unit; "" where all is plain
	Choices    []string       // both plain spellings, where a lone comma may stand for a point or for thousands
	ToTutor    bool           // left as it is, the tutor reads it
	Believable string         // that another value is to be expected here; never a reason not to keep this one
	Working    []WrittenLine
}

// WrittenLine is one line of written working.
type WrittenLine struct {
	Text    string       // as typed
	Line    formula.Line // nil for words, and where it cannot be read
	Notes   []string     // what was forgiven
	Stopped string       // what stands around the place where the reading stops, and a caret under it; "" where it does not stop
	Why     string       // it stops
}

// ReadAs reads what stands in a line of the item, as the marker will. An item of another form has nothing to be read.
func ReadAs(it *brief.Item, text, unit, working string) AsRead {
	switch {
	case it.Reading != nil:
		return readingAs(it.Reading, text, unit)
	case it.Figure != nil:
		return figureAs(it.Figure, text, unit, working)
	}
	return AsRead{}
}

func readingAs(r *brief.Reading, text, unit string) AsRead {
	asked, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return AsRead{} // a rule set has it, or the brief is older than its checks
	}
	t := readTyped(text, unit, asked)
	a := t.asRead(text)
	if b := rangeOf(r.Believable, asked); b != nil && t.verdict == "" && t.number.Bound != quantity.OverRange &&
		!believable(shown{value: t.value, bound: t.number.Bound}, b) {
		a.Believable = fmt.Sprintf("A value from %s to %s is to be expected here: look at the instrument again.", show(b.From), withUnit(b.To, asked.String()))
	}
	return a
}

// figureAs reads a figure. Where the unit is asked for, it is read on its own: whether it fits is part of the answer.
func figureAs(f *brief.Figure, text, unit, working string) AsRead {
	var a AsRead
	if f.AskUnit {
		a = statedAlone(text, unit).asRead(text)
	} else if asked, err := quantity.ParseUnit(f.Unit); err == nil {
		a = readTyped(text, unit, asked).asRead(text)
	}
	a.Working = workingAs(working)
	return a
}

// statedAlone is readTyped where no unit may be told.
func statedAlone(text, unit string) typed {
	t := typed{stated: statedWords(text, unit)}
	q, err := quantity.ParseQuantity(text)
	if err != nil {
		return t.unread(err)
	}
	t.number, t.unit, t.unitSet = q.Number, q.Unit, q.UnitText != ""
	if strings.TrimSpace(unit) == "" {
		return t
	}
	u, err := quantity.ParseUnitAnyCase(unit)
	switch {
	case err != nil:
		return t.unread(err)
	case t.unitSet && !u.Equal(t.unit):
		return t.toRead("two_units", "Two units stand here, "+t.unit.String()+" and "+u.String()+"; which one is meant?")
	}
	t.unit = u
	return t
}

// asRead says of a typed text what was read of it.
func (t typed) asRead(text string) AsRead {
	if t.verdict == NotAttempted {
		return AsRead{}
	}
	a := AsRead{Why: t.why, Choices: commaChoices(text), ToTutor: t.verdict == ToRead}
	if t.verdict == "" {
		a.Why = t.note.String()
	}
	if t.verdict != "" && t.verdict != UnitWrong {
		return a
	}
	a.Bound = t.number.Bound
	if a.Bound != quantity.OverRange {
		n := t.number
		n.Bound = quantity.Exactly
		a.Number = formula.Line{{Node: formula.Value(n, t.unit)}}
	}
	return a
}

// rangeOf is a believable range in the asked unit; nil where there is none.
func rangeOf(r *brief.Range, asked quantity.Unit) *brief.CompiledRange {
	if r == nil {
		return nil
	}
	from, fromErr := valueIn(r.From, asked)
	to, toErr := valueIn(r.To, asked)
	if fromErr != nil || toErr != nil {
		return nil
	}
	return &brief.CompiledRange{From: from, To: to}
}

func valueIn(text string, asked quantity.Unit) (float64, error) {
	q, err := quantity.ParseQuantityFor(text, asked)
	if err != nil {
		return 0, err
	}
	return q.In(asked)
}

// loneComma finds one comma between digits and no point: 1,234 and 2,47.
var loneComma = regexp.MustCompile(`^([^0-9.,]*[0-9]+),([0-9]+(?:[^0-9.,].*)?)$`)

// commaChoices are the two plain spellings of a number with a lone comma, the one with a point first; nil where there is no
// such comma, and where one of the two would be no number.
func commaChoices(text string) []string {
	m := loneComma.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return nil
	}
	choices := []string{m[1] + "." + m[2], m[1] + m[2]}
	for _, c := range choices {
		if _, err := quantity.ParseQuantity(c); err != nil {
			return nil
		}
	}
	return choices
}

// workingAs reads written working line by line, without any names' values: it is set, not worked out.
func workingAs(text string) []WrittenLine {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	lines := writtenLines(text)
	var out []WrittenLine
	for _, r := range lines[:min(len(lines), maxWorkingLines)] {
		w := WrittenLine{Text: r.text}
		if !calculation(r.text) {
			out = append(out, w)
			continue
		}
		p, err := formula.ParseWorking(r.text)
		if at := new(formula.Error); errors.As(err, &at) {
			w.Stopped, w.Why = caretAt(at), at.Message
		} else if err == nil {
			w.Line, w.Notes = setLine(p), p.Notes
		}
		out = append(out, w)
	}
	return out
}

// around is how many characters before and after a caret are shown, so that a narrow phone has them on one line.
const around = 14

// caretAt is the stretch of a line around the place of an error, and under it a caret at the place.
func caretAt(e *formula.Error) string {
	pos := min(max(e.Pos, 0), len(e.Source))
	before, after := []rune(e.Source[:pos]), []rune(e.Source[pos:])
	if len(before) > around {
		before = append([]rune{'…'}, before[len(before)-around:]...)
	}
	if len(after) > around {
		after = append(after[:around:around], '…')
	}
	return string(before) + string(after) + "\n" + strings.Repeat(" ", len(before)) + "^"
}

// setLine is a line of working with its label as it is set.
func setLine(w *formula.Working) formula.Line {
	var l formula.Line
	sign := ""
	if w.Label != "" {
		l, sign = append(l, formula.Side{Node: formula.Name(w.Label)}), "="
	}
	for _, s := range w.Segments {
		if s.Approximate {
			sign = "≈"
		}
		l = append(l, formula.Side{Sign: sign, Node: s.Expr.Alone()[0].Node})
		sign = "="
	}
	return l
}
