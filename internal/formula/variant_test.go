package formula_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// variantCase is a formula with names in their units and one set of values, in those units.
type variantCase struct {
	formula, asked string
	names          map[string]string  // unit by name
	values         map[string]float64 // in that unit
}

// variantFunctions stand in for properties of water with whole numbers, so that a value can be worked out by hand.
func variantFunctions() map[string]formula.Function {
	celsius, mm := quantity.MustUnit("°C"), quantity.MustUnit("mm")
	return map[string]formula.Function{
		"rho": {Name: "rho", Params: []formula.Param{{Name: "t", Unit: celsius}}, Result: quantity.MustUnit("kg/m³"),
			Call: func(x []float64) (float64, error) { return 1000 - (x[0] - 273.15), nil }},
		"cp": {Name: "cp", Params: []formula.Param{{Name: "t", Unit: celsius}}, Result: quantity.MustUnit("kJ/(kg·K)"),
			Call: func(x []float64) (float64, error) { return 4000 + (x[0] - 273.15), nil }},
		"bore": {Name: "bore", Params: []formula.Param{{Name: "od", Unit: mm}, {Name: "wall", Unit: mm}}, Result: mm,
			Call: func(x []float64) (float64, error) { return x[0] - 2*x[1], nil }},
	}
}

// made gives the variants of a case and the value that each leads to in the asked unit.
func (c variantCase) made(t *testing.T) ([]formula.Variant, []float64) {
	t.Helper()
	env := formula.Env{Names: map[string]quantity.Unit{}, Functions: variantFunctions()}
	for n, u := range c.names {
		env.Names[n] = quantity.MustUnit(u)
	}
	e, err := formula.Parse(c.formula)
	if err != nil {
		t.Fatal(err)
	}
	asked := quantity.MustUnit(c.asked)
	if _, err := formula.Compile(e, env, asked); err != nil {
		t.Fatal(err)
	}
	samples := []formula.Sample{c.sample(env, nil)}
	random := rand.New(rand.NewPCG(1, 2))
	for range 7 {
		samples = append(samples, c.sample(env, random))
	}
	vs := formula.Variants(e, env, asked, nil, samples)
	var out []float64
	for _, v := range vs {
		var in []float64
		for _, n := range v.Program.Names() {
			in = append(in, samples[0][n])
		}
		x, err := v.Program.EvalIn(in)
		if err != nil {
			x = math.NaN()
		}
		out = append(out, x)
	}
	return vs, out
}

// sample is the case's values, each moved a little where random is set.
func (c variantCase) sample(env formula.Env, random *rand.Rand) formula.Sample {
	s := formula.Sample{}
	for _, n := range slices.Sorted(maps.Keys(env.Names)) {
		x := c.values[n]
		if random != nil {
			x *= 0.9 + 0.2*random.Float64()
		}
		s[n] = env.Names[n].ToSI(x)
	}
	return s
}

