// Package formulas holds the formulas that the marker's speed is measured on: a heat output, a radiator, a friction loss,
// a vessel and a table, as plain numbers, each with the same in Go.
package formulas

import (
	"fmt"
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Workload is a formula, values for it in the order of Names, and what it comes to in Go. Names are in the order of the
// program's own. Infix is the formula as general-purpose languages write it, with pow, log10, min, max and
// interp as functions.
type Workload struct {
	Name, Text, Infix string
	Names             []string
	Values            []float64
	Native            func(v []float64) float64
}

// HeatOfSix is the first workload's formula with six names.
const HeatOfSix = "qv / 60 × rho / 1000 × cp × (tf − tr) × k"

// All are the workloads.
var All = []Workload{
	{
		"heat", "qv / 60 × rho / 1000 × cp × (tf − tr) × k + z",
		"qv / 60.0 * rho / 1000.0 * cp * (tf - tr) * k + z",
		[]string{"qv", "rho", "cp", "tf", "tr", "k", "z"},
		[]float64{12.4, 988, 4.18, 69.8, 51.3, 1, 0.5}, heat,
	},
	{
		"emitter", "P × (((tf + tr) / 2 − ta) / 50)^n",
		"P * pow(((tf + tr) / 2.0 - ta) / 50.0, n)",
		[]string{"P", "tf", "tr", "ta", "n"},
		[]float64{1480, 65, 52, 20, 1.31}, emitter,
	},
	{
		"friction", "0.25 / (log10(k / (3.7 × d) + 5.74 / Re^0.9))² × L / d × rho × v² / 2",
		"0.25 / pow(log10(k / (3.7 * d) + 5.74 / pow(Re, 0.9)), 2.0) * L / d * rho * (v * v) / 2.0",
		[]string{"k", "d", "Re", "L", "rho", "v"},
		[]float64{0.0015, 20.2, 27450, 12, 983, 0.64}, friction,
	},
	{
		"vessel", "max(V × e / (1 − (p0 + 1) / (pe + 1)), min(V, 8))",
		"max(V * e / (1.0 - (p0 + 1.0) / (pe + 1.0)), min(V, 8.0))",
		[]string{"V", "e", "p0", "pe"},
		[]float64{92, 0.029, 1, 2.5}, vessel,
	},
	{
		"table", "interp(x, 0, 999.8, 5, 1000, 10, 999.7, 15, 999.1, 20, 998.2, 25, 997, 30, 995.7, 35, 994, 40, 992.2, 45, 990.2, " +
			"50, 988, 55, 985.7, 60, 983.2, 65, 980.6, 70, 977.8, 75, 974.9)",
		"interp(x, 0.0, 999.8, 5.0, 1000.0, 10.0, 999.7, 15.0, 999.1, 20.0, 998.2, 25.0, 997.0, 30.0, 995.7, 35.0, 994.0, 40.0, 992.2, " +
			"45.0, 990.2, 50.0, 988.0, 55.0, 985.7, 60.0, 983.2, 65.0, 980.6, 70.0, 977.8, 75.0, 974.9)",
		[]string{"x"},
		[]float64{63}, table,
	},
}

// The functions take their values from where the caller has them and are not inlined, as a program's own are not: the
// compiler cannot work them out beforehand.

//go:noinline
func heat(v []float64) float64 {
	return v[0]/60*v[1]/1000*v[2]*(v[3]-v[4])*v[5] + v[6]
}

//go:noinline
func emitter(v []float64) float64 {
	return v[0] * math.Pow(((v[1]+v[2])/2-v[3])/50, v[4])
}

//go:noinline
func friction(v []float64) float64 {
	l := math.Log10(v[0]/(3.7*v[1]) + 5.74/math.Pow(v[2], 0.9))
	return 0.25 / (l * l) * v[3] / v[1] * v[4] * (v[5] * v[5]) / 2
}

//go:noinline
func vessel(v []float64) float64 {
	return max(v[0]*v[1]/(1-(v[2]+1)/(v[3]+1)), min(v[0], 8))
}

var (
	xs = [...]float64{0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75}
	ys = [...]float64{999.8, 1000, 999.7, 999.1, 998.2, 997, 995.7, 994, 992.2, 990.2, 988, 985.7, 983.2, 980.6, 977.8, 974.9}
)

//go:noinline
func table(v []float64) float64 {
	x := v[0]
	if x < xs[0] {
		return math.NaN()
	}
	for i := range len(xs) - 1 {
		if x <= xs[i+1] {
			return ys[i] + (ys[i+1]-ys[i])*((x-xs[i])/(xs[i+1]-xs[i]))
		}
	}
	return math.NaN()
}

// Program compiles the workload, and checks that it takes its values in the order of Names and gives what Go gives, if
// there is a native function.
func (w Workload) Program() (*formula.Program, error) {
	env := formula.Env{Names: map[string]quantity.Unit{}}
	for _, n := range w.Names {
		env.Names[n] = quantity.One
	}
	e, err := formula.Parse(w.Text)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", w.Name, err)
	}
	p, err := formula.Compile(e, env, quantity.One)
	if err != nil {
		return nil, fmt.Errorf("compile %s: %w", w.Name, err)
	}
	for i, n := range p.Names() {
		if n != w.Names[i] {
			return nil, fmt.Errorf("%s takes %v, not %v", w.Name, p.Names(), w.Names)
		}
	}
	if w.Native == nil {
		return p, nil
	}
	got, err := p.Eval(w.Values)
	if want := w.Native(w.Values); err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
		return nil, fmt.Errorf("%s is %v, %w; Go gives %v", w.Name, got, err, want)
	}
	return p, nil
}
