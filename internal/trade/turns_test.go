package trade

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
)

// spans are ranges in which each parameter is tried, in the function's own units: those of "function.parameter" where it
// is there, else those of "parameter".
var spans = map[string][2]float64{
	"t": {0, 127}, "t1": {0, 127}, "t2": {0, 127}, "od": {10, 40}, "wall": {0.5, 3}, "length": {0.1, 30}, "flow": {0.1, 60}, "v": {0.1, 3},
	"p0": {1.2, 3}, "pe": {3.1, 6}, "Ve": {0.1, 4}, "VWR": {0.1, 4}, "VN": {12, 80}, "pa": {3, 4}, "p": {0.01, 200},
}

// span gives the range in which a function's parameter is tried.
func span(t testing.TB, function, param string) [2]float64 {
	t.Helper()
	if s, ok := spans[function+"."+param]; ok {
		return s
	}
	s, ok := spans[param]
	if !ok {
		t.Fatalf("%s: no span for %s", function, param)
	}
	return s
}

// TestTurns: a range worked out over a function holds what the function gives anywhere in it, and is no wider than that by
// much; where nothing is known of a function its range is refused.
func TestTurns(t *testing.T) {
	for _, f := range Functions() {
		t.Run(f.Name, func(t *testing.T) {
			p := callOf(t, f)
			tried := make([][2]float64, len(f.Params))
			for i, param := range f.Params {
				tried[i] = span(t, f.Name, param.Name)
			}
			if f.Turns != nil && len(f.Turns) != len(f.Params) {
				t.Fatalf("turns of %d parameters for %d", len(f.Turns), len(f.Params))
			}
			rapid.Check(t, func(t *rapid.T) {
				ranges, at := drawRanges(t, f, tried)
				got, err := p.EvalInterval(ranges)
				if f.Turns == nil {
					if err == nil {
						t.Fatalf("over %v: %v, though nothing is known of it", ranges, got)
					}
					return
				}
				v, callErr := p.Eval(at)
				if err == nil && (callErr != nil || !got.Has(v)) {
					t.Fatalf("over %v: %v; at %v it is %v, %v", ranges, got, at, v, callErr)
				}
				if err != nil {
					return
				}
				lo, hi := ends(p, ranges)
				if slack := 1e-6*math.Abs(hi) + 0.1*(hi-lo) + 1e-9; got.Lo < lo-slack || got.Hi > hi+slack {
					t.Fatalf("over %v: %v, much wider than %v to %v", ranges, got, lo, hi)
				}
			})
		})
	}
}

// callOf is a formula that calls f with its parameters as names.
func callOf(t *testing.T, f formula.Function) *formula.Program {
	t.Helper()
	text, units := f.Name+"(", map[string]string{}
	for i, p := range f.Params {
		if i > 0 {
			text += ", "
		}
		text += p.Name
		units[p.Name] = p.Unit.String()
	}
	e, err := formula.Parse(text + ")")
	if err != nil {
		t.Fatal(err)
	}
	program, err := formula.Compile(e, environment(units), f.Result)
	if err != nil {
		t.Fatal(err)
	}
	return program
}

func drawRanges(t *rapid.T, f formula.Function, tried [][2]float64) (ranges []formula.Interval, at []float64) {
	for i, p := range f.Params {
		s := tried[i]
		a, b := rapid.Float64Range(s[0], s[1]).Draw(t, p.Name), rapid.Float64Range(s[0], s[1]).Draw(t, p.Name)
		lo, hi := p.Unit.ToSI(min(a, b)), p.Unit.ToSI(max(a, b))
		ranges = append(ranges, formula.Interval{Lo: lo, Hi: hi})
		at = append(at, min(hi, lo+(hi-lo)*rapid.Float64Range(0, 1).Draw(t, "share")))
	}
	return ranges, at
}

// ends looks at a grid over the ranges.
func ends(p *formula.Program, ranges []formula.Interval) (lo, hi float64) {
	const n = 6
	lo, hi = math.Inf(1), math.Inf(-1)
	at := make([]float64, len(ranges))
	for k := range int(math.Pow(n+1, float64(len(ranges)))) {
		for i, r := range ranges {
			at[i] = r.Lo + (r.Hi-r.Lo)*float64(k%(n+1))/n
			k /= n + 1
		}
		if v, err := p.Eval(at); err == nil {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}