// The cases were worked with pencil and paper, as the words say.
func TestVariantsInATutorsWords(t *testing.T) {
	heat := variantCase{"qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "kW",
		map[string]string{"qv": "L/min", "tf": "°C", "tr": "°C"}, map[string]float64{"qv": 12, "tf": 70, "tr": 50}}
	kg := 12.0 / 60 * 0.95 // a second
	room := variantCase{"U × A × (ti − te) + 0.34 Wh/(m³·K) × n × V × (ti − te)", "W",
		map[string]string{"U": "W/(m²·K)", "A": "m²", "ti": "°C", "te": "°C", "n": "1/h", "V": "m³"},
		map[string]float64{"U": 0.3, "A": 20, "ti": 21, "te": -3, "n": 1.5, "V": 40}}
	for _, tt := range []struct {
		name  string
		c     variantCase
		key   string
		is    string
		value float64
	}{
		{"L/min as L/s", heat, "unit qv L/s", "L/min taken as L/s (qv)", 60 * kg * 4.06 * 20},
		{"L/min as m³/h", heat, "unit qv m³/h", "L/min taken as m³/h (qv)", 12.0 / 3.6 * 0.95 * 4.06 * 20},
		{"watts as kilowatts", heat, "stated-as W kW", "worked it out in W and stated it as kW", 1000 * kg * 4.06 * 20},
		{"cp left out", heat, "left-out cp", "left out cp", kg * 20},
		{"rho left out", heat, "left-out rho", "left out rho", 12.0 / 60 * 4.06 * 20},
		{"divided by dT", heat, "divided tf − tr", "divided by tf − tr where it should multiply", kg * 4.06 / 20},
		{"mean for difference", heat, "mean tf − tr", "took the mean of tf and tr in place of their difference", kg * 4.06 * 60},
		{"the flow alone", heat, "alone tf", "took tf alone in place of tf − tr", kg * 4.06 * 70},
		{"wrong way round", heat, "reversed tf − tr", "took the difference the wrong way round, tr − tf", -kg * 4.06 * 20},
		{"273 on a difference", heat, "kelvin tf − tr", "put 273 on a temperature difference (tf − tr)", kg * 4.06 * 293.15},
		{"difference for mean", heat, "difference (tf + tr) / 2", "took the difference tf − tr in place of the mean", kg * 4.02 * 20},
		{"one temperature for another", heat, "taken-for tr tf", "took tf for tr", 12.0 / 60 * 0.93 * 4.06 * 20},
		{"a factor", heat, "over 3.6", "a factor of 3.6 too little", kg * 4.06 * 20 / 3.6},
		{"a term left out", room, "left-out U × A × (ti − te)", "left out U × A × (ti − te)", 0.34 * 1.5 * 40 * 24},
		{"added, not subtracted", room, "added te", "added te where it should be subtracted", 0.3*20*18 + 0.34*1.5*40*24},
		{"a power",
			variantCase{"Pn × (dT / 50 K)^n", "W", map[string]string{"Pn": "W", "dT": "K", "n": ""}, map[string]float64{"Pn": 1480, "dT": 40, "n": 1.3}},
			"not-raised (dT / 50 K)^n", "left out the exponent n", 1480 * 0.8},
		{"a square",
			variantCase{"f / d × rho(t) × v² / 2", "Pa/m", map[string]string{"f": "", "d": "mm", "t": "°C", "v": "m/s"}, map[string]float64{"f": 0.02, "d": 20, "t": 60, "v": 0.5}},
			"not-raised v²", "did not square v", 940 * 0.5 / 2},
		{"a fifth power",
			variantCase{"c / d^5", "m", map[string]string{"c": "m⁶", "d": "m"}, map[string]float64{"c": 64, "d": 2}},
			"raised-less d⁵", "raised d to 4 in place of 5", 4},
		{"a root", variantCase{"qv / √dp", "", map[string]string{"qv": "", "dp": ""}, map[string]float64{"qv": 8, "dp": 4}},
			"no-root dp", "did not take the root of dp", 2},
		{"a diameter", variantCase{"π × d² / 4", "mm²", map[string]string{"d": "mm"}, map[string]float64{"d": 20}},
			"diameter-as-radius d", "took the diameter for a radius (d); or did not divide by 4", math.Pi * 400},
		{"turned over", variantCase{"P / U", "A", map[string]string{"P": "W", "U": "V"}, map[string]float64{"P": 168, "U": 230}},
			"turned P / U", "turned the fraction P / U over", 230.0 / 168},
		{"multiplied", variantCase{"P / U", "A", map[string]string{"P": "W", "U": "V"}, map[string]float64{"P": 168, "U": 230}},
			"multiplied U", "multiplied by U where it should divide", 168 * 230},
		{"gauge as absolute", variantCase{"V × absolute(p) / (1 bar(a))", "L", map[string]string{"V": "L", "p": "bar(g)"}, map[string]float64{"V": 10, "p": 2}},
			"absolute-left-out p", "gauge taken as absolute pressure (p)", 20},
		{"°C for kelvin", variantCase{"V × kelvin(t2) / kelvin(t1)", "L", map[string]string{"V": "L", "t1": "°C", "t2": "°C"}, map[string]float64{"V": 10, "t1": 20, "t2": 60}},
			"celsius t2", "worked with °C where kelvin belong (t2)", 10 * 60 / 293.15},
		{"radians", variantCase{"off / sin(a)", "mm", map[string]string{"off": "mm", "a": "°"}, map[string]float64{"off": 120, "a": 45}},
			"radians sin(a)", "typed the angle in degrees into a calculator set to radians", 120 / math.Sin(45)},
		{"ln for log10", variantCase{"20 × log10(d / 1 m)", "", map[string]string{"d": "m"}, map[string]float64{"d": 12}},
			"function log10(d / 1 m) ln", "took ln for log10", 20 * math.Log(12)},
		{"net for gross", variantCase{"V × CV / t", "kW gross", map[string]string{"V": "m³", "CV": "MJ/m³", "t": "s"}, map[string]float64{"V": 0.074, "CV": 39.2, "t": 120}},
			"net-as-gross", "net taken for gross", 0.074 * 39200 / 120 / 1.11},
		{"rounded down", variantCase{"ceil(V / b)", "", map[string]string{"V": "L", "b": "L"}, map[string]float64{"V": 1.08, "b": 0.5}},
			"rounded-down ceil(V / b)", "rounded down, not up", 2},
		{"a ratio turned over", variantCase{"qm × (tm − tc) / (th − tc)", "L/min", map[string]string{"qm": "L/min", "tm": "°C", "tc": "°C", "th": "°C"}, map[string]float64{"qm": 9, "tm": 41, "tc": 12, "th": 60}},
			"turned (tm − tc) / (th − tc)", "turned the ratio (tm − tc) / (th − tc) over", 9.0 * 48 / 29},
		{"one unit throughout", variantCase{"1 / (a / k + b / k)", "W/(m²·K)", map[string]string{"a": "mm", "b": "mm", "k": "W/(m·K)"}, map[string]float64{"a": 20, "b": 30, "k": 0.5}},
			"units mm m", "mm taken as m, throughout", 0.01},
		{"gauge throughout", variantCase{"V / (1 − (p + 1 bar) / (q + 1 bar))", "L", map[string]string{"V": "L", "p": "bar", "q": "bar"}, map[string]float64{"V": 3, "p": 1, "q": 2.5}},
			"gauge throughout", "worked with gauge pressures where absolute ones belong", 5},
		{"the same part wrong twice", variantCase{"(d + 2 × s) × (d + 2 × s + 1 m)", "m²", map[string]string{"d": "m", "s": "m"}, map[string]float64{"d": 3, "s": 1.5}},
			"left-out 2 throughout", "left out 2, throughout", 4.5 * 5.5},
		{"in series, not in parallel", variantCase{"1 / (1 / a + 1 / b)", "Ω", map[string]string{"a": "Ω", "b": "Ω"}, map[string]float64{"a": 3, "b": 6}},
			"added-up 1 / (1 / a + 1 / b)", "added the values up, as if they were in series", 9},
		{"like over like in two units", variantCase{"qv × dp / P", "%", map[string]string{"qv": "L/min", "dp": "kPa", "P": "W"}, map[string]float64{"qv": 16.2, "dp": 31, "P": 22.5}},
			"turned qv × dp / P", "turned the fraction qv × dp / P over", 100 * 22.5 / 8.37},
		{"percent", variantCase{"V × c", "L", map[string]string{"V": "L", "c": "%"}, map[string]float64{"V": 108, "c": 1}},
			"unit c 1", "% taken as a plain number (c)", 108},
	} {
		t.Run(tt.name, func(t *testing.T) {
			vs, values := tt.c.made(t)
			var keys []string
			for i, v := range vs {
				keys = append(keys, v.Key+": "+v.Is)
				if v.Key != tt.key {
					continue
				}
				if v.Is != tt.is {
					t.Errorf("says %q, want %q", v.Is, tt.is)
				}
				if math.Abs(values[i]-tt.value) > 1e-9*math.Abs(tt.value) {
					t.Errorf("comes to %v, want %v", values[i], tt.value)
				}
				return
			}
			t.Errorf("no variant %q among\n%s", tt.key, strings.Join(keys, "\n"))
		})
	}
}

