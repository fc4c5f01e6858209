package marking

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// maxWorkingLines bounds how much written working is re-run for one figure.
const maxWorkingLines = 40

// working re-runs the trainee's written calculation: every sign of equality, then its result against the stated figure.
// It raises flags only: the figure keeps its verdict, and the tutor sees where the arithmetic, not the method, went
// astray. Lines that cannot be read are shown to the tutor with the place.
func (m *marker) working(it *brief.CompiledItem, f *Finding, t typed, text string) {
	if strings.TrimSpace(text) == "" {
		return
	}
	lines := strings.Split(text, "\n")
	if len(lines) > maxWorkingLines {
		f.flag(FlagWorkingUnread, "The working has %d lines; the first %d are read.", len(lines), maxWorkingLines)
		lines = lines[:maxWorkingLines]
	}
	env, values := m.ownNames()
	var last *rerun
	for _, line := range lines {
		line = strings.TrimSpace(line)
		if !calculation(line) {
			continue
		}
		w, err := formula.ParseWorking(line)
		if err != nil {
			f.flag(FlagWorkingUnread, "%s", unreadLine(line, err))
			last = nil
			continue
		}
		r := &rerun{w: w, values: w.Evaluate(env, values)}
		r.equalities(f)
		last = r
	}
	if last != nil && t.hasNumber() && last.about(it.Item.Key, env) {
		last.against(f, t)
	}
}

// calculation reports whether a line holds a calculation and not just words.
func calculation(line string) bool {
	return strings.ContainsAny(line, "=≈") || strings.ContainsAny(line, "0123456789") && strings.ContainsAny(line, "+-×*/÷^(")
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
	w      *formula.Working
	values []formula.SegmentValue
}

// about reports whether the line works out the figure with this key: it has no label, or one that is not another name.
func (r *rerun) about(key string, env formula.Env) bool {
	_, other := env.Names[r.w.Label]
	return !other || r.w.Label == key
}

// equalities compares each segment with the one before it.
func (r *rerun) equalities(f *Finding) {
	for i := 1; i < len(r.values); i++ {
		x, ok := r.literal(i)
		if !ok {
			if a, b, ok := comparable(r.values[i-1], r.values[i]); ok && math.Abs(a-b) > 1e-6*math.Max(math.Abs(a), math.Abs(b)) {
				f.flag(FlagRunOn, "The two sides of an equals sign in your working are not equal: %s and %s. Begin a new line for a new step.", show(a), show(b))
			}
			continue
		}
		r.result(f, i, x)
	}
	for _, v := range r.values {
		for _, note := range v.Notes {
			if !hasText(f, note) {
				f.flag(FlagUnitNote, "%s", note)
			}
		}
	}
}

// result compares a calculation with the number written behind it.
func (r *rerun) result(f *Finding, i int, x result) {
	v := r.values[i-1]
	if v.AllUnits && x.hasUnit && v.UnitErr == nil && v.Dimension != x.unit.Dimension() {
		f.flag(FlagWorkingUnits, "The units in your working come to %s; you wrote %s.", v.Dimension.Name(), x.words())
		return
	}
	got, ok := x.of(v)
	if !ok {
		return
	}
	n, half := x.number.Value(), x.number.HalfUnit()
	diff := math.Abs(got - n)
	switch {
	case diff <= half+slack*math.Abs(n), !v.AllUnits && x.factored(got, 0):
	case diff < 2*half && math.Abs(n) < math.Abs(got):
		f.flag(FlagTruncated, "%s is cut off, not rounded: your working gives %s.", x.words(), joined(show(got), x.unitText()))
	default:
		f.flag(FlagWorking, "%s", disagree(got, x.number, x.unitText()))
	}
}

// factored reports whether a calculation written with bare numbers, which comes to got ± margin, differs from a result
// only by a factor between units, such as W and kW: the unit was changed in the head, the arithmetic is right.
func (x result) factored(got, margin float64) bool {
	n, half := x.number.Value(), x.number.HalfUnit()
	for _, k := range unitFactors {
		for _, by := range []float64{k, 1 / k} {
			if got != 0 && math.Abs(got*by-n) <= half+margin*by+slack*math.Abs(n) {
				return true
			}
		}
	}
	return false
}

