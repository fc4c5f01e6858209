package formula_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// statistic works out name(r1, r2, …) over readings in unit, in that unit or as a difference.
func statistic(t rapid.TB, name, unit string, readings []float64) float64 {
	t.Helper()
	env := formula.Env{Names: map[string]quantity.Unit{}}
	var names []string
	for i := range readings {
		names = append(names, fmt.Sprint("r", i+1))
		env.Names[names[i]] = quantity.MustUnit(unit)
	}
	e, err := formula.Parse(name + "(" + strings.Join(names, ", ") + ")")
	if err != nil {
		t.Fatal(caret(err))
	}
	asked := quantity.MustUnit(unit)
	if name != "mean" {
		asked = asked.Difference()
	}
	p, err := formula.Compile(e, env, asked)
	if err != nil {
		t.Fatal(caret(err))
	}
	in := make([]float64, len(readings))
	for i, r := range readings {
		in[i] = quantity.MustUnit(unit).ToSI(r)
	}
	v, err := p.EvalIn(in)
	if err != nil {
		t.Fatal(caret(err))
	}
	return v
}

// TestStatisticOfPublishedReadings: the five readings each of voltage, current and phase of JCGM 100:2008, table H.2, with the
// means and the standard uncertainties of the means that it gives (from memory), and all digits from Python's decimals.
func TestStatisticOfPublishedReadings(t *testing.T) {
	for _, c := range []struct {
		unit        string
		readings    []float64
		mean, ofAll float64 // published; the mean to all its digits, its uncertainty to two figures
		exact       [3]float64
	}{
		{"V", []float64{5.007, 4.994, 5.005, 4.990, 4.999}, 4.9990, 0.0032, [3]float64{4.9989999999999997, 0.0071763500472036617, 0.0032093613071762423}},
		{"mA", []float64{19.663, 19.639, 19.640, 19.685, 19.678}, 19.6610, 0.0095, [3]float64{19.661000000000001, 0.02117781858454737, 0.0094710083940412592}},
		{"rad", []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}, 1.04446, 0.00075, [3]float64{1.0444599999999999, 0.0016816658407662326, 0.00075206382707852662}},
	} {
		mean, sd, u := statistic(t, "mean", c.unit, c.readings), statistic(t, "sd", c.unit, c.readings), statistic(t, "u_mean", c.unit, c.readings)
		if math.Abs(mean-c.mean) > 1e-12*mean || math.Abs(u-c.ofAll) > 0.02*c.ofAll {
			t.Errorf("%s: mean %v ± %v, published %v ± %v", c.unit, mean, u, c.mean, c.ofAll)
		}
		for i, got := range []float64{mean, sd, u} {
			if want := c.exact[i]; math.Abs(got-want) > 1e-12*want {
				t.Errorf("%s: got %.17g, Python %.17g", c.unit, got, want)
			}
		}
	}
}

// TestStatisticKinds: the mean of temperatures is a temperature and their spread a difference, whatever pressures are they
// stay, and levels and mixtures are refused where they stand.
func TestStatisticKinds(t *testing.T) {
	env := testEnv()
	for name, unit := range map[string]string{"p2": "bar(g)", "pa": "bar(a)", "L": "dBm", "dT": "K", "e1": "% net", "e2": "% net"} {
		env.Names[name] = quantity.MustUnit(unit)
	}
	for _, c := range []struct{ text, asked, wrong string }{
		{"mean(tf, tr, ta)", "°C", ""}, {"sd(tf, tr, ta)", "K", ""}, {"u_mean(tf, tr)", "K", ""},
		{"mean(tf, tr) + sd(tf, tr)", "°C", ""}, {"mean(tf, tr) − ta", "K", ""}, {"mean(dT, dT)", "K", ""},
		{"mean(p1, p2)", "bar(g)", ""}, {"sd(p1, p2)", "bar", ""}, {"mean(pa, pa, pa)", "bar(a)", ""}, {"mean(e1, e2)", "% net", ""},
		{"mean(V)", "L", ""}, {"mean(n, 2, 50 %)", "", ""}, {"qv × mean(n, n)", "L/min", ""},
		{"sd(tf, tr)", "°C", "This gives a temperature difference"}, {"mean(tf, tr)", "K", "This gives a temperature; asked is a difference"},
		{"mean(pa, p1)", "bar", "mean takes values of one kind: this is a gauge pressure, the first is an absolute pressure."},
		{"mean(tf, dT)", "°C", "mean takes values of one kind"}, {"sd(V, 3)", "L", "sd takes values of one kind"},
		{"mean(L, L)", "dBm", "mean takes no levels; this is a level in dBm."}, {"sd(V)", "L", "sd takes at least 2 values."},
		{"u_mean(V)", "L", "u_mean takes at least 2 values."}, {"mean()", "", "mean takes at least one value."},
	} {
		e, err := formula.Parse(c.text)
		if err == nil {
			_, err = formula.Compile(e, env, quantity.MustUnit(c.asked))
		}
		if (err == nil) != (c.wrong == "") || err != nil && !strings.Contains(err.Error(), c.wrong) {
			t.Errorf("%s in %q: got %v, want %q", c.text, c.asked, err, c.wrong)
		}
	}
}