// twenty is a formula of twenty terms: far more edits than are kept.
func twenty() variantCase {
	c := variantCase{asked: "W", names: map[string]string{}, values: map[string]float64{}}
	var terms []string
	for i := range 20 {
		n := "a" + string(rune('a'+i))
		terms = append(terms, n+" × 2 V")
		c.names[n], c.values[n] = "A", 1.3+float64(i)*0.37
	}
	c.formula = strings.Join(terms, " + ")
	return c
}

func TestVariantsAreFewDistinctAndInOrder(t *testing.T) {
	for _, c := range []variantCase{
		twenty(),
		{"a + b + 0 × c", "m", map[string]string{"a": "m", "b": "m", "c": "m"}, map[string]float64{"a": 2, "b": 3, "c": 4}},
		{"x × 1 × 1", "", map[string]string{"x": ""}, map[string]float64{"x": 7}},
		{"(tf + tr)/2", "°C", map[string]string{"tf": "°C", "tr": "°C"}, map[string]float64{"tf": 70, "tr": 50}},
		{"L + 20 dB − 3 × 2 dB", "dBm", map[string]string{"L": "dBm"}, map[string]float64{"L": -60}},
	} {
		vs, values := c.made(t)
		if len(vs) > formula.MaxVariants || len(vs) < 3 {
			t.Errorf("%s: %d variants", c.formula, len(vs))
		}
		again, _ := c.made(t)
		env := formula.Env{Names: map[string]quantity.Unit{}}
		for n, u := range c.names {
			env.Names[n] = quantity.MustUnit(u)
		}
		reference := mustEval(t, c.formula, env, c.asked, c.values)
		for i, v := range vs {
			if again[i].Key != v.Key || again[i].Is != v.Is {
				t.Errorf("%s: %q and then %q", c.formula, v.Key, again[i].Key)
			}
			if strings.ContainsAny(v.Key, "~\n") || v.Is == "" || strings.HasSuffix(v.Is, ".") {
				t.Errorf("%s: key %q, words %q", c.formula, v.Key, v.Is)
			}
			if math.Abs(values[i]-reference) <= 1e-9*math.Abs(reference) {
				t.Errorf("%s: %s gives the right value %v", c.formula, v.Key, reference)
			}
			for j := range i {
				if values[i] == values[j] && vs[i].Key == vs[j].Key {
					t.Errorf("%s: %q stands twice", c.formula, v.Key)
				}
			}
		}
	}
}

