package trade

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// environment offers every function and gives each name its unit.
func environment(units map[string]string) formula.Env {
	env := formula.Env{Names: map[string]quantity.Unit{}, Functions: map[string]formula.Function{}}
	for name, unit := range units {
		env.Names[name] = quantity.MustUnit(unit)
	}
	for _, f := range Functions() {
		env.Functions[f.Name] = f
	}
	return env
}

// evaluate works text out in unit, with values as written, in the units of the environment.
func evaluate(t *testing.T, text, unit string, units map[string]string, values map[string]float64) (float64, error) {
	t.Helper()
	expr, err := formula.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	env := environment(units)
	program, err := formula.Compile(expr, env, quantity.MustUnit(unit))
	if err != nil {
		return 0, err
	}
	var args []float64
	for _, name := range program.Names() {
		args = append(args, env.Names[name].ToSI(values[name]))
	}
	return program.EvalIn(args)
}

// TestFormulas: functions as a brief calls them. The figures of the first six are EX-01, EX-02 and EX-05 of the marking
// policy's examples, worked in Python with python3-iapws; velocity is vector P01's worked value, the next three are
// worked in Python; the last ones follow from EX-05 with 1 bar of air.
func TestFormulas(t *testing.T) {
	heat := map[string]string{"qv": "L/min", "tf": "°C", "tr": "°C", "dT": "K", "qm": "kg/s"}
	first := map[string]float64{"qv": 12.4, "tf": 69.8, "tr": 51.3, "dT": 18.5, "qm": 0.204}
	second := map[string]float64{"qv": 16, "tf": 55, "tr": 46.2, "qm": 0.267}
	system := map[string]string{"Vs": "L", "tfill": "°C", "tmax": "°C", "VWR": "L", "p0": "bar(g)", "pe": "bar(g)", "Ve": "L"}
	vessel := map[string]float64{"Vs": 88, "tfill": 10, "tmax": 80, "VWR": 3, "p0": 0.75, "pe": 2.5, "Ve": 2.5}
	tests := []struct {
		text, unit string
		units      map[string]string
		values     map[string]float64
		want, rel  float64
	}{
		{"qv × rho(tr)", "kg/s", heat, first, 0.2040872733727688, 1e-11},
		{"qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "kW", heat, first, 15.792154399582222, 1e-11},
		{"qm × cp((tf + tr)/2) × dT", "kW", heat, first, 15.785401236805532, 1e-11},
		{"qv × rho(tr)", "kg/s", heat, second, 0.2639416944005846, 1e-11},
		{"qm × cp((tf + tr)/2) × (tf − tr)", "kW", heat, second, 9.819783136131282, 1e-11},
		{"Vs × (rho(tfill)/rho(tmax) − 1)", "L", system, vessel, 2.526554884035372, 1e-11},
		{"Vs × expansion(tfill, tmax)", "L", system, vessel, 2.526554884035372, 1e-11},
		{"velocity(qv, 22 mm, 0.9 mm)", "m/s", heat, first, 0.6448784, 1e-7},
		{"vessel(Ve, VWR, absolute(p0, 1 bar), absolute(pe, 1 bar))", "L", system, vessel, 11, 1e-11},
		{"tube_gradient(qv, 22 mm, 0.9 mm, 0.0015 mm, 60 °C)", "Pa/m", heat, first, 244.59818523653382, 1e-11}, // see TestTubeGradient
		{"1480 W × (log_excess(tf, tr, 20 °C)/log_excess(75 °C, 65 °C, 20 °C))^1.31", "W", heat, first, 1103.788028624391, 1e-11},
		{"bridged(140 mm, 0.035 W/(m·K), 0.13 W/(m·K), 15 %, 0.42 m²·K/W)", "W/(m²·K)", heat, first, 0.2993434690125711, 1e-11},
		{"(Ve + VWR)/acceptance(absolute(p0, 1 bar), absolute(pe, 1 bar))", "L", system, vessel, 11, 1e-11},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			got, err := evaluate(t, tt.text, tt.unit, tt.units, tt.values)
			if err != nil {
				t.Fatalf("got %v, want %v", err, tt.want)
			}
			near(t, tt.text, got, tt.want, tt.rel*math.Abs(tt.want))
		})
	}
}

