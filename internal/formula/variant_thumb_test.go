package formula_test

import (
	"math"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Water here is 1000 kg/m³ less 1 for each °C, and 4 kJ/(kg·K) with 0.001 more for each.
func TestThumbs(t *testing.T) {
	growth := formula.Thumb{Key: "flat", Is: "a flat 4 %", Value: 0.04}
	functions := variantFunctions()
	rho, cp := functions["rho"], functions["cp"]
	rho.Thumb = &formula.Thumb{Key: "water", Is: "1 kg/L", Value: 1000, Growth: &growth}
	cp.Thumb = &formula.Thumb{Key: "water", Is: "4.2 kJ/(kg·K)", Value: 4200}
	functions["rho"], functions["cp"] = rho, cp
	env := formula.Env{Functions: functions, Names: map[string]quantity.Unit{
		"qv": quantity.MustUnit("L/min"), "tf": quantity.MustUnit("°C"), "tr": quantity.MustUnit("°C"), "V": quantity.MustUnit("L"),
	}}
	si := formula.Sample{"qv": 12e-3 / 60, "tf": 343.15, "tr": 323.15, "V": 0.1}
	for _, tt := range []struct {
		name, formula, asked string
		ruledOut             []string
		declared             string
		want                 string // words, then the value
	}{
		{"both, and each alone", "qv × rho(tr) × cp(tf) × (tf − tr)", "W", nil, "",
			"1 kg/L and 4.2 kJ/(kg·K) 16800; 1 kg/L 16280; 4.2 kJ/(kg·K) 15960"},
		{"ruled out", "qv × rho(tr) × cp(tf) × (tf − tr)", "W", []string{"water"}, "", ""},
		{"another rule ruled out", "qv × rho(tr)", "kg/s", []string{"flat"}, "", "1 kg/L 0.2"},
		{"a growth, and no density of 1 in it", "V × (rho(tr) / rho(tf) − 1)", "L", nil, "", "a flat 4 % 4"},
		{"a growth ruled out", "V × (rho(tr) / rho(tf) − 1)", "L", []string{"flat"}, "", ""},
		{"a declared slip is the brief's own word", "V × (rho(tr) / rho(tf) − 1)", "L", nil, "V × 4 %", ""},
		{"nothing is looked up", "qv × 1 kg/L", "kg/s", nil, "", ""},
		{"a rule for something else", "V × (rho(tr) − 940 kg/m³)", "kg", nil, "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			asked := quantity.MustUnit(tt.asked)
			compile := func(text string) (*formula.Expr, *formula.Program) {
				e, err := formula.Parse(text)
				if err != nil {
					t.Fatal(err)
				}
				p, err := formula.Compile(e, env, asked)
				if err != nil {
					t.Fatal(err)
				}
				return e, p
			}
			e, _ := compile(tt.formula)
			var declared []*formula.Program
			if tt.declared != "" {
				_, p := compile(tt.declared)
				declared = append(declared, p)
			}
			var got []string
			for _, v := range formula.Thumbs(e, env, asked, tt.ruledOut, declared, []formula.Sample{si}) {
				var in []float64
				for _, n := range v.Program.Names() {
					in = append(in, si[n])
				}
				x, err := v.Program.EvalIn(in)
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, v.Is+" "+strings.ReplaceAll(quantity.RoundFigures(math.Round(x*1e6)/1e6, 6), " ", ""))
			}
			for i, g := range got {
				if strings.Contains(g, ".") {
					g = strings.TrimRight(strings.TrimRight(g, "0"), ".")
				}
				got[i] = g
			}
			if s := strings.Join(got, "; "); s != tt.want {
				t.Errorf("got %q, want %q", s, tt.want)
			}
		})
	}
}
