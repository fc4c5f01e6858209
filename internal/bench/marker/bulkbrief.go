package main

import (
	"fmt"
	"math"
	"regexp"

	"witnessmark/internal/brief"
)

// bulkInputs are the given and measured quantities of the bulk brief, with the spread that they are drawn from, in their
// units. The values are invented; a rig of this size has such ones.
var bulkInputs = []struct {
	name, unit string
	from, to   float64
}{
	{"qv", "L/min", 6, 20}, {"tf", "°C", 55, 80}, {"tr", "°C", 35, 50}, {"ti", "°C", 18, 22}, {"te", "°C", -5, 5},
	{"load", "kW", 8, 24}, {"rated", "kW", 1, 3}, {"d", "mm", 10, 26}, {"len", "m", 5, 40}, {"k", "mm", 0.0015, 0.15},
	{"nu", "mm²/s", 0.35, 0.7}, {"U", "W/(m²·K)", 0.2, 2}, {"A", "m²", 10, 120}, {"V", "m³", 20, 250}, {"n", "1/h", 0.3, 2},
	{"Vs", "L", 60, 220}, {"p0", "bar(g)", 0.5, 1.2}, {"pf", "bar(g)", 2, 2.8},
}

// bulkFigures are twelve figures of one heating job: five are worked from the readings alone, seven from earlier figures.
// Beside each stands what a Go programmer would write for it, over columns in SI base units.
var bulkFigures = []struct {
	key, unit, formula string
	vary               string // the name that a declared slip takes wrongly; "" takes the whole wrongly
	native             func(in, made map[string][]float64, out []float64)
}{
	{"dt", "K", "tf − tr", "", func(in, _ map[string][]float64, out []float64) {
		tf, tr := in["tf"][:len(out)], in["tr"][:len(out)]
		for i := range out {
			out[i] = tf[i] - tr[i]
		}
	}},
	{"heat", "kW", "qv × 0.988 kg/L × 4.18 kJ/(kg·K) × dt", "qv", func(in, made map[string][]float64, out []float64) {
		qv, dt := in["qv"][:len(out)], made["dt"][:len(out)]
		for i := range out {
			out[i] = qv[i] * 988 * 4180 * dt[i]
		}
	}},
	{"share", "%", "heat / load", "heat", func(in, made map[string][]float64, out []float64) {
		heat, load := made["heat"][:len(out)], in["load"][:len(out)]
		for i := range out {
			out[i] = heat[i] / load[i]
		}
	}},
	{"emitter", "kW", "rated × (((tf + tr) / 2 − ti) / 50 K)^1.3", "rated", func(in, _ map[string][]float64, out []float64) {
		rated, tf, tr, ti := in["rated"][:len(out)], in["tf"][:len(out)], in["tr"][:len(out)], in["ti"][:len(out)]
		for i := range out {
			out[i] = rated[i] * math.Pow(((tf[i]+tr[i])/2-ti[i])/50, 1.3)
		}
	}},
	{"v", "m/s", "4 × qv / (π × d²)", "d", func(in, _ map[string][]float64, out []float64) {
		qv, d := in["qv"][:len(out)], in["d"][:len(out)]
		for i := range out {
			out[i] = 4 * qv[i] / (math.Pi * (d[i] * d[i]))
		}
	}},
	{"Re", "-", "v × d / nu", "d", func(in, made map[string][]float64, out []float64) {
		v, d, nu := made["v"][:len(out)], in["d"][:len(out)], in["nu"][:len(out)]
		for i := range out {
			out[i] = v[i] * d[i] / nu[i]
		}
	}},
	{"lambda", "-", "0.25 / log10(k / (3.7 × d) + 5.74 / Re^0.9)²", "Re", func(in, made map[string][]float64, out []float64) {
		k, d, re := in["k"][:len(out)], in["d"][:len(out)], made["Re"][:len(out)]
		for i := range out {
			x := math.Log10(k[i]/(3.7*d[i]) + 5.74/math.Pow(re[i], 0.9))
			out[i] = 0.25 / (x * x)
		}
	}},
	{"drop", "kPa", "lambda × len / d × 988 kg/m³ × v² / 2", "v", func(in, made map[string][]float64, out []float64) {
		lambda, length, d, v := made["lambda"][:len(out)], in["len"][:len(out)], in["d"][:len(out)], made["v"][:len(out)]
		for i := range out {
			out[i] = lambda[i] * length[i] / d[i] * 988 * (v[i] * v[i]) / 2
		}
	}},
	{"loss", "kW", "(U × A + 0.34 Wh/(m³·K) × n × V) × (ti − te)", "n", func(in, _ map[string][]float64, out []float64) {
		u, a, n, v := in["U"][:len(out)], in["A"][:len(out)], in["n"][:len(out)], in["V"][:len(out)]
		ti, te := in["ti"][:len(out)], in["te"][:len(out)]
		for i := range out {
			out[i] = (u[i]*a[i] + 1224*n[i]*v[i]) * (ti[i] - te[i])
		}
	}},
	{"Ve", "L", "Vs × interp(tf, " + densities + ")", "Vs", func(in, _ map[string][]float64, out []float64) {
		vs, tf := in["Vs"][:len(out)], in["tf"][:len(out)]
		for i := range out {
			out[i] = vs[i] * expansion(tf[i])
		}
	}},
	{"vessel", "L", "max(8 L, Ve × absolute(pf) / (absolute(pf) − absolute(p0)))", "Ve", func(in, made map[string][]float64, out []float64) {
		ve, pf, p0 := made["Ve"][:len(out)], in["pf"][:len(out)], in["p0"][:len(out)]
		for i := range out {
			final, first := pf[i]+101325, p0[i]+101325
			out[i] = max(0.008, ve[i]*final/(final-first))
		}
	}},
	{"bore", "mm", "sqrt(4 × qv / (π × 1 m/s))", "qv", func(in, _ map[string][]float64, out []float64) {
		qv := in["qv"][:len(out)]
		for i := range out {
			out[i] = math.Sqrt(4 * qv[i] / (math.Pi * 1))
		}
	}},
}

