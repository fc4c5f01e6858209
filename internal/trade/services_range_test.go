package trade

import (
	"math"
	"testing"

	"witnessmark/internal/formula"
)

func functionsByName() map[string]formula.Function {
	out := map[string]formula.Function{}
	for _, f := range Functions() {
		out[f.Name] = f
	}
	return out
}

// TestServiceRange: what each function refuses, called with figures in its own units, and which parameter it names.
func TestServiceRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name, function string
		args           []float64
		field, says    string
	}{
		{"heating", "cylinder_energy", []float64{144, 10, 60}, "", ""},
		{"heated to the end of the range", "cylinder_energy", []float64{144, 0, 127}, "", ""},
		{"no water", "cylinder_energy", []float64{0, 10, 60}, "V", "The volume must be more than nothing"},
		{"below freezing", "cylinder_energy", []float64{144, -3, 60}, "t1", "from 0 °C to 350 °C; this is -3 °C"},
		{"above boiling", "cylinder_energy", []float64{144, 10, 140}, "t2", "up to 127.41 °C"},
		{"not heated", "cylinder_energy", []float64{144, 60, 60}, "t2", "The warmer water (60 °C) must be above the colder (60 °C)"},
		{"cooled", "cylinder_energy", []float64{144, 60, 10}, "t2", "swapped"},
		{"no temperature", "cylinder_energy", []float64{144, nan, 60}, "t1", "from 0 °C"},
		{"no output", "reheat_time", []float64{144, 10, 60, 0}, "P", "The heat output must be more than nothing"},
		{"reheat of nothing", "reheat_time", []float64{144, 60, 60, 3}, "t2", "above the colder"},

		{"a standing loss", "standing_loss", []float64{1.62, 60, 18}, "", ""},
		{"no loss declared", "standing_loss", []float64{0, 60, 18}, "Q", "The declared loss"},
		{"store at room temperature", "standing_loss", []float64{1.62, 18, 18}, "ts", "the store is at 18 °C and the surroundings at 18 °C"},
		{"store colder than the room", "standing_loss", []float64{1.62, 10, 18}, "ts", "warmer than its surroundings"},
		{"store far above the test", "standing_loss", []float64{1.62, 120, 18}, "ts", "by up to 90 K"},

		{"all hot", "hot_share", []float64{60, 12, 60}, "", ""},
		{"all cold", "hot_share", []float64{60, 12, 12}, "", ""},
		{"hot as cold as cold", "hot_share", []float64{12, 12, 12}, "th", "The warmer water (12 °C) must be above the colder (12 °C)"},
		{"hot and cold swapped", "hot_share", []float64{12, 60, 41}, "th", "swapped"},
		{"mix above hot", "hot_share", []float64{55, 12, 58}, "tm", "A mix of water at 55 °C and 12 °C lies between the two; this is 58 °C"},
		{"mix below cold", "hot_share", []float64{55, 12, 8}, "tm", "lies between"},
		{"frozen cold", "hot_share", []float64{55, -1, 40}, "tc", "from 0 °C"},
		{"a mix", "mixed_volume", []float64{118, 58, 10, 40}, "", ""},
		{"mix as cold as cold", "mixed_volume", []float64{118, 58, 10, 10}, "tm", "no hot water goes into it"},
		{"no hot water", "mixed_volume", []float64{0, 58, 10, 40}, "V", "The volume"},
		{"mix hotter than hot", "mixed_volume", []float64{118, 38, 10, 40}, "tm", "lies between"},

		{"no gas", "gas_rate", []float64{0, 120}, "V", "The metered volume"},
		{"no time", "gas_rate", []float64{0.074, 0}, "time", "The time must be more than nothing"},
		{"time backwards", "gas_rate", []float64{0.074, -120}, "time", "sign"},
		{"endless time", "gas_rate", []float64{0.074, inf}, "time", "The time"},
		{"corrected", "reference_volume", []float64{1, 1034.25, 12}, "", ""},
		{"nothing corrected", "reference_volume", []float64{0, 1034.25, 12}, "V", "The metered volume"},
		{"gauge for absolute", "reference_volume", []float64{1, 21, 12}, "p", "this is 21 mbar"},
		{"vacuum", "reference_volume", []float64{1, 0, 12}, "p", "the air's pressure was added"},
		{"below vacuum", "reference_volume", []float64{1, -5, 12}, "p", "500 mbar"},
		{"high pressure", "reference_volume", []float64{1, 4000, 12}, "p", "to 2000 mbar"},
		{"hot gas", "reference_volume", []float64{1, 1034.25, 85}, "t", "from −30 °C to 60 °C; this is 85 °C"},
		{"no calorific value", "heat_input", []float64{0.074, 120, 0}, "CV", "The calorific value"},
		{"heat in no time", "heat_input", []float64{0.074, 0, 39.2}, "time", "The time"},
		{"ratio upside down", "net_input", []float64{24.2, 0.9}, "ratio", "which of the two stands on top"},
		{"ratio too large", "net_input", []float64{24.2, 11.1}, "ratio", "this is 11.1"},
		{"no input", "net_input", []float64{0, 1.11}, "Qg", "The gross heat input"},
		{"all of the heat", "gross_efficiency", []float64{111, 1.11}, "", ""},
		{"more than all", "gross_efficiency", []float64{112, 1.11}, "eta", "112 % net at a ratio of 1.11 would be more than all"},
		{"no efficiency", "gross_efficiency", []float64{0, 1.11}, "eta", "The net efficiency"},
		{"no ratio", "gross_efficiency", []float64{98, 0}, "ratio", "between 1 and 1.2"},

		{"a gas pipe", "pole_drop", []float64{2.9, 11.5, 0.6, 20.2}, "", ""},
		{"no gas flows", "pole_drop", []float64{0, 11.5, 0.6, 20.2}, "Q", "The gas flow"},
		{"no pipe", "pole_drop", []float64{2.9, 0, 0.6, 20.2}, "L", "The length"},
		{"weightless gas", "pole_drop", []float64{2.9, 11.5, 0, 20.2}, "S", "The relative density"},
		{"no bore", "pole_drop", []float64{2.9, 11.5, 0.6, 0}, "bore", "The bore"},
		{"bore in centimetres", "pole_drop", []float64{2.9, 11.5, 0.6, 2.02}, "Q", "for low pressure, up to 75 mbar"},
		{"no drop", "pole_flow", []float64{0, 11.5, 0.6, 20.2}, "dp", "The pressure drop"},
		{"medium pressure", "pole_flow", []float64{100, 11.5, 0.6, 20.2}, "dp", "this drop is 100 mbar"},
		{"flow in no bore", "pole_flow", []float64{1, 11.5, 0.6, -20}, "bore", "sign"},

		{"behind the meter", "installation_volume", []float64{0, 0.00344}, "", ""},
		{"meter below nothing", "installation_volume", []float64{-0.008, 0.00344}, "meter", "The meter's volume"},
		{"meter without end", "purge_volume", []float64{inf, 0.00344}, "meter", "The meter's volume"},
		{"no pipes", "purge_volume", []float64{0.008, 0}, "pipes", "The volume of the pipes"},
		{"no drop in pressure", "leak_rate", []float64{0.011784, 0, 120, 1013.25}, "", ""},
		{"pressure rose", "leak_rate", []float64{0.011784, -1, 120, 1013.25}, "dp", "The pressure rose"},
		{"drop to vacuum", "leak_rate", []float64{0.011784, 1100, 120, 1013.25}, "dp", "as much as the air's pressure"},
		{"test pressure for the air's", "leak_rate", []float64{0.011784, 2, 120, 20}, "p", "this is 20 mbar"},
		{"test of no time", "leak_rate", []float64{0.011784, 2, 0, 1013.25}, "time", "The time"},
		{"nothing to leak from", "leak_rate", []float64{0, 2, 120, 1013.25}, "IV", "The installation's volume"},

		{"no carbon monoxide", "co_ratio", []float64{0, 9.1}, "", ""},
		{"CO below nothing", "co_ratio", []float64{-1, 9.1}, "CO", "A share of CO"},
		{"CO in per cent", "co_ratio", []float64{250000, 9.1}, "CO", "ppm"},
		{"no CO2", "co_ratio", []float64{74, 0}, "CO2", "lies above 0"},
		{"CO2 as a share", "co_ratio", []float64{74, 910}, "CO2", "this is 910 %"},
		{"no excess", "co2_from_o2", []float64{0, 11.8}, "", ""},
		{"air in the flue", "co2_from_o2", []float64{20.9, 11.8}, "O2", "which is what air holds; this is 20.9 %"},
		{"O2 below nothing", "co2_from_o2", []float64{-0.1, 11.8}, "O2", "from 0 %"},
		{"more CO2 than air has oxygen", "co2_from_o2", []float64{4.8, 25}, "CO2max", "up to 21 %"},
		{"air ratio of air", "excess_air", []float64{21}, "O2", "the probe was in the flue"},
		{"air ratio of nothing", "excess_air", []float64{nan}, "O2", "Flue gas holds"},
		{"a flue", "flue_loss", []float64{58.5, 19.2, 4.8, 0.66, 0.009}, "", ""},
		{"cold flue", "flue_loss", []float64{19.2, 19.2, 4.8, 0.66, 0.009}, "tF", "The flue gas (19.2 °C) must be warmer"},
		{"air in the probe", "flue_loss", []float64{58.5, 19.2, 20.9, 0.66, 0.009}, "O2", "20.9 %"},
		{"no A2", "flue_loss", []float64{58.5, 19.2, 4.8, 0, 0.009}, "A2", "The fuel's A2"},
		{"B below nothing", "flue_loss", []float64{58.5, 19.2, 4.8, 0.66, -0.009}, "B", "The fuel's B"},
		{"more than the fire gives", "flue_loss", []float64{900, 20, 15, 0.66, 0.009}, "tF", "more than all of the heat"},

		{"no load", "current", []float64{0, 230}, "P", "The load"},
		{"no voltage", "current", []float64{168, 0}, "U", "The voltage"},
		{"negative resistance", "conductor", []float64{-0.5, 70}, "R20", "The resistance must be more than nothing"},
		{"conductor too hot", "conductor", []float64{0.5, 700}, "t", "from −50 °C to 200 °C; this is 700 °C"},
		{"no resistance per metre", "r1r2", []float64{0, 18, 70}, "r", "The resistance per metre"},
		{"no run", "r1r2", []float64{30.2, 0, 70}, "L", "The length"},
		{"too cold a run", "r1r2", []float64{30.2, 18, -273}, "t", "from −50 °C"},
		{"no supply", "loop_impedance", []float64{0, 0.65}, "Ze", "The external impedance"},
		{"negative circuit", "loop_impedance", []float64{0.35, -0.65}, "R12", "The resistance of the circuit"},
		{"no drop per metre", "voltage_drop", []float64{0, 6.2, 21}, "m", "per ampere and metre"},
		{"no current", "voltage_drop", []float64{29, 0, 21}, "I", "The current"},
		{"no length", "voltage_drop", []float64{29, 6.2, -21}, "L", "The length"},
		{"fault of five seconds", "adiabatic", []float64{218, 5, 115}, "", ""},
		{"longer", "adiabatic", []float64{218, 100, 115}, "time", "for up to 5 s; this is 100 s"},
		{"fault of no time", "adiabatic", []float64{218, 0, 115}, "time", "The time"},
		{"no fault", "adiabatic", []float64{0, 0.1, 115}, "I", "The fault current"},
		{"no k", "adiabatic", []float64{218, 0.1, 0}, "k", "The factor k"},
		{"shorted", "parallel", []float64{0, 120}, "a", "The first resistance"},
		{"negative", "parallel", []float64{48, -120}, "b", "The second resistance"},
	}
	byName := functionsByName()
	for _, tt := range tests {
		t.Run(tt.function+" "+tt.name, func(t *testing.T) {
			f, ok := byName[tt.function]
			if !ok || len(f.Params) != len(tt.args) {
				t.Fatalf("no such function of %d parameters", len(tt.args))
			}
			got, err := f.Call(si(f, tt.args))
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