func mustEval(t *testing.T, text string, env formula.Env, asked string, values map[string]float64) float64 {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(e, env, quantity.MustUnit(asked))
	if err != nil {
		t.Fatal(err)
	}
	var in []float64
	for _, n := range p.Names() {
		in = append(in, env.Names[n].ToSI(values[n]))
	}
	x, err := p.EvalIn(in)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// A calorific value has the dimension of a pressure and is none: nobody adds the air to it, or reads it in mbar.
func TestVariantsOfPressuresAreOfPressuresAlone(t *testing.T) {
	for _, tt := range []struct {
		unit string
		want bool
	}{
		{"mbar", true}, {"kPa", true}, {"bar(a)", true}, {"psi", true}, {"mH2O", true}, {"N/mm²", true}, {"kN/m²", true},
		{"MJ/m³", false}, {"kWh/m³", false}, {"kJ/L", false},
	} {
		vs, _ := variantCase{"V × x / y", "L", map[string]string{"V": "L", "x": tt.unit, "y": tt.unit}, map[string]float64{"V": 20, "x": 39, "y": 17}}.made(t)
		air := slices.ContainsFunc(vs, func(v formula.Variant) bool { return v.Key == "air-added x" })
		label := slices.ContainsFunc(vs, func(v formula.Variant) bool { return strings.HasPrefix(v.Key, "unit x ") })
		if air != tt.want || label != tt.want {
			t.Errorf("%s: the air added %v, another unit of pressure %v, want %v", tt.unit, air, label, tt.want)
		}
	}
}

// A slip that the brief declares wins over the edit that comes to the same.
func TestVariantsLeaveDeclaredSlipsAlone(t *testing.T) {
	env := formula.Env{Names: map[string]quantity.Unit{"P": quantity.MustUnit("kW"), "h": quantity.MustUnit("h")}}
	kWh := quantity.MustUnit("kWh")
	e, err := formula.Parse("P × h")
	if err != nil {
		t.Fatal(err)
	}
	slip, err := formula.Parse("P × h × 60")
	if err != nil {
		t.Fatal(err)
	}
	declared, err := formula.Compile(slip, env, kWh)
	if err != nil {
		t.Fatal(err)
	}
	samples := []formula.Sample{{"P": 2000, "h": 3600}, {"P": 3000, "h": 7300}}
	var before, after []string
	for _, v := range formula.Variants(e, env, kWh, nil, samples) {
		before = append(before, v.Key)
	}
	for _, v := range formula.Variants(e, env, kWh, []*formula.Program{declared}, samples) {
		after = append(after, v.Key)
	}
	if len(after) != len(before)-1 || !slices.Contains(before, "times 60") || slices.Contains(after, "times 60") {
		t.Errorf("before %q, after %q", before, after)
	}
}

// A family gives the bits that each program gives alone, and a NaN where it gives none.
func TestFamilyAgreesWithItsPrograms(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, c := range []variantCase{
		{"qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "kW", map[string]string{"qv": "L/min", "tf": "°C", "tr": "°C"}, map[string]float64{"qv": 12, "tf": 70, "tr": 50}},
		{"Pn × (dT / 50 K)^n", "W", map[string]string{"Pn": "W", "dT": "K", "n": ""}, map[string]float64{"Pn": 1480, "dT": 40, "n": 1.3}},
		{"max(a, b, 3) × √(a − b) / ln(b) + interp(a, 1, 2, 3, 5, 9, 6)", "", map[string]string{"a": "", "b": ""}, map[string]float64{"a": 6, "b": 5}},
		{"(V + W) × absolute(p) / (absolute(p) − absolute(q))", "L", map[string]string{"V": "L", "W": "L", "p": "bar(g)", "q": "bar(g)"}, map[string]float64{"V": 2, "W": 3, "p": 2.5, "q": 0.75}},
		twenty(),
	} {
		vs, _ := c.made(t)
		var programs []*formula.Program
		for _, v := range vs {
			programs = append(programs, v.Program)
		}
		family := formula.NewFamily(programs)
		var slots []float64
		none := 0
		for range 200 {
			byName := map[string]float64{}
			var in []float64
			for _, n := range family.Names() {
				u := quantity.MustUnit(c.names[n])
				byName[n] = u.ToSI(c.values[n] * (3*random.Float64() - 0.5))
				in = append(in, byName[n])
			}
			slots = family.Eval(in, slots)
			for i, p := range programs {
				var own []float64
				for _, n := range p.Names() {
					own = append(own, byName[n])
				}
				want, err := p.Eval(own)
				got, ok := family.Result(slots, i)
				if ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
					t.Fatalf("%s, %s: the family gives %v (%v), the program %v (%v)", c.formula, vs[i].Key, got, ok, want, err)
				}
				if !ok {
					none++
				}
			}
		}
		if strings.Contains(c.formula, "√") && none == 0 {
			t.Errorf("%s: no variant ever had no value, so that was not tried", c.formula)
		}
		in := make([]float64, len(family.Names()))
		for i, n := range family.Names() {
			in[i] = quantity.MustUnit(c.names[n]).ToSI(c.values[n])
		}
		if n := testing.AllocsPerRun(20, func() { slots = family.Eval(in, slots) }); n != 0 {
			t.Errorf("%s: %v allocations", c.formula, n)
		}
	}
}

func BenchmarkFamily(b *testing.B) {
	c := variantCase{"qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "kW", map[string]string{"qv": "L/min", "tf": "°C", "tr": "°C"}, map[string]float64{"qv": 12, "tf": 70, "tr": 50}}
	env := formula.Env{Names: map[string]quantity.Unit{}, Functions: variantFunctions()}
	for n, u := range c.names {
		env.Names[n] = quantity.MustUnit(u)
	}
	e, err := formula.Parse(c.formula)
	if err != nil {
		b.Fatal(err)
	}
	samples := []formula.Sample{c.sample(env, nil), c.sample(env, rand.New(rand.NewPCG(1, 2)))}
	vs := formula.Variants(e, env, quantity.MustUnit(c.asked), nil, samples)
	programs := []*formula.Program{}
	for _, v := range vs {
		programs = append(programs, v.Program)
	}
	family := formula.NewFamily(programs)
	var in []float64
	for _, n := range family.Names() {
		in = append(in, samples[0][n])
	}
	b.Run("together", func(b *testing.B) {
		b.ReportAllocs()
		var slots []float64
		for b.Loop() {
			slots = family.Eval(in, slots)
		}
		b.ReportMetric(float64(len(vs)), "variants")
	})
	long := strings.Repeat("(qv + 1 L/min) / (qv + 2 L/min) × ", 45) + "qv"
	longest, err := formula.Parse(long)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("made of a long formula", func(b *testing.B) {
		for b.Loop() {
			if len(formula.Variants(longest, env, quantity.MustUnit("L/min"), nil, samples)) == 0 {
				b.Fatal("no variants")
			}
		}
	})
	b.Run("made", func(b *testing.B) {
		for b.Loop() {
			formula.Variants(e, env, quantity.MustUnit(c.asked), nil, samples)
		}
	})
}
