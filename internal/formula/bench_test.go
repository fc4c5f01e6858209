package formula_test

import (
	"math"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// workload is a formula and the same in Go.
type workload struct {
	name, text string
	names      []string
	values     []float64
	native     func(v []float64) float64
}

// workloads: a heat output, a radiator, a friction factor, a vessel and a table, as plain numbers.
var workloads = []workload{
	{"heat", "qv / 60 × rho / 1000 × cp × (tf - tr) × k + z", []string{"qv", "rho", "cp", "tf", "tr", "k", "z"}, []float64{12.4, 988, 4.18, 69.8, 51.3, 1, 0.5},
		func(v []float64) float64 { return v[0]/60*v[1]/1000*v[2]*(v[3]-v[4])*v[5] + v[6] }},
	{"emitter", "P × (((tf + tr) / 2 - ta) / 50)^n", []string{"P", "tf", "tr", "ta", "n"}, []float64{1480, 65, 52, 20, 1.31},
		func(v []float64) float64 { return v[0] * math.Pow(((v[1]+v[2])/2-v[3])/50, v[4]) }},
	{"friction", "0.25 / (log10(k / (3.7 × d) + 5.74 / Re^0.9))² × L / d × rho × v² / 2", []string{"k", "d", "Re", "L", "rho", "v"}, []float64{0.0015, 20.2, 27450, 12, 983, 0.64},
		func(v []float64) float64 {
			l := math.Log10(v[0]/(3.7*v[1]) + 5.74/math.Pow(v[2], 0.9))
			return 0.25 / (l * l) * v[3] / v[1] * v[4] * (v[5] * v[5]) / 2
		}},
	{"vessel", "max(V × e / (1 - (p0 + 1) / (pe + 1)), min(V, 8))", []string{"V", "e", "p0", "pe"}, []float64{92, 0.029, 1, 2.5},
		func(v []float64) float64 { return max(v[0]*v[1]/(1-(v[2]+1)/(v[3]+1)), min(v[0], 8)) }},
	{"table", "interp(x, 0, 999.8, 10, 999.7, 20, 998.2, 30, 995.7, 40, 992.2, 50, 988, 60, 983.2, 70, 977.8)", []string{"x"}, []float64{63},
		func(v []float64) float64 {
			xs := [...]float64{0, 10, 20, 30, 40, 50, 60, 70}
			ys := [...]float64{999.8, 999.7, 998.2, 995.7, 992.2, 988, 983.2, 977.8}
			for i := range len(xs) - 1 {
				if v[0] <= xs[i+1] {
					return ys[i] + (ys[i+1]-ys[i])*((v[0]-xs[i])/(xs[i+1]-xs[i]))
				}
			}
			return math.NaN()
		}},
}

func (w workload) program(t testing.TB) (*formula.Program, []float64) {
	t.Helper()
	env := formula.Env{Names: map[string]quantity.Unit{}}
	in := map[string]float64{}
	for i, n := range w.names {
		env.Names[n], in[n] = quantity.One, w.values[i]
	}
	e, err := formula.Parse(w.text)
	if err != nil {
		t.Fatal(caret(err))
	}
	p, err := formula.Compile(e, env, quantity.One)
	if err != nil {
		t.Fatal(caret(err))
	}
	vs := make([]float64, 0, len(in))
	for _, n := range p.Names() {
		vs = append(vs, in[n])
	}
	return p, vs
}

// TestWorkloads: the benchmark's formulas agree with Go, and evaluating them allocates nothing.
func TestWorkloads(t *testing.T) {
	for _, w := range workloads {
		p, in := w.program(t)
		got, err := p.Eval(in)
		if want := w.native(w.values); err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s = %.17g, %v; want %.17g", w.name, got, err, want)
		}
		if n := testing.AllocsPerRun(100, func() {
			if _, err := p.Eval(in); err != nil {
				t.Error(err)
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations in an evaluation, want none", w.name, n)
		}
	}
}

// BenchmarkEval compares with native Go: go test -bench Eval ./internal/formula.
func BenchmarkEval(b *testing.B) {
	for _, w := range workloads {
		p, in := w.program(b)
		b.Run(w.name+"/program", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.Eval(in); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(w.name+"/native", func(b *testing.B) {
			for b.Loop() {
				sink = w.native(w.values)
			}
		})
	}
}

var sink float64

func BenchmarkCompile(b *testing.B) {
	env := testEnv()
	b.ReportAllocs()
	for b.Loop() {
		e, err := formula.Parse("qv × rho(tr) × 4.18 kJ/(kg·K) × (tf − tr)")
		if err != nil {
			b.Fatal(err)
		}
		if _, err := formula.Compile(e, env, quantity.MustUnit("kW")); err != nil {
			b.Fatal(err)
		}
	}
}
