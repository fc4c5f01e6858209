package trade

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/golden"
	"witnessmark/internal/quantity"
)

// TestFunctionsGolden keeps the names, parameters and units that published briefs rely on.
func TestFunctionsGolden(t *testing.T) {
	var b strings.Builder
	for _, f := range Functions() {
		var params []string
		for _, p := range f.Params {
			params = append(params, p.Name+" "+p.Unit.String())
		}
		fmt.Fprintf(&b, "%s(%s) → %s\n    %s\n    %s\n", f.Name, strings.Join(params, ", "), unitName(f.Result), f.About, f.Source)
	}
	golden.Check(t, "../../testdata/trade/functions.golden", []byte(b.String()))
}

func unitName(u quantity.Unit) string {
	if u.Equal(quantity.One) {
		return "plain number"
	}
	return u.String()
}

func TestFunctionsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range Functions() {
		if f.Name == "" || f.About == "" || f.Source == "" || f.Call == nil || len(f.Params) == 0 {
			t.Errorf("%q lacks a name, a sentence, a source, a call or parameters", f.Name)
		}
		if seen[f.Name] {
			t.Errorf("%s is there twice", f.Name)
		}
		seen[f.Name] = true
		for i, p := range f.Params {
			if p.Name == "" || p.About == "" {
				t.Errorf("%s: parameter %d lacks a name or a sentence", f.Name, i)
			}
		}
	}
}

// TestFunctionsWorked: one worked figure for each function in the units it is declared in. Water from
// water_properties.csv, psat and tsat from tables 35 and 36 of R7-97 through iapws_verification.csv, tube from
// copper_tube.csv, the rest by hand.
func TestFunctionsWorked(t *testing.T) {
	tests := map[string]struct {
		args []float64
		want float64
		rel  float64
	}{
		"rho":             {[]float64{51.3}, 987.5190647069459, 1e-11},        // EX-01's density
		"rho_at":          {[]float64{10, 1.01325}, 999.70154, 5e-8},          // water_properties.csv
		"cp":              {[]float64{60.55}, 4.182671233917735, 1e-11},       // EX-01's specific heat
		"cp_at":           {[]float64{10, 1.01325}, 4.1954459, 5e-8},          // water_properties.csv
		"cp_mean":         {[]float64{10, 60}, 4.181678, 2e-7},                // water_properties.csv
		"enthalpy":        {[]float64{95}, 398.14465, 5e-8},                   // water_properties.csv
		"enthalpy_at":     {[]float64{10, 1.01325}, 42.118722, 5e-8},          // water_properties.csv
		"psat":            {[]float64{226.85}, 26.3889776, 5e-8},              // R7-97 table 35
		"tsat":            {[]float64{1}, 99.605919, 5e-8},                    // R7-97 table 36 less 273.15
		"mu":              {[]float64{60}, 0.46607885e-3, 5e-8},               // water_properties.csv
		"mu_at":           {[]float64{10, 1.01325}, 1.3059014e-3, 5e-8},       // water_properties.csv
		"nu":              {[]float64{60}, 0.47400641113454605e-6, 1e-11},     // P02's viscosity
		"nu_at":           {[]float64{10, 1.01325}, 1.3062913e-6, 1e-7},       // water_properties.csv
		"conductivity":    {[]float64{95}, 0.67525882, 5e-8},                  // water_properties.csv
		"conductivity_at": {[]float64{10, 1.01325}, 0.57877613, 5e-8},         // water_properties.csv
		"bore":            {[]float64{22, 0.9}, 20.2, 1e-12},                  // by hand
		"bore_area":       {[]float64{22, 0.9}, 320.47387, 5e-8},              // copper_tube.csv
		"content":         {[]float64{15, 0.7, 10}, 1.4526724, 5e-8},          // copper_tube.csv × 10
		"velocity":        {[]float64{12.4, 22, 0.9}, 0.6448784, 1e-7},        // 12.4/60/0.32047387
		"tube_flow":       {[]float64{1, 15, 0.7}, 8.7160344, 5e-8},           // copper_tube.csv × 60
		"expansion":       {[]float64{10, 80}, 0.0287109, 1e-5},               // water_properties.csv
		"acceptance":      {[]float64{1.75, 3.5}, 0.5, 1e-12},                 // by hand
		"vessel":          {[]float64{2.5, 3, 1.75, 3.5}, 11, 1e-12},          // EX-05's second figure from its own 2.5 L
		"fill_pressure":   {[]float64{12, 2.4, 1.75}, 2.1875, 1e-12},          // by hand
		"hot_pressure":    {[]float64{12, 2.2, 1.75, 2.2}, 2.858910891, 1e-9}, // by hand: 21/(9.5454… − 2.2)
	}
	for _, f := range Functions() {
		t.Run(f.Name, func(t *testing.T) {
			tt, ok := tests[f.Name]
			if !ok {
				t.Fatal("no worked figure")
			}
			if len(tt.args) != len(f.Params) {
				t.Fatalf("got %d parameters, want %d", len(f.Params), len(tt.args))
			}
			got := f.Result.FromSI(must(t)(f.Call(si(f, tt.args))))
			near(t, f.Name, got, tt.want, tt.rel*math.Abs(tt.want))
		})
	}
}

func si(f formula.Function, args []float64) []float64 {
	out := make([]float64, len(args))
	for i, a := range args {
		out[i] = f.Params[i].Unit.ToSI(a)
	}
	return out
}

// TestFunctionsAllocateNothing holds for every call that gives a figure: the middle of spans does.
func TestFunctionsAllocateNothing(t *testing.T) {
	for _, f := range Functions() {
		in := make([]float64, len(f.Params))
		for i, p := range f.Params {
			s := span(t, f.Name, p.Name)
			in[i] = p.Unit.ToSI((s[0] + s[1]) / 2)
		}
		var err error
		n := testing.AllocsPerRun(50, func() { _, err = f.Call(in) })
		if n != 0 || err != nil {
			t.Errorf("%s: got %v allocations a call and %v, want none", f.Name, n, err)
		}
	}
}

// FuzzFunctions: whatever a formula can pass, the answer is a finite figure or a RangeError on a declared parameter.
func FuzzFunctions(f *testing.F) {
	f.Add(333.15, 2.5e5, 1.0, 1.0, 0.5, 1.0)
	f.Add(273.15, 611.3, 0.0, -1.0, 293.15, 1e30)
	f.Add(0.022, 0.0009, 1e5, 2e5, 333.15, 10.0)
	f.Add(1e30, 1e-30, -1e30, 0.0, 1e-30, 1e30)
	f.Add(math.NaN(), math.Inf(1), math.Inf(-1), 1e-30, math.NaN(), math.Inf(1))
	all := Functions()
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g float64) {
		args := []float64{a, b, c, d, e, g}
		for _, x := range args {
			// The notation bounds what it passes on.
			if m := math.Abs(x); m != 0 && (m < 1e-30 || m > 1e30 && !math.IsInf(x, 0)) {
				t.Skip("outside the notation's numbers")
			}
		}
		for _, fn := range all {
			got, err := fn.Call(args[:len(fn.Params)])
			if err == nil {
				if math.IsNaN(got) || math.IsInf(got, 0) {
					t.Errorf("%s%v: got %v", fn.Name, args[:len(fn.Params)], got)
				}
				continue
			}
			e, ok := errors.AsType[*RangeError](err)
			if !ok || !slices.ContainsFunc(fn.Params, func(p formula.Param) bool { return p.Name == e.Param }) {
				t.Errorf("%s%v: got %v (%#v), want a RangeError on one of its parameters", fn.Name, args, err, e)
			}
		}
	})
}