// TestFormulasRefused: what cannot be worked is said in words, by the units when the formula is compiled and by the
// range when it runs.
func TestFormulasRefused(t *testing.T) {
	units := map[string]string{"t": "°C", "dT": "K", "p": "bar(g)", "qv": "L/min"}
	tests := []struct {
		text, unit string
		values     map[string]float64
		says       string
	}{
		{"rho(dT)", "kg/m³", nil, "rho"},
		{"rho(t)", "kJ/(kg·K)", nil, "density"},
		{"rho_at(t, p)", "kg/m³", nil, "gauge"},
		{"rho(t, p)", "kg/m³", nil, "one value"},
		{"bore(22 mm)", "mm", nil, "2 values"},
		{"rho(t)", "kg/m³", map[string]float64{"t": -3}, "from 0 °C to 350 °C; this is -3 °C"},
		{"rho(t)", "kg/m³", map[string]float64{"t": 140}, "At 2.5 bar absolute water stays liquid from 0 °C up to 127.41 °C"},
		{"velocity(qv, 22 mm, 0.9 mm)", "m/s", map[string]float64{"qv": 0}, "The flow must be more than nothing"},
		{"bore(15 mm, 8 mm)", "mm", nil, "leave no bore"},
		{"tube_gradient(qv, 22 mm, 0.9 mm, 0.0015 mm, t)", "Pa/m", map[string]float64{"qv": 0.5, "t": 60}, "friction_laminar(Re) holds there"},
		{"tube_gradient(qv, 22 mm, 0.9 mm, 0.0015 m, t)", "Pa/m", map[string]float64{"qv": 12, "t": 60}, "1.5 mm in a bore of 20.2 mm is not"},
		{"head(p, t)", "m", map[string]float64{"p": 0, "t": 60}, "The pressure difference must be more than nothing"},
		{"log_excess(t, 20 °C, 20 °C)", "K", map[string]float64{"t": 60}, "The return (20 °C) is not above the room (20 °C)"},
		{"mean_excess(t, t, t)", "K", map[string]float64{"t": 20}, "so the emitter gives nothing"},
		{"growth(17 K⁻¹, 7.4 m, t, 72 °C)", "mm", map[string]float64{"t": 12}, "at most 1 mm a metre and kelvin"},
		{"fabric_loss(12 m², 0.3 W/(m²·K), dT, t)", "W", nil, "fabric_loss"},
		{"bridged(140 mm, 0.035 W/(m·K), 0.13 W/(m·K), 15, 0.42 m²·K/W)", "W/(m²·K)", nil, "between 0 and 1 (0 % and 100 %); this is 15"},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			got, err := evaluate(t, tt.text, tt.unit, units, tt.values)
			if err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Fatalf("got %v and %v, want an error that says %q", got, err, tt.says)
			}
			if e, ok := errors.AsType[*formula.Error](err); !ok || e.Source != tt.text {
				t.Errorf("got %#v, want a formula.Error in %q", err, tt.text)
			}
		})
	}
}

// TestFunctionNamesAreNames: a name that the notation reads as something else, or that it keeps for itself, could never
// be called.
func TestFunctionNamesAreNames(t *testing.T) {
	for _, f := range Functions() {
		args := make([]string, len(f.Params))
		units := map[string]string{}
		for i, p := range f.Params {
			args[i] = "x" + p.Name
			units[args[i]] = p.Unit.String()
		}
		text := f.Name + "(" + strings.Join(args, ", ") + ")"
		expr, err := formula.Parse(text)
		if err != nil {
			t.Errorf("%s: got %v, want it read", text, err)
			continue
		}
		if got := formula.Functions(expr); !slices.Equal(got, []string{f.Name}) {
			t.Errorf("%s: got functions %v, want %s", text, got, f.Name)
		}
		bare := environment(units)
		bare.Functions = nil
		if _, err := formula.Compile(expr, bare, f.Result); err == nil {
			t.Errorf("%s is a function of the notation itself, so ours is never called", f.Name)
		}
		if _, err := formula.Compile(expr, environment(units), f.Result); err != nil {
			t.Errorf("%s: got %v with %v, want it compiled", text, err, slices.Collect(maps.Keys(units)))
		}
	}
}