// TestStatisticProperties: equal readings have no spread, to the last bit; adding the same to all moves the mean alone, and
// order says nothing.
func TestStatisticProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SliceOfN(rapid.Float64Range(0, 99), 2, 22).Draw(t, "readings")
		equal := make([]float64, len(r))
		for i := range r {
			equal[i] = r[0]
		}
		if sd, u := statistic(t, "sd", "°C", equal), statistic(t, "u_mean", "°C", equal); sd != 0 || u != 0 {
			t.Fatalf("%d times %v: spread %v, of the mean %v", len(r), r[0], sd, u)
		}
		mean, sd, u := statistic(t, "mean", "°C", r), statistic(t, "sd", "°C", r), statistic(t, "u_mean", "°C", r)
		if math.Abs(u*math.Sqrt(float64(len(r)))-sd) > 1e-12*sd {
			t.Fatalf("%v: spread %v, of the mean %v", r, sd, u)
		}
		moved := rapid.Permutation(r).Draw(t, "order")
		for i := range moved {
			moved[i] += 50
		}
		if m := statistic(t, "mean", "°C", moved); math.Abs(m-mean-50) > 1e-9 {
			t.Fatalf("mean %v, %v with 50 more", mean, m)
		}
		if s := statistic(t, "sd", "°C", moved); math.Abs(s-sd) > 1e-9 {
			t.Fatalf("spread %v, %v with 50 more", sd, s)
		}
	})
}

// TestStatisticOfCalls: what is worked out on the way to a mean or a spread stays where it is until it is used, also where
// there are too many names for the registers.
func TestStatisticOfCalls(t *testing.T) {
	many := make([]string, 70)
	for i := range many {
		many[i] = strings.Repeat("a", i%10+1) + strings.Repeat("b", i/10+1)
	}
	for _, c := range []struct {
		text string
		want float64 // by hand, every name being 1
	}{
		{"sd(a + 1, a + 3, a + 5) + mean(a × 2, a × 4)", 2 + 3},
		{"a × 3 + u_mean(a + 1, a + 3) × (a + sd(a × 2, a × 6, 10 × a))", 3 + 1*(1+4)},
		{"mean(" + strings.Join(many[:60], ", ") + ") + sd(5, " + strings.Join(many[60:63], ", ") + ") + " + strings.Join(many[63:], " + "), 1 + 2 + 7},
	} {
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Fatal(caret(err))
		}
		p, err := formula.Compile(e, plainNames(formula.Names(e)...), quantity.One)
		if err != nil {
			t.Fatal(caret(err))
		}
		in := make([]float64, len(p.Names()))
		for i := range in {
			in[i] = 1
		}
		if got, err := p.Eval(in); err != nil || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%.40s = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

// TestStatisticSlips: what people do in their place.
func TestStatisticSlips(t *testing.T) {
	env := formula.Env{Names: map[string]quantity.Unit{}}
	sample := formula.Sample{}
	for i, r := range []float64{20.1, 20.4, 20.9} {
		name := fmt.Sprint("r", i+1)
		env.Names[name] = quantity.MustUnit("°C")
		sample[name] = r + 273.15
	}
	// By hand: 61.4 in all; deviations −11/30, −2/30 and 13/30, squares 294/900.
	for _, c := range []struct {
		text, asked string
		want        map[string]float64
	}{
		{"mean(r1, r2, r3)", "°C", map[string]float64{"forgot to divide the sum for the mean": 61.4}},
		{"sd(r1, r2, r3)", "K", map[string]float64{"divided by the number of values, not by one less": math.Sqrt(294. / 900 / 3),
			"took the spread of the mean for that of the values": math.Sqrt(294. / 900 / 6)}},
		{"u_mean(r1, r2, r3)", "K", map[string]float64{"divided by the number of values, not by one less": math.Sqrt(294. / 900 / 9),
			"took the spread of the values for that of their mean": math.Sqrt(294. / 900 / 2), "divided by the number of values, not by its root": math.Sqrt(294. / 900 / 2 / 9)}},
	} {
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Fatal(err)
		}
		found := map[string]float64{}
		for _, v := range formula.Variants(e, env, quantity.MustUnit(c.asked), nil, []formula.Sample{sample}) {
			var in []float64
			for _, n := range v.Program.Names() {
				in = append(in, sample[n])
			}
			got, err := v.Program.EvalIn(in)
			if err != nil {
				t.Fatal(err)
			}
			found[v.Is] = got
		}
		for is, want := range c.want {
			if got, ok := found[is]; !ok || math.Abs(got-want) > 1e-9 {
				t.Errorf("%s, %s: got %v (%v), want %v; there are %v", c.text, is, got, ok, want, found)
			}
		}
	}
}

// TestStatisticWorking: a trainee may write the same, with units or without.
func TestStatisticWorking(t *testing.T) {
	w, err := formula.ParseWorking("mean(20.1 °C, 20.4 °C, 20.9 °C) = mean(20.1, 20.4, 20.9) = 20.5")
	if err != nil {
		t.Fatal(caret(err))
	}
	v := w.Evaluate(testEnv(), siValue)
	for i := range 2 {
		if math.Abs(v[i].Bare-61.4/3) > 1e-9 {
			t.Errorf("side %d is %v without units", i, v[i].Bare)
		}
	}
	if v[0].UnitErr != nil || math.Abs(v[0].SI-273.15-61.4/3) > 1e-9 || v[0].Kind != quantity.TemperaturePoint {
		t.Errorf("with units it is %v, %v", v[0].SI, v[0].UnitErr)
	}
}

// TestStatisticTypeset: the standard uncertainty of the mean is set as its sign is, u with mean lowered.
func TestStatisticTypeset(t *testing.T) {
	e, err := formula.Parse("u_mean(a, b) / mean(a, b)")
	if err != nil {
		t.Fatal(caret(err))
	}
	want := `<msub><mi mathvariant="normal">u</mi><mi mathvariant="normal">mean</mi></msub>`
	if got := formula.MathML(e.Alone()); !strings.Contains(got, want) || !strings.Contains(got, `"u mean of a, b over mean of a, b"`) {
		t.Errorf("set as %s", got)
	}
}
