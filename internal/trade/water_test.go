package trade

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestVerificationValues: the values that IAPWS publishes for checking a program (R7-97 tables 5, 35 and 36, R12-08
// table 4), here from memory and recomputed with python3-iapws, nine figures or more with trailing
// zeros left off. Bar: 1e-8 relative.
func TestVerificationValues(t *testing.T) {
	_, body := rows(t, "iapws_verification.csv")
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			in := inputs(t, row[1])
			at := region1At(in["T"], in["p"]*1e6)
			var got float64
			switch row[0] {
			case "IF97 R1 v":
				got = must(t)(WaterVolume(in["T"], in["p"]*1e6))
			case "IF97 R1 h":
				got = must(t)(WaterEnthalpy(in["T"], in["p"]*1e6)) / 1e3
			case "IF97 R1 cp":
				got = must(t)(WaterHeatCapacity(in["T"], in["p"]*1e6)) / 1e3
			case "IF97 R1 s":
				got = at.entropy() / 1e3
			case "IF97 R1 w":
				got = at.soundSpeed(in["T"])
			case "IF97 psat":
				got = must(t)(WaterSaturationPressure(in["T"])) / 1e6
			case "IF97 Tsat":
				got = must(t)(WaterSaturationTemperature(in["p"] * 1e6))
			case "IAPWS viscosity mu2=1":
				got = viscosity(in["T"], in["rho"]) * 1e6
			default:
				t.Fatalf("no check for %q", row[0])
			}
			want := decimal(t, row[2])
			near(t, row[0], got, want, 1e-8*math.Abs(want))
		})
	}
}

// TestWaterProperties: rows of eight figures (expansion six, mean cp seven) from python3-iapws 1.5.2 at the trade's temperatures.
func TestWaterProperties(t *testing.T) {
	_, body := rows(t, "water_properties.csv")
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			in := inputs(t, row[1])
			kelvin, p := in["t"]+zeroCelsius, in["p"]*1e6
			var got float64
			figures := 8
			switch row[0] {
			case "density":
				got = must(t)(WaterDensity(kelvin, p))
			case "cp":
				got = must(t)(WaterHeatCapacity(kelvin, p))
			case "specific_enthalpy":
				got = must(t)(WaterEnthalpy(kelvin, p))
			case "dynamic_viscosity":
				got = must(t)(WaterViscosity(kelvin, p))
			case "kinematic_viscosity":
				got = must(t)(WaterKinematicViscosity(kelvin, p))
			case "thermal_conductivity":
				got = must(t)(WaterConductivity(kelvin, p))
			case "expansion_from_10C":
				figures = 6
				got = 100 * must(t)(WaterExpansion(10+zeroCelsius, kelvin, p))
			case "mean_cp":
				figures = 7
				got = must(t)(WaterMeanHeatCapacity(in["t1"]+zeroCelsius, in["t2"]+zeroCelsius, p))
			default:
				t.Fatalf("no check for %q", row[0])
			}
			want := decimal(t, row[2])
			near(t, row[0], got, want, halfUnit(want, figures))
		})
	}
}

// TestWaterGrid: 211 states over the whole of the range against python3-iapws 1.5.2 at full precision.
func TestWaterGrid(t *testing.T) {
	head, body := rows(t, "water_grid.csv")
	for _, row := range body {
		v := map[string]float64{}
		for i, name := range head {
			v[name] = decimal(t, row[i])
		}
		kelvin, p := v["t"], v["p"]
		at := region1At(kelvin, p)
		for _, c := range []struct {
			name string
			got  float64
		}{
			{"v", must(t)(WaterVolume(kelvin, p))},
			{"rho", must(t)(WaterDensity(kelvin, p))},
			{"h", must(t)(WaterEnthalpy(kelvin, p))},
			{"s", at.entropy()},
			{"cp", must(t)(WaterHeatCapacity(kelvin, p))},
			{"cv", at.heatCapacityAtVolume()},
			{"w", at.soundSpeed(kelvin)},
			{"mu", must(t)(WaterViscosity(kelvin, p))},
			{"k", must(t)(WaterConductivity(kelvin, p))},
			{"psat", must(t)(WaterSaturationPressure(kelvin))},
		} {
			// Cancellation costs a few digits at 350 °C; enthalpy and entropy pass through zero near 0 °C, where only an
			// absolute bound means anything.
			allowed := 5e-12 * math.Abs(v[c.name])
			if c.name == "h" || c.name == "s" {
				allowed += 1e-8
			}
			near(t, fmt.Sprintf("%s at %v K, %v Pa", c.name, kelvin, p), c.got, v[c.name], allowed)
		}
	}
}

// TestSaturationThereAndBack: equations 30 and 31 of R7-97 are the same line read both ways.
func TestSaturationThereAndBack(t *testing.T) {
	for kelvin := saturationColdest; kelvin <= saturationHottest; kelvin += 0.5 {
		p := must(t)(WaterSaturationPressure(kelvin))
		near(t, "there and back", must(t)(WaterSaturationTemperature(p)), kelvin, 1e-8)
	}
	near(t, "critical point", must(t)(WaterSaturationPressure(saturationHottest)), saturationHighest, 1)
}

// TestMeanHeatCapacityAtEqualTemperatures: the limit of the quotient of differences, approached from close by.
func TestMeanHeatCapacityAtEqualTemperatures(t *testing.T) {
	at := must(t)(WaterMeanHeatCapacity(333.15, 333.15, ConventionPressure))
	by := must(t)(WaterMeanHeatCapacity(333.14, 333.16, ConventionPressure))
	near(t, "cp", at, by, 1e-4)
}

