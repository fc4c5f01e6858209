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

		// Worked in Python beside the vectors of vectors.json, where nothing else is said.
		"reynolds":         {[]float64{0.64489, 20.2, 60}, 27482.282294072953, 1e-11},
		"friction":         {[]float64{27450, 0.0015, 20.2}, 0.02417240631230389, 1e-13},
		"friction_haaland": {[]float64{27450, 0.0015, 20.2}, 0.02395759009359052, 1e-13},
		"friction_laminar": {[]float64{1600}, 0.04, 1e-13}, // by hand
		"gradient":         {[]float64{0.023955, 20.2, 0.64489, 60}, 242.47182249964675, 1e-11},
		"tube_gradient":    {[]float64{12.4, 22, 0.9, 0.0015, 60}, 244.59818523653382, 1e-11}, // see TestTubeGradient
		"fittings_loss":    {[]float64{9, 0.64489, 60}, 1840.1743824018272, 1e-11},
		"kv":               {[]float64{2.6, 7.5}, 0.5696314598053728, 1e-13},
		"head":             {[]float64{18.15055, 60}, 1.8823220622360837, 1e-11},
		"static_pressure":  {[]float64{3.85, 12}, 37.73934424891303, 1e-11},
		"growth":           {[]float64{0.017, 7.4, 12, 72}, 7.548, 1e-12},
		"pump_flow":        {[]float64{16.2, 2750, 2200}, 12.96, 1e-13}, // by hand
		"pump_head":        {[]float64{4.2, 2750, 2200}, 2.688, 1e-13},
		"pump_power":       {[]float64{38, 2750, 2200}, 19.456, 1e-13},
		"mean_excess":      {[]float64{65, 52, 20}, 38.5, 1e-13},
		"log_excess":       {[]float64{70, 40, 20}, 32.74070003811874, 1e-13},
		"emitter":          {[]float64{1480, 38.5, 50, 1.31}, 1050.9076788183004, 1e-13},
		"layer":            {[]float64{100, 0.19}, 10.0 / 19, 1e-13}, // by hand
		"bridged":          {[]float64{140, 0.035, 0.13, 0.15, 0.42}, 0.2993434690125711, 1e-13},
		"fabric_loss":      {[]float64{11.8, 0.3, 21, -3}, 84.96, 1e-13}, // by hand
		"ventilation_loss": {[]float64{1.5, 40.32, 21, -3}, 493.5168, 1e-13},
		"bridge_loss":      {[]float64{0.06, 11.4, 21, -3}, 16.416, 1e-13},

		// Worked with mpmath to 30 digits from the formulas of ISO 12241, EN 14511, Carnot, IEC 60027-3 and ITU-R P.525.
		"pipe_loss":          {[]float64{22, 25, 0.036, 65, 15, 9}, 8.72170142695206822813512254018, 1e-13},
		"insulation_surface": {[]float64{22, 25, 0.036, 65, 15, 9}, 19.2842651057748727274279919108, 1e-13},
		"cop":                {[]float64{6.42, 1.78}, 3.60674157303370786516853932584, 1e-15},
		"seasonal":           {[]float64{2030, 666}, 3.04804804804804804804804804805, 1e-15},
		"cop_limit":          {[]float64{2, 45}, 7.39883720930232558139534883721, 1e-14},
		"power_of_level":     {[]float64{14}, 25.118864315095801110850320678, 1e-15},
		"level_of_power":     {[]float64{25}, 13.9794000867203760957252221055, 1e-15},
		"path_loss":          {[]float64{12, 868.3}, 52.8048041632894540399773036639, 1e-15},
		"link_margin":        {[]float64{-71, -104}, 33, 0},       // by hand
		"corrected":          {[]float64{60.4, 0.6}, 59.8, 1e-14}, // by hand
		"normal":             {[]float64{2}, 97.7249868051820792799717362833, 1e-15},

		// Worked in Python beside the vectors of vectors_services.json.
		"cylinder_energy":     {[]float64{144, 10, 60}, 8.307855085974682, 1e-11},
		"reheat_time":         {[]float64{144, 10, 60, 12.5}, 39.87770441267847, 1e-11},
		"standing_loss":       {[]float64{1.62, 60, 18}, 63, 1e-13},
		"hot_share":           {[]float64{60, 12, 41}, 5.4375 / 9, 1e-13},
		"mixed_volume":        {[]float64{118, 58, 10, 40}, 188.8, 1e-13},
		"gas_rate":            {[]float64{0.074, 120}, 2.22, 1e-13},
		"reference_volume":    {[]float64{1, 1034.25, 12}, 1.0314642143622255, 1e-13}, // services_rows.csv
		"heat_input":          {[]float64{0.074, 120, 39.2}, 24.173333333333332, 1e-13},
		"net_input":           {[]float64{24.2, 1.11}, 21.801801801801798, 1e-13},
		"gross_efficiency":    {[]float64{97.7, 1.11}, 88.01801801801801, 1e-13},
		"pole_drop":           {[]float64{2.9, 11.5, 0.6, 20.2}, 0.342272133419287, 1e-13},
		"pole_flow":           {[]float64{0.342272133419287, 11.5, 0.6, 20.2}, 2.9, 1e-13},
		"installation_volume": {[]float64{0.008, 0.00344}, 0.011784, 1e-13},
		"purge_volume":        {[]float64{0.008, 0.00344}, 0.017676, 1e-13},
		"leak_rate":           {[]float64{0.011784, 2, 120, 1013.25}, 0.0006977942264988896, 1e-13},
		"co_ratio":            {[]float64{74, 9.1}, 0.0008131868131868132, 1e-13},
		"co2_from_o2":         {[]float64{4.8, 11.8}, 9.089952153110048, 1e-13},
		"excess_air":          {[]float64{4.8}, 1.298136645962733, 1e-13},
		"flue_loss":           {[]float64{58.5, 19.2, 4.8, 0.66, 0.009}, 1.954811111111111, 1e-12},
		"current":             {[]float64{168, 230}, 0.7304347826086957, 1e-13},
		"conductor":           {[]float64{0.5436, 70}, 0.6504173999999999, 1e-13},
		"r1r2":                {[]float64{30.2, 18, 70}, 0.6504174, 1e-13}, // by hand: 30.2 × 18 / 1000 × 1.1965
		"loop_impedance":      {[]float64{0.35, 0.65232}, 1.00232, 1e-13},
		"voltage_drop":        {[]float64{29, 6.2, 21}, 3.7758, 1e-13},
		"adiabatic":           {[]float64{218, 0.1, 115}, 0.5994578521014842, 1e-13},
		"parallel":            {[]float64{48, 120}, 240.0 / 7, 1e-13}, // by hand
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
