package marking

import (
	"fmt"
	"math"
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Explanation is the reference of one figure or choice worked step by step with the trainee's figures. It holds the checked
// answer: what keeps references from a trainee before the decision keeps explanations as well.
type Explanation struct {
	Item, Title string
	Formula     formula.Line // in symbols: P = qv × rho(tr) × dT, or Vn ≥ Ve ÷ f of a size; nil of a choice by conditions
	Given       Worked       // from the given and measured values
	Own         *Worked      // from the trainee's own earlier answers; nil where they lead to the same result as asked
	Stands      string       // where the stated value lies or what was chosen, in a sentence; "" where nothing was stated
}

// StepsRounded says how steps are to be read; it stands once under them.
const StepsRounded = "Values on the way are shown rounded; the work goes on with all their digits."

// Worked is a formula worked out, or a choice decided.
type Worked struct {
	Values  []NamedValue   // what its names stand for, in the order of their first use; from own answers those alone that differ
	Lines   []formula.Line // the values put in, conversions and steps in order; a figure's last ends in the result as asked
	Options []WorkedOption // of a choice: each put to the test, down to the one that decides; of sizes that one and the one below it
	So      string         // then: what that makes the answer, in a sentence
	Answer  string         // of a choice: its text, as the finding has it; "" where it cannot be worked out
	Result  *float64       // of a figure: in the asked unit, to 12 figures, as the finding has it; nil where it cannot be worked out
	Why     string         // then: what is missing, in a sentence; there are no Lines and no Options
}

// NamedValue is what a name of a formula stands for.
type NamedValue struct {
	Line formula.Line // tf = 69.8 °C; the name alone where nothing is known
	Is   string       // "Flow temperature"
	From string       // "measured", "given", "worked out above", "as stated"
}

// Explain works the figure or choice with the key item out step by step, from the sheet as Mark sees it. The error says that
// the brief has no such item. The same brief and sheet always give the same explanation.
func Explain(c *brief.Compiled, s Sheet, item string) (Explanation, error) {
	for i := range c.Items {
		if it := &c.Items[i]; it.Item.Key == item && explainable(it) {
			return newExplainer(c, s).explain(it), nil
		}
	}
	return Explanation{}, fmt.Errorf("the brief has no figure or choice %q", item)
}

// ExplainAll explains every figure and choice, in the brief's order.
func ExplainAll(c *brief.Compiled, s Sheet) []Explanation {
	e := newExplainer(c, s)
	var out []Explanation
	for i := range c.Items {
		if it := &c.Items[i]; explainable(it) {
			out = append(out, e.explain(it))
		}
	}
	return out
}

// explainable says whether an item's reference is worked out.
func explainable(it *brief.CompiledItem) bool { return it.Item.Figure != nil || it.Item.Choice != nil }

// explainer is a marker that has run, so that every name has its values.
type explainer struct {
	m   *marker
	env formula.Env
}

func newExplainer(c *brief.Compiled, s Sheet) *explainer {
	m := newMarker(c, s)
	e := &explainer{m: m, env: formula.Env{Names: make(map[string]quantity.Unit, len(c.Names)), Functions: c.Functions}}
	for i := range c.Items {
		m.item(i)
	}
	for i := range c.Names {
		e.env.Names[c.Names[i].Name] = c.Names[i].Unit
	}
	return e
}

func (e *explainer) explain(it *brief.CompiledItem) Explanation {
	if it.Item.Choice != nil {
		return e.choice(it)
	}
	return e.figure(it)
}

func (e *explainer) figure(it *brief.CompiledItem) Explanation {
	out := Explanation{Item: it.Item.Key, Title: it.Item.Title}
	expr, err := formula.Parse(it.Formula.Text)
	if err != nil { // cannot be: the brief was compiled from it
		out.Given.Why = err.Error()
		return out
	}
	out.Formula = formula.Line{{Node: formula.Name(it.Item.Key)}, {Sign: "=", Node: expr.Root()}}
	given := e.m.evaluate(it.Formula, it.Unit, false)
	own := e.m.evaluate(it.Formula, it.Unit, true)
	out.Given = e.worked(it, expr, given, false)
	if own.known && (!given.known || asAsked(it.Tolerance, own.value) != asAsked(it.Tolerance, given.value)) {
		w := e.worked(it, expr, own, true)
		w.Values = differing(w.Values, out.Given.Values)
		out.Own = &w
	}
	out.Stands = e.stands(it)
	return out
}

// differing leaves those values that are not among the others.
func differing(vs, others []NamedValue) []NamedValue {
	return slices.DeleteFunc(vs, func(v NamedValue) bool {
		return slices.ContainsFunc(others, func(o NamedValue) bool { return o.From == v.From && o.Line.Text() == v.Line.Text() })
	})
}

// worked works a figure's formula out, from the trainee's own earlier answers where own is set.
func (e *explainer) worked(it *brief.CompiledItem, expr *formula.Expr, r reference, own bool) Worked {
	if !r.known {
		return Worked{Values: e.values(it.Formula.Needs, nil, own), Why: sentenceOf(r.why)}
	}
	s := e.stepper(it.Formula.Needs, own)
	lines := s.lines(expr, it.Item.Key, it.Unit, r.value, it.Tolerance)
	return Worked{Values: e.values(it.Formula.Needs, s, own), Lines: lines, Result: stored(r.value)}
}

// stepper knows the values of some names.
func (e *explainer) stepper(needs []int, own bool) *stepper {
	s := newStepper(e.env)
	for _, n := range needs {
		name := e.m.c.Names[n].Name
		s.values[name], s.decimals[name] = e.si(n, own), e.decimals(n, own)
	}
	return s
}

// values lists what names stand for, each once, with the digits that the steps show.
func (e *explainer) values(needs []int, s *stepper, own bool) []NamedValue {
	var out []NamedValue
	for i, n := range needs {
		if !slices.Contains(needs[:i], n) {
			out = append(out, e.named(n, s, own))
		}
	}
	return out
}

// si is the value that the marker used for a name, in SI base units.
func (e *explainer) si(n int, own bool) float64 {
	if v := &e.m.values[n]; own && v.ownKnown {
		return v.own
	}
	return e.m.values[n].given
}

// named is one name's value; s is nil where no steps show it.
func (e *explainer) named(n int, s *stepper, own bool) NamedValue {
	name, v := &e.m.c.Names[n], &e.m.values[n]
	out := NamedValue{Line: formula.Line{{Node: formula.Name(name.Name)}}, Is: e.m.title(name), From: "given"}
	if name.Given >= 0 {
		out.Is = e.m.c.Givens[name.Given].Given.Is
	} else if it := &e.m.c.Items[name.Item]; it.Item.Form() == brief.FormReading {
		out.From = "measured"
		if n := it.Item.Reading.Repeats; n > 1 {
			out.From = fmt.Sprintf("mean of %d readings", n)
		}
	} else if out.From = "worked out above"; own && v.stated {
		out.From = "as stated"
	}
	if v.known || own && v.ownKnown {
		x := name.Unit.FromSI(e.si(n, own))
		number := statedNumber(x, e.decimals(n, own))
		if s != nil && s.put[name.Name] != nil {
			number = s.put[name.Name].Number
		}
		out.Line = append(out.Line, formula.Side{Sign: signOf(x, number), Node: formula.Value(number, name.Unit)})
	}
	return out
}

// decimals is how many decimals a name's value was stated with, in the name's own unit; −1 where it was not.
func (e *explainer) decimals(n int, own bool) int {
	name := &e.m.c.Names[n]
	if name.Given >= 0 {
		q := e.m.c.Givens[name.Given].Value
		if text, ok := e.m.sheet.Given[name.Name]; ok {
			var err error
			if q, err = quantity.ParseQuantityFor(text, name.Unit); err != nil {
				return -1
			}
		}
		if !q.Unit.Equal(name.Unit) {
			return -1
		}
		return q.Number.Decimals()
	}
	it := &e.m.c.Items[name.Item]
	if it.Item.Form() == brief.FormFigure && !(own && e.m.values[n].stated) {
		return -1
	}
	most := -1
	for _, entry := range e.m.sheet.Entries {
		if entry.Item != it.Item.Key {
			continue
		}
		if t := readTyped(entry.Text, entry.Unit, it.Unit); t.verdict == "" && t.unit.Equal(it.Unit) {
			most = max(most, t.number.Decimals())
		}
	}
	return most
}

// stands says where the stated figure lies, and what is accepted.
func (e *explainer) stands(it *brief.CompiledItem) string {
	f := e.finding(it.Item.Key)
	if f == nil || f.Verdict == NotAttempted || f.Stated == "" {
		return ""
	}
	s := "Stated: " + joined(f.Stated, e.printed(it))
	if f.Converted != nil && f.FromGiven != nil {
		if diff := quantity.Stored(*f.Converted - *f.FromGiven); diff == 0 {
			s += ", the same"
		} else {
			s += ", " + tutorDifference(diff, *f.FromGiven, it.Unit.Difference().String())
		}
	}
	s += "."
	if f.FromGiven == nil {
		return s
	}
	if t := it.Tolerance; t.Figures == 0 && !t.AtLeast && !t.AtMost && (t.Absolute > 0 || t.Relative > 0) {
		most := max(t.Absolute, t.Relative*math.Abs(*f.FromGiven))
		return s + fmt.Sprintf(" Accepted: %s to %s (%s).", show(*f.FromGiven-most), withUnit(*f.FromGiven+most, f.Unit), f.Tolerance)
	}
	return s + fmt.Sprintf(" Accepted: %s.", f.Tolerance)
}

// printed is the asked unit where the form prints it and the trainee typed none.
func (e *explainer) printed(it *brief.CompiledItem) string {
	entry := e.m.entries[lineKey{item: it.Item.Key}]
	if t := readTyped(entry.Text, entry.Unit, it.Unit); t.verdict == "" && !t.unitSet && !it.Item.Figure.AskUnit {
		return it.Unit.String()
	}
	return ""
}

func (e *explainer) finding(item string) *Finding {
	for i := range e.m.result.Findings {
		if f := &e.m.result.Findings[i]; f.Item == item {
			return f
		}
	}
	return nil
}

// sentenceOf begins with a capital letter and ends with a full stop.
func sentenceOf(s string) string {
	if s == "" {
		return ""
	}
	return capital(s) + "."
}