// densities is a table of how much water grows from 10 °C (common practice, no source).
const densities = "10 °C, 0, 20 °C, 0.0015, 30 °C, 0.0041, 40 °C, 0.0075, 50 °C, 0.0118, 60 °C, 0.0168, 70 °C, 0.0224, 80 °C, 0.0287, 90 °C, 0.0355"

var grown = [...]float64{0, 0.0015, 0.0041, 0.0075, 0.0118, 0.0168, 0.0224, 0.0287, 0.0355}

// expansion is that table as a Go programmer would write it; t is in kelvin.
func expansion(t float64) float64 {
	x := (t - 283.15) / 10
	i := min(max(int(x), 0), len(grown)-2)
	return grown[i] + (grown[i+1]-grown[i])*(x-float64(i))
}

// bulkSize is how large a brief for bulk runs is: so many times the twelve figures, and so many wrong ways of working each.
type bulkSize struct{ copies, ways int }

// compile makes the brief. Beside the slips that the marker makes of a formula itself each figure declares as many as it
// takes to have its ways; every one works the formula afresh with one of its values taken wrongly.
func (z bulkSize) compile() (*brief.Compiled, error) {
	declared := map[string]int{}
	for range 20 {
		c, problems := brief.Compile(z.brief(declared), nil)
		if err := problems.Err(); err != nil {
			return nil, err
		}
		settled := true
		for i := range c.Items {
			if it := &c.Items[i]; it.Item.Figure != nil {
				missing := z.ways - len(it.Wrongs().Ways)
				declared[it.Item.Key] += missing
				settled = settled && missing == 0
			}
		}
		if settled {
			return c, nil
		}
	}
	return nil, fmt.Errorf("no number of declared slips makes %d ways of working for each figure", z.ways)
}

func (z bulkSize) brief(declared map[string]int) *brief.Brief {
	b := &brief.Brief{Edition: brief.Edition, Key: "bulk", Title: "Bulk"}
	items := make([]brief.Item, 0, len(bulkInputs)+z.copies*len(bulkFigures))
	for _, in := range bulkInputs {
		items = append(items, brief.Item{Key: in.name, Title: in.name, Reading: &brief.Reading{Is: in.name, Unit: in.unit}})
		b.Model = append(b.Model, brief.ModelAnswer{Item: in.name, Text: fmt.Sprintf("%.4g", (in.from+in.to)/2)})
	}
	for n := range z.copies {
		for _, f := range bulkFigures {
			figure := &brief.Figure{Ask: f.key, Unit: f.unit, Formula: f.formula, Tolerance: &brief.Tolerance{Relative: "1 %"}}
			key := copyOf(f.key, n)
			for i := range declared[key] {
				figure.Slips = append(figure.Slips, brief.Slip{Key: fmt.Sprintf("s%d", i), Is: "a slip", Formula: taken(f.formula, f.vary, 1.05+0.04*float64(i))})
			}
			items = append(items, brief.Item{Key: key, Title: key, Figure: figure})
		}
	}
	b.Stages = []brief.Stage{{Key: "work", Title: "Work", Items: items}}
	return b
}

// copyOf names a figure's copy number n; the first is the figure itself, and the others rest on the same values as it.
func copyOf(key string, n int) string {
	if n == 0 {
		return key
	}
	return fmt.Sprintf("%s_%d", key, n)
}

// taken is a formula with one of its names taken times a factor.
func taken(formula, name string, factor float64) string {
	if name == "" {
		return fmt.Sprintf("(%s) × %.4g", formula, factor)
	}
	word := regexp.MustCompile(`\b` + name + `\b`)
	return word.ReplaceAllString(formula, fmt.Sprintf("(%s × %.4g)", name, factor))
}
