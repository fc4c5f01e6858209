//go:build oracle

package oracle_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
	"witnessmark/internal/trade"
)

// mathjsNotation writes units as mathjs reads them. Temperatures are kelvin there: it has no points.
func mathjsNotation() notation {
	n := notation{map[string]string{}, " ", "^"}
	for _, row := range quantity.Table() {
		n.atoms[row.Unit.String()] = row.Unit.String()
	}
	for ours, theirs := range map[string]string{
		"min": "minute", "h": "hour", "d": "day", "°C": "K", "Ω": "ohm", "kΩ": "kohm", "mΩ": "mohm", "MΩ": "Mohm",
		"%": "0.01", "ppm": "0.000001", "rpm": "(1/minute)", "Wh": "(W hour)", "kWh": "(kW hour)", "VA": "(V A)",
	} {
		n.atoms[ours] = theirs
	}
	return n
}

// mathjsWriter writes formulas of the trade for mathjs; fails says what of them cannot be written.
type mathjsWriter struct {
	notation
	entries map[string]trade.Entry
	fails   string
}

// node writes n with what stands for each name in its place.
func (w *mathjsWriter) node(n *formula.Node, values map[string]string) string {
	var args []string
	for _, a := range n.Args {
		args = append(args, w.node(a, values))
	}
	switch n.Kind {
	case formula.NodeNumber:
		return w.quantity(n.Number.Value(), n.Unit)
	case formula.NodeName:
		return values[n.Name]
	case formula.NodePi:
		return "pi"
	case formula.NodeNeg:
		return "(-" + args[0] + ")"
	case formula.NodeAdd, formula.NodeSub, formula.NodeMul, formula.NodeDiv, formula.NodePow:
		sign := map[formula.NodeKind]string{formula.NodeAdd: "+", formula.NodeSub: "-", formula.NodeMul: "*", formula.NodeDiv: "/", formula.NodePow: "^"}
		return "(" + strings.Join(args, sign[n.Kind]) + ")"
	case formula.NodeRoot:
		return "sqrt(" + args[0] + ")"
	case formula.NodeCall:
		return w.call(n.Name, args)
	case formula.NodeUnit:
	}
	w.fails = "a unit behind brackets"
	return ""
}

// call writes a function of the notation, and what a function of the trade says of itself in its place.
func (w *mathjsWriter) call(name string, args []string) string {
	if own, ok := map[string]string{"ln": "log", "log10": "log10", "exp": "exp", "min": "min", "max": "max", "kelvin": ""}[name]; ok {
		return own + "(" + strings.Join(args, ",") + ")"
	}
	e, ok := w.entries[name]
	if !ok || e.Formula == "" {
		w.fails = name
		return ""
	}
	return w.entry(e, args)
}

func (w *mathjsWriter) entry(e trade.Entry, args []string) string {
	x, err := formula.Parse(e.Formula)
	if err != nil {
		w.fails = err.Error()
		return ""
	}
	values := map[string]string{}
	for i, p := range e.Params {
		values[p.Name] = args[i]
	}
	return w.node(x.Root(), values)
}

// quantity writes a value in a unit: a temperature in kelvin, a pressure without saying from where it counts, heat without
// saying of which calorific value.
func (w *mathjsWriter) quantity(v float64, u quantity.Unit) string {
	if u.String() == "" {
		return "(" + shortest(v) + ")"
	}
	if u.Kind() == quantity.TemperaturePoint {
		return "(" + shortest(u.ToSI(v)) + " * K)"
	}
	symbol := u.String()
	for _, kind := range []string{" gross", " net", "(a)", "(g)"} {
		symbol = strings.TrimSuffix(symbol, kind)
	}
	unit := ""
	if u.Kind() != quantity.Level {
		unit = w.write(quantity.MustUnit(symbol))
	}
	if unit == "" {
		w.fails = "the unit " + u.String()
	}
	return "(" + shortest(v) + " * (" + unit + "))"
}

func shortest(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// TestTradeFormulasByMathjs: what the reference says of a function, worked out by mathjs with its units, is what the
// function gives: at its example and at both ends of its chart. Levels, and what has no formula, it cannot work.
func TestTradeFormulasByMathjs(t *testing.T) {
	w := mathjsWriter{mathjsNotation(), map[string]trade.Entry{}, ""}
	for _, s := range trade.Subjects() {
		for _, e := range s.Entries {
			w.entries[e.Name] = e
		}
	}
	var asked []expression
	var want []float64
	var without []string
	written := 0
	for _, s := range trade.Subjects() {
		for _, e := range s.Entries {
			w.fails = ""
			texts, values := w.points(t, e)
			if w.fails != "" || e.Formula == "" {
				without = append(without, e.Name+" ("+w.fails+")")
				continue
			}
			written++
			for i, text := range texts {
				asked = append(asked, expression{ours: e.Name + ": " + e.Formula, theirs: text})
				want = append(want, values[i])
			}
		}
	}
	t.Logf("%d formulas written, none of %s", written, strings.Join(without, ", "))
	if written < 45 {
		t.Errorf("only %d formulas could be written", written)
	}
	for i, got := range mathjs(t, asked) {
		if got.value == 0 && got.why == "" && strings.HasPrefix(asked[i].ours, "log_excess:") {
			continue // flow and return are equal at the end of its chart: 0/0, where the function gives the limit
		}
		if got.why != "" || !(math.Abs(got.value-want[i]) <= 1e-12*math.Abs(want[i])) {
			t.Errorf("%s = %.17g; mathjs has %.17g, %s for %s", asked[i].ours, want[i], got.value, got.why, asked[i].theirs)
		}
	}
}

// points writes the call of an entry at its example and at both ends of its chart, with what it gives there in SI units.
func (w *mathjsWriter) points(t *testing.T, e trade.Entry) (texts []string, values []float64) {
	t.Helper()
	if e.Formula == "" {
		return nil, nil
	}
	for _, over := range []string{"", e.Chart.From, e.Chart.To} {
		args, in := make([]string, len(e.Params)), make([]float64, len(e.Params))
		for i, p := range e.Params {
			text := e.Example[i]
			if over != "" && p.Name == e.Chart.Over {
				text = over
			}
			q, err := quantity.ParseQuantityFor(text, p.Unit)
			if err != nil {
				t.Fatal(err)
			}
			v, err := q.In(p.Unit)
			if err != nil {
				t.Fatal(err)
			}
			args[i], in[i] = w.quantity(v, p.Unit), p.Unit.ToSI(v)
		}
		v, err := e.Call(in)
		if err != nil {
			t.Fatalf("%s: %v", e.Name, err)
		}
		texts, values = append(texts, w.entry(e, args)), append(values, v)
	}
	return texts, values
}
