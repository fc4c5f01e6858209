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
	"bore": {8, 50}, "Re": {2300, 1e5}, "k": {0, 0.3}, "friction_laminar.Re": {10, 2300}, "gradient.f": {0.01, 0.1}, "zeta": {0.5, 30},
	"tube_gradient.flow": {10, 60}, "tube_gradient.k": {0, 0.1}, "dp": {1, 60}, "static_pressure.h": {0.5, 12}, "alpha": {0.005, 0.2},
	"growth.L": {1, 20}, "q1": {1, 40}, "h1": {1, 8}, "p1": {5, 90}, "n1": {1500, 5000}, "n2": {1000, 4800}, "tf": {45, 90}, "tr": {25, 80},
	"ta": {10, 24}, "rated": {300, 3500}, "excess": {10, 70}, "rated_excess": {30, 60}, "n": {1, 1.6}, "d": {10, 300}, "lambda": {0.02, 0.3},
	"lambda_bridge": {0.02, 0.3}, "share": {0, 1}, "rest": {0.2, 2}, "A": {1, 40}, "fabric_loss.U": {0.1, 6}, "ti": {5, 30}, "te": {-20, 35},
	"ventilation_loss.n": {0.3, 4}, "ventilation_loss.V": {10, 200}, "psi": {-0.3, 0.8}, "bridge_loss.L": {1, 40},
	"pipe_loss.s": {0, 60}, "pipe_loss.lambda": {0.02, 0.3}, "pipe_loss.ti": {0, 90}, "pipe_loss.ta": {-20, 40}, "pipe_loss.h": {4, 15},
	"insulation_surface.s": {0, 60}, "insulation_surface.lambda": {0.02, 0.3}, "insulation_surface.ti": {0, 90},
	"insulation_surface.ta": {-20, 40}, "insulation_surface.h": {4, 15},
	"heat": {0.5, 30}, "power": {0.2, 10}, "energy": {0.2, 10}, "t_source": {-20, 20}, "t_flow": {25, 70},
	"power_of_level.L": {-110, 30}, "level_of_power.P": {1e-9, 200}, "path_loss.d": {1, 60}, "path_loss.f": {433, 2480},
	"level": {-110, 20}, "sensitivity": {-120, -60}, "corrected.t": {-20, 120}, "error": {-5, 5}, "z": {-9, 9},
	"cylinder_energy.V": {50, 300}, "cylinder_energy.t1": {2, 30}, "cylinder_energy.t2": {25, 90},
	"reheat_time.V": {50, 300}, "reheat_time.t1": {2, 30}, "reheat_time.t2": {25, 90}, "reheat_time.P": {1, 30},
	"standing_loss.Q": {0.5, 4}, "standing_loss.ts": {40, 80}, "standing_loss.ta": {5, 45}, "th": {40, 80}, "tc": {2, 30}, "tm": {25, 60},
	"mixed_volume.V": {50, 300}, "gas_rate.V": {0.01, 0.2}, "reference_volume.V": {0.01, 400}, "heat_input.V": {0.01, 0.2}, "time": {20, 300},
	"reference_volume.p": {900, 1200}, "reference_volume.t": {-20, 40}, "CV": {10, 130}, "Qg": {2, 70}, "ratio": {1, 1.2}, "eta": {60, 108},
	"pole_drop.Q": {0.2, 6}, "pole_drop.L": {1, 30}, "pole_drop.bore": {8, 40}, "pole_flow.dp": {0.1, 20}, "pole_flow.L": {1, 30},
	"pole_flow.bore": {8, 40}, "S": {0.5, 2}, "meter": {0, 0.02}, "pipes": {0.001, 0.05}, "IV": {0.002, 0.1}, "leak_rate.dp": {0, 10},
	"leak_rate.p": {900, 1100}, "CO": {0, 2000}, "CO2": {2, 12}, "CO2max": {10, 16}, "O2": {0, 20}, "tF": {40, 300}, "tA": {-10, 45},
	"A2": {0.5, 0.8}, "B": {0, 0.02}, "current.P": {5, 3000}, "current.U": {200, 250}, "conductor.t": {-20, 150}, "R20": {0.01, 5},
	"r1r2.r": {5, 40}, "r1r2.L": {1, 50}, "r1r2.t": {-20, 150}, "Ze": {0.1, 0.8}, "R12": {0.05, 3}, "voltage_drop.m": {1, 50}, "I": {0.5, 2000},
	"voltage_drop.L": {1, 50}, "adiabatic.time": {0.01, 5}, "adiabatic.k": {70, 200}, "parallel.a": {0.5, 500}, "parallel.b": {0.5, 500},
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

// ends looks at a grid over the ranges, a coarser one where there are many.
func ends(p *formula.Program, ranges []formula.Interval) (lo, hi float64) {
	n := 6
	if len(ranges) > 4 {
		n = 3
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	at := make([]float64, len(ranges))
	for k := range int(math.Pow(float64(n+1), float64(len(ranges)))) {
		for i, r := range ranges {
			at[i] = r.Lo + (r.Hi-r.Lo)*float64(k%(n+1))/float64(n)
			k /= n + 1
		}
		if v, err := p.Eval(at); err == nil {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}
