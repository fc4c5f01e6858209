package trade

import (
	"math"
	"testing"
)

// worked is how a brief would write a calculation of vectors_services.json: the units of its inputs and, for each step, the
// formula and its unit. Within is the relative difference to allow for.
type worked struct {
	units  map[string]string
	steps  map[string][2]string
	within float64
}

// serviceFormulas are the calculations of vectors_services.json. Where a constant of theirs is rounded, within says so.
var serviceFormulas = map[string]worked{
	"D02": {map[string]string{"V": "L", "t1": "°C", "t2": "°C", "P": "kW"}, steps("t", "reheat_time(V, t1, t2, P)", "min"), 1e-11},
	"D03": {map[string]string{"Q": "kWh/d", "ts": "°C", "ta": "°C"}, steps("q", "standing_loss(Q, ts, ta)", "W"), 1e-13},
	"D04": {map[string]string{"qm": "L/min", "th": "°C", "tc": "°C", "tm": "°C"}, steps("qh", "qm × hot_share(th, tc, tm)", "L/min"), 1e-13},
	"D05": {map[string]string{"V": "L", "th": "°C", "tc": "°C"}, steps("V40", "mixed_volume(V, th, tc, 40 °C)", "L"), 1e-13},
	"D08": {map[string]string{"h": "m", "t": "°C"}, steps("p", "rho(t) × 9.80665 m/s² × h", "kPa"), 1e-11},
	"G01": {map[string]string{"V": "m³", "t": "s", "CV": "MJ/m³"},
		steps("rate", "gas_rate(V, t)", "m³/h", "Qg", "heat_input(V, t, CV)", "kW gross"), 1e-13},
	// The vectors' cubic foot is 0.0283168 m³, 1.7e-6 short of the exact one.
	"G02": {map[string]string{"n": "ft³", "t": "s", "CV": "MJ/m³ gross"},
		steps("cfh", "gas_rate(n, t)", "ft³/h", "Qg", "heat_input(n, t, CV)", "kW gross"), 2e-6},
	"G03": {map[string]string{"Qg": "kW gross", "r": ""}, steps("Qn", "net_input(Qg, r)", "kW net"), 1e-13},
	// 1.02264 is the billing factor of the Gas (Calculation of Thermal Energy) Regulations 1996, from memory.
	"G04": {map[string]string{"V": "m³", "CV": "MJ/m³"}, steps("E", "1.02264 × V × CV", "kWh"), 1e-13},
	"G05": {map[string]string{"Q": "m³/h", "d": "mm", "L": "m", "S": ""}, steps("h", "pole_drop(Q, L, S, d)", "mbar"), 1e-13},
	"G07": {map[string]string{"Vm": "m³", "L22": "m", "a22": "m³/m", "L15": "m", "a15": "m³/m"},
		steps("IV", "installation_volume(Vm, a22 × L22 + a15 × L15)", "m³", "PV", "purge_volume(Vm, a22 × L22 + a15 × L15)", "m³"), 1e-13},
	"G08": {map[string]string{"IV": "m³", "dp": "mbar", "t": "s"}, steps("q", "leak_rate(IV, dp, t, 1013.25 mbar(a))", "m³/h"), 1e-13},
	"G10": {map[string]string{"CO": "ppm", "CO2": "%"}, steps("r", "co_ratio(CO, CO2)", ""), 1e-13},
	"G11": {map[string]string{"O2": "%", "mx": "%"}, steps("CO2", "co2_from_o2(O2, mx)", "%"), 1e-13},
	"G12": {map[string]string{"O2": "%"}, steps("l", "excess_air(O2)", ""), 1e-13},
	"G13": {map[string]string{"tF": "°C", "tA": "°C", "O2": "%", "A2": "", "B": ""},
		steps("qA", "flue_loss(tF, tA, O2, A2, B)", "% net", "eta", "100 % − flue_loss(tF, tA, O2, A2, B)", "% net"), 1e-12},
	"G14": {map[string]string{"en": "% net", "r": ""}, steps("eg", "gross_efficiency(en, r)", "% gross"), 1e-13},
	"E01": {map[string]string{"P": "W", "U": "V"}, steps("I", "current(P, U)", "A"), 1e-13},
	// The factor k = 1.2 is the trade's own for 70 °C, so the function serves at 20 °C.
	"E03": {map[string]string{"r": "mΩ/m", "L": "m", "k": ""}, steps("R", "k × r1r2(r, L, 20 °C)", "Ω"), 1e-13},
	"E04": {map[string]string{"Ze": "Ω", "R": "Ω"}, steps("Zs", "loop_impedance(Ze, R)", "Ω"), 1e-13},
	"E06": {map[string]string{"m": "mV/(A·m)", "I": "A", "L": "m"},
		steps("Vd", "voltage_drop(m, I, L)", "V", "pct", "voltage_drop(m, I, L) / 230 V", "%"), 1e-13},
	"E07": {map[string]string{"I": "A", "t": "s", "k": ""}, steps("S", "adiabatic(I, t, k)", "mm²"), 1e-13},
	"E08": {map[string]string{"a": "MΩ", "b": "MΩ", "c": "MΩ"}, steps("R", "parallel(parallel(a, b), c)", "MΩ"), 1e-13},
	"E10": {map[string]string{"R20": "Ω", "t": "°C"}, steps("R", "conductor(R20, t)", "Ω"), 1e-13},
}

