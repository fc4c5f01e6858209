package marking

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// maxWorkingLines bounds how much written working is re-run for one figure.
const maxWorkingLines = 40

// working re-runs the trainee's written calculation: every sign of equality, then its result against the stated figure.
// It raises flags only: the figure keeps its verdict, and the tutor sees whether the arithmetic or the method went astray,
// and where. Lines that cannot be read are shown to the tutor with the place. Feedback is for the trainee alone.
func (m *marker) working(it *brief.CompiledItem, f *Finding, t typed, text string) (feedback string) {
	if strings.TrimSpace(text) == "" {
		return ""
	}
	lines := writtenLines(text)
	if len(lines) > maxWorkingLines {
		f.flag(FlagWorkingUnread, "The working has %d lines; the first %d are read.", len(lines), maxWorkingLines)
		lines = lines[:maxWorkingLines]
	}
	env, values := m.ownNames()
	sheet := &formula.Sheet{Env: env, Values: values, Known: m.known(), Asked: &it.Unit}
	before := len(f.Flags)
	var last *rerun
	var astray []correction
	for _, r := range lines {
		if !calculation(r.text) {
			continue
		}
		var err error
		if r.w, err = formula.ParseWorking(r.text); err != nil {
			f.flags(Flag{Code: FlagWorkingUnread, Text: unreadLine(r.text, err), At: r.at(0, len(r.text))})
			last = nil
			continue
		}
		r.values = r.w.EvaluateOn(sheet)
		sheet.Known = append(sheet.Known, r.worked()...)
		astray = append(astray, r.equalities(f)...)
		last = r
	}
	if last == nil || !t.hasNumber() || !last.about(it.Item.Key, env) {
		return ""
	}
	last.against(f, t)
	if f.Verdict == Wrong && f.Code == codeOutside && !hasFlag(f, FlagUnitLabel) {
		last.diagnose(it, f, t, len(f.Flags) == before, last.corrected(astray, env, values))
	}
	if x, literal := last.literal(len(last.values) - 1); literal && !x.hasUnit && it.Item.Figure.AskUnit && f.Unit != "" && !m.toldUnit {
		m.toldUnit = true // once a sheet is enough
		return " Write the unit beside the result of your working as well."
	}
	return ""
}

// calculation reports whether a line holds a calculation and not just words.
func calculation(line string) bool {
	return strings.ContainsAny(line, "=≈") || strings.ContainsAny(line, "0123456789") && strings.ContainsAny(line, "+-−×*/÷^(")
}

// unreadLine shows where a line cannot be read, on one line of its own so that it fits into any list.
func unreadLine(line string, err error) string {
	var at *formula.Error
	if errors.As(err, &at) {
		return fmt.Sprintf("The working “%s” cannot be re-run, at character %d: %s", statedWords(line, ""), at.Column(), at.Message)
	}
	return fmt.Sprintf("The working “%s” cannot be re-run: %v", statedWords(line, ""), err)
}

// ownNames is what working may call by name: the brief's names, with the trainee's own values.
func (m *marker) ownNames() (formula.Env, formula.Values) {
	units := make(map[string]quantity.Unit, len(m.c.Names))
	index := make(map[string]int, len(m.c.Names))
	for i := range m.c.Names {
		units[m.c.Names[i].Name], index[m.c.Names[i].Name] = m.c.Names[i].Unit, i
	}
	values := func(name string) (float64, bool) {
		i, ok := index[name]
		switch {
		case !ok:
			return 0, false
		case m.values[i].ownKnown:
			return m.values[i].own, true
		}
		return m.values[i].given, m.values[i].known
	}
	return formula.Env{Names: units}, values
}

// rerun is one line of working with what each of its segments comes to.
type rerun struct {
	text   string // without space around it
	start  int    // where it begins in the working, in bytes
	w      *formula.Working
	values []formula.SegmentValue
}

// writtenLines takes working apart into its lines, each with its place. A line that begins with an equals sign goes on
// from the one above it, as people write below one another.
func writtenLines(text string) []*rerun {
	var out []*rerun
	var ends []int
	start := 0
	for line := range strings.SplitSeq(text, "\n") {
		trimmed := strings.TrimSpace(line)
		at := start + strings.Index(line, trimmed)
		if n := len(out); n > 0 && (strings.HasPrefix(trimmed, "=") || strings.HasPrefix(trimmed, "≈")) {
			ends[n-1] = at + len(trimmed)
		} else if trimmed != "" {
			out, ends = append(out, &rerun{start: at}), append(ends, at+len(trimmed))
		}
		start += len(line) + 1
	}
	for i, r := range out {
		r.text = strings.Map(unbroken, text[r.start:ends[i]])
	}
	return out
}

// unbroken puts a space for what ends a line, so that every byte keeps its place.
func unbroken(r rune) rune {
	if r == '\n' || r == '\r' {
		return ' '
	}
	return r
}