func TestWaterRange(t *testing.T) {
	const bar = 1e5
	tests := []struct {
		name        string
		t, p        float64
		field, says string // empty where the state is good
	}{
		{"at freezing", 273.15, 2.5 * bar, "", ""},
		{"just below freezing", 273.149999, 2.5 * bar, "t", "from 0 °C to 350 °C"},
		{"a frost", 270.15, 2.5 * bar, "t", "this is -3 °C"},
		{"degrees Celsius taken for kelvin", 60, 2.5 * bar, "t", "this is -213.15 °C"},
		{"just below boiling", 400.55, 2.5 * bar, "", ""},
		{"just above boiling", 400.57, 2.5 * bar, "t", "up to 127.41 °C; this is 127.42 °C"},
		{"boiling in the open", 374.15, 101325, "t", "At 1.01 bar absolute"},
		{"on the saturation line", 500, saturationPressure(500), "", ""},
		{"at 350 °C", 623.15, 1000 * bar, "", ""},
		{"above 350 °C", 623.16, 1000 * bar, "t", "this is 350.01 °C"},
		{"above 1000 bar", 300, 1000.01 * bar, "p", "up to 1000 bar absolute; this is 1000.01 bar"},
		{"no pressure", 300, 0, "p", "this is 0 bar"},
		{"less than nothing", 300, -1 * bar, "p", "this is -1 bar"},
		{"near vacuum", 300, 100, "p", "does not stay liquid"},
		{"no temperature", math.NaN(), 2.5 * bar, "t", "from 0 °C"},
		{"no pressure figure", 300, math.NaN(), "p", "up to 1000 bar"},
		{"endless temperature", math.Inf(1), 2.5 * bar, "t", "from 0 °C"},
		{"endless pressure", 300, math.Inf(1), "p", "up to 1000 bar"},
	}
	calls := map[string]func(t, p float64) (float64, error){
		"volume": WaterVolume, "density": WaterDensity, "cp": WaterHeatCapacity, "enthalpy": WaterEnthalpy,
		"viscosity": WaterViscosity, "kinematic": WaterKinematicViscosity, "conductivity": WaterConductivity,
		"mean cp":   func(t, p float64) (float64, error) { return WaterMeanHeatCapacity(300, t, p) },
		"mean cp 2": func(t, p float64) (float64, error) { return WaterMeanHeatCapacity(t, 300, p) },
		"expansion": func(t, p float64) (float64, error) { return WaterExpansion(t, t, p) },
	}
	// What a function with two temperatures calls the one that is out of range.
	second := map[string]string{"mean cp": "t2", "mean cp 2": "t1", "expansion": "t1"}
	for _, tt := range tests {
		for name, call := range calls {
			t.Run(tt.name+"/"+name, func(t *testing.T) {
				field := tt.field
				if to := second[name]; to != "" && field == "t" {
					field = to
				}
				got, err := call(tt.t, tt.p)
				wantRange(t, got, err, field, tt.says)
			})
		}
	}
}

func TestSaturationRange(t *testing.T) {
	tests := []struct {
		name        string
		call        func(float64) (float64, error)
		at          float64
		field, says string
	}{
		{"at 0 °C", WaterSaturationPressure, 273.15, "", ""},
		{"below 0 °C", WaterSaturationPressure, 273.14, "t", "-0.01 °C"},
		{"at the critical point", WaterSaturationPressure, 647.096, "", ""},
		{"above the critical point", WaterSaturationPressure, 647.1, "t", "373.95 °C"},
		{"no temperature", WaterSaturationPressure, math.NaN(), "t", "0 °C to 373.95 °C"},
		{"at the lowest pressure", WaterSaturationTemperature, 611.213, "", ""},
		{"below the lowest pressure", WaterSaturationTemperature, 611.2, "p", "0.00611 bar"},
		{"at the critical pressure", WaterSaturationTemperature, 22.064e6, "", ""},
		{"above the critical pressure", WaterSaturationTemperature, 22.065e6, "p", "220.65 bar"},
		{"no pressure", WaterSaturationTemperature, math.NaN(), "p", "220.64 bar"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call(tt.at)
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}

// wantRange checks that err is a RangeError on field that says says, or with field empty that there is a finite figure.
func wantRange(t *testing.T, got float64, err error, field, says string) {
	t.Helper()
	if field == "" {
		if err != nil || math.IsNaN(got) || math.IsInf(got, 0) {
			t.Fatalf("got %v and error %v, want a figure", got, err)
		}
		return
	}
	f, ok := errors.AsType[*RangeError](err)
	if !ok || f.Param != field {
		t.Fatalf("got %v and %#v, want a RangeError on %s", got, err, field)
	}
	if !strings.Contains(f.Message, says) {
		t.Errorf("got message %q, want it to say %q", f.Message, says)
	}
	if got != 0 {
		t.Errorf("got %v beside an error, want 0", got)
	}
}

func TestWaterAllocatesNothing(t *testing.T) {
	for name, call := range map[string]func(t, p float64) (float64, error){
		"density": WaterDensity, "cp": WaterHeatCapacity, "viscosity": WaterViscosity, "conductivity": WaterConductivity,
	} {
		if n := testing.AllocsPerRun(100, func() { _, _ = call(333.15, ConventionPressure) }); n != 0 {
			t.Errorf("%s: got %v allocations a call, want 0", name, n)
		}
	}
}

func BenchmarkWaterDensity(b *testing.B) {
	for b.Loop() {
		_, _ = WaterDensity(333.15, ConventionPressure)
	}
}

func BenchmarkWaterHeatCapacity(b *testing.B) {
	for b.Loop() {
		_, _ = WaterHeatCapacity(333.15, ConventionPressure)
	}
}