// steps takes symbol, formula and unit of one step after another.
func steps(text ...string) map[string][2]string {
	out := map[string][2]string{}
	for i := 0; i < len(text); i += 3 {
		out[text[i]] = [2]string{text[i+1], text[i+2]}
	}
	return out
}

// TestServiceVectors: figures worked in Python (water with python3-iapws) from the calculations' own formulas, here as a
// brief writes them, units and all.
func TestServiceVectors(t *testing.T) {
	seen := map[string]int{}
	for _, v := range vectors(t, "vectors_services.json") {
		w, ok := serviceFormulas[v.Calc]
		if !ok {
			t.Fatalf("no formula for %s", v.Calc)
		}
		seen[v.Calc]++
		for _, s := range v.Steps {
			step, ok := w.steps[s.Sym]
			if !ok {
				t.Fatalf("%s: no formula for %s", v.Calc, s.Sym)
			}
			got, err := evaluate(t, step[0], step[1], w.units, v.Inputs)
			if err != nil {
				t.Fatalf("%s, %s over %v: got %v", v.Calc, step[0], v.Inputs, err)
			}
			near(t, v.Calc+" "+s.Sym, got, s.Value, w.within*math.Abs(s.Value))
		}
	}
	for calc := range serviceFormulas {
		if seen[calc] != 12 {
			t.Errorf("%s: checked %d vectors, want 12", calc, seen[calc])
		}
	}
}

// TestServiceRows: what services_oracle.py works out in decimals, from amounts of gas, counted atoms, balances of heat.
func TestServiceRows(t *testing.T) {
	_, body := rows(t, "services_rows.csv")
	byName := functionsByName()
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			f, ok := byName[row[0]]
			if !ok {
				t.Fatal("there is no such function")
			}
			in := inputs(t, row[1])
			args := make([]float64, len(f.Params))
			for i, p := range f.Params {
				v, ok := in[p.Name]
				if !ok {
					t.Fatalf("the row has no %s", p.Name)
				}
				args[i] = p.Unit.ToSI(v)
			}
			want := decimal(t, row[2])
			near(t, row[0], f.Result.FromSI(must(t)(f.Call(args))), want, decimal(t, row[3])*math.Abs(want))
		})
	}
}

// TestServicesAgree: functions that must agree with one another whatever the figures.
func TestServicesAgree(t *testing.T) {
	// Pole's drop at Pole's flow is the drop.
	flow := must(t)(PoleFlow(123, 7.5, 0.6, 0.0136))
	near(t, "Pole there and back", must(t)(PoleDrop(flow, 7.5, 0.6, 0.0136)), 123, 1e-10)
	// Reheating with the energy's own power takes an hour.
	energy := must(t)(CylinderEnergy(0.144, 283.15, 333.15))
	near(t, "an hour", must(t)(ReheatTime(0.144, 283.15, 333.15, energy/3600)), 3600, 1e-9)
	// The billing factor 1.02264 stands for 12.2 °C and 21 mbar(g) at 67.5 m (regulations of 1996, from memory), where the
	// International Standard Atmosphere has 1005.17 mbar.
	near(t, "billing factor", must(t)(ReferenceVolume(1, 100517+2100, zeroCelsius+12.2)), 1.02264, 1e-4)
	// A resistance beside itself is half of it, and the smaller of two is above the pair.
	near(t, "half", must(t)(Parallel(48e6, 48e6)), 24e6, 1e-6)
	// Gas at reference conditions is its own reference volume.
	near(t, "reference", must(t)(ReferenceVolume(0.37, 101325, 288.15)), 0.37, 0)
}