// unitFactors are the factors that units of the trade differ by (exact).
var unitFactors = []float64{10, 100, 1e3, 1e4, 1e5, 1e6, 60, 3600, 3.6, 1000.0 / 60}

// result is a number alone on one side of an equality.
type result struct {
	number  quantity.Number
	unit    quantity.Unit
	hasUnit bool
}

// literal gives segment i where it is a number alone.
func (r *rerun) literal(i int) (result, bool) {
	n := r.w.Segments[i].Expr.Root()
	neg := false
	if n.Kind == formula.NodeNeg {
		n, neg = n.Args[0], true
	}
	if n.Kind != formula.NodeNumber {
		return result{}, false
	}
	x := result{number: n.Number, unit: n.Unit, hasUnit: n.HasUnit}
	if neg {
		x.number = x.number.Neg()
	}
	return x, true
}

// of is what a segment comes to, as the result is written: in its unit where all of the segment's units go together, and
// as bare numbers where some are left out.
func (x result) of(v formula.SegmentValue) (float64, bool) {
	if x.hasUnit && v.UnitErr == nil && v.Dimension == x.unit.Dimension() && v.Kind == x.unit.Kind() {
		return x.unit.FromSI(v.SI), true
	}
	if v.BareErr != nil || v.AllUnits && x.hasUnit {
		return 0, false
	}
	return v.Bare, true
}

func (x result) unitText() string {
	if !x.hasUnit {
		return ""
	}
	return x.unit.String()
}

func (x result) words() string { return joined(x.number.Canonical(), x.unitText()) }

// comparable gives two segments in one measure.
func comparable(a, b formula.SegmentValue) (x, y float64, ok bool) {
	if a.UnitErr == nil && b.UnitErr == nil && a.AllUnits && b.AllUnits && a.Dimension == b.Dimension {
		return a.SI, b.SI, true
	}
	return a.Bare, b.Bare, a.BareErr == nil && b.BareErr == nil
}

// against compares what the line comes to with the figure that was stated.
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
	case literal && x.hasUnit && ok: // what its own rounding means in the stated unit
		margin = math.Abs(stated.unit.FromSI(x.unit.ToSI(x.number.Value()+x.number.HalfUnit())) - got)
	case literal:
		margin = x.number.HalfUnit()
	}
	n := t.number.Value()
	half := math.Max(t.number.HalfUnit(), margin)
	bare := !r.values[last].AllUnits
	if !ok || math.Abs(got-n) <= half+slack*math.Abs(n) || bare && stated.factored(got, margin) {
		return
	}
	if literal && x.hasUnit && x.unit.Equal(t.unit) {
		got = x.number.Value()
	}
	text := disagree(got, t.number, t.unit.String())
	if !hasText(f, text) {
		f.flag(FlagWorking, "%s", text)
	}
}

// disagree says that working and figure differ, and what is most often behind it.
func disagree(got float64, stated quantity.Number, unit string) string {
	_, most := stated.SignificantFigures()
	figures := min(max(most, 3), 6)
	gives := quantity.RoundFigures(got, figures)
	wrote := strings.ReplaceAll(stated.Canonical(), "-", "−")
	s := fmt.Sprintf("Your working gives %s; you wrote %s.", joined(gives, unit), joined(wrote, unit))
	if swapped(gives, wrote) {
		s += " Check whether two digits changed places."
	}
	return s
}

// swapped reports whether two texts differ by two neighbouring digits that changed places.
func swapped(a, b string) bool {
	if len(a) != len(b) || a == b {
		return false
	}
	for i := range len(a) - 1 {
		j := i + 1
		if a[j] == '.' && j+1 < len(a) {
			j++
		}
		c := []byte(a)
		c[i], c[j] = c[j], c[i]
		if string(c) == b {
			return true
		}
	}
	return false
}

func hasText(f *Finding, text string) bool {
	for _, have := range f.Flags {
		if have.Text == text {
			return true
		}
	}
	return false
}