// at is the place of a stretch of the line.
func (r *rerun) at(from, to int) *Place {
	from, to = max(0, min(from, len(r.text))), max(0, min(to, len(r.text)))
	return &Place{From: r.start + from, To: r.start + to, Quote: statedWords(r.text[from:to], "")}
}

// between is the place from the beginning of one segment to the end of another.
func (r *rerun) between(i, j int) *Place {
	return r.at(r.w.Segments[i].Pos, r.w.Segments[j].End)
}

// about reports whether the line works out the figure with this key: it has no label, or one that is not another name.
func (r *rerun) about(key string, env formula.Env) bool {
	_, other := env.Names[r.w.Label]
	return !other || r.w.Label == key
}

// against compares what the line comes to with the figure that was stated. A right figure that does not come from its
// working keeps its mark (policy 7).
func (r *rerun) against(f *Finding, t typed) {
	stated := result{number: t.number, unit: t.unit, hasUnit: true}
	last := len(r.values) - 1
	x, literal := r.literal(last)
	got, ok := stated.of(r.values[last])
	if literal && !x.hasUnit {
		got, ok = x.number.Value(), true
	}
	margin := 0.0
	switch {
	case literal && x.hasUnit && x.unit.Dimension() != t.unit.Dimension():
		if t.verdict == "" {
			r.say(f, FlagWorkingUnits, r.between(last, last), "ends with %s, which is no figure in "+askedUnit(t.unit.String()), x.words())
		}
		return
	case literal && x.hasUnit && ok: // what its own rounding means in the stated unit
		margin = math.Abs(stated.unit.FromSI(x.unit.ToSI(x.number.Value()+x.number.HalfUnit())) - got)
	case literal:
		margin = x.number.HalfUnit()
	}
	bare := !r.values[last].AllUnits
	if !ok || bare && stated.factored(got, margin) {
		return
	}
	switch stated.stands(got, margin) {
	case stands:
		return
	case cutOff:
		r.cut(f, stated, got, last)
		return
	case apart:
	}
	if literal && x.hasUnit && x.unit.Equal(t.unit) {
		got = x.number.Value()
	}
	code := FlagWorking
	if f.Verdict == Correct {
		code = FlagNotFromWorking
	}
	r.disagree(f, code, got, stated, r.between(0, last))
}

// correction is a result that was written wrong, and what the calculation before it comes to.
type correction struct{ wrote, got float64 }

// corrected is what the line's calculation comes to with the right results of the lines above it in the place of the wrong
// ones; its own values where there is nothing to correct.
func (r *rerun) corrected(astray []correction, env formula.Env, values formula.Values) formula.SegmentValue {
	text := r.text
	nodes := numbered(r.w.Segments[0].Expr.Root(), nil)
	for i := len(nodes) - 1; i >= 0; i-- { // from the end, so that places stay what they are
		n := nodes[i]
		for _, c := range astray {
			if n.Number.Value() == c.wrote {
				text = text[:n.Pos] + strings.TrimSpace(strconv.FormatFloat(c.got, 'g', 12, 64)+" "+n.Unit.String()) + text[n.End:]
				break
			}
		}
	}
	if text != r.text {
		if w, err := formula.ParseWorking(text); err == nil {
			return w.Evaluate(env, values)[0]
		}
	}
	return r.values[0]
}

// numbered lists the nodes of numbers below n, from left to right.
func numbered(n *formula.Node, out []*formula.Node) []*formula.Node {
	if n.Kind == formula.NodeNumber {
		return append(out, n)
	}
	for _, a := range n.Args {
		out = numbered(a, out)
	}
	return out
}

// diagnose tells a wrong method from wrong arithmetic, on a figure that is wrong. agrees says that nothing in the working
// was found astray so far, corrected what the calculation comes to where the lines above it were.
func (r *rerun) diagnose(it *brief.CompiledItem, f *Finding, t typed, agrees bool, corrected formula.SegmentValue) {
	written := result{number: t.number, unit: it.Unit, hasUnit: true}
	got, ok := written.of(corrected)
	right := func(ref *float64) bool {
		return ref != nil && Tolerance(it.Tolerance).Accepts(*ref, got, keptDigits)
	}
	_, literal := r.literal(0)
	switch {
	case !ok || literal:
	case right(f.FromGiven) || right(f.FromOwn):
		f.flags(Flag{
			Code: FlagMethodRight, At: r.between(0, 0),
			Text:    fmt.Sprintf("The method is right: what is written comes to %s. Only the arithmetic or the copying went astray.", withUnit(got, f.Unit)),
			Trainee: fmt.Sprintf("Your method is right: what you wrote comes to %s. Go through the arithmetic again.", withUnit(got, f.Unit)),
		})
	case agrees && !hasFlag(f, FlagPrefix):
		f.flags(Flag{
			Code: FlagMethodWrong, At: r.between(0, 0),
			Text:    "The arithmetic is right: the working comes to what is stated. It is the method that leads elsewhere.",
			Trainee: "Your arithmetic is right; look at the method again.",
		})
	}
}
