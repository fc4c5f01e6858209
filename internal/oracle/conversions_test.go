//go:build oracle

package oracle_test

import (
	"math"
	"testing"

	"witnessmark/internal/quantity"
)

// conversions are what heating, plumbing, gas and electrical work converts.
var conversions = [][2]string{
	// flow
	{"L/min", "L/s"}, {"L/s", "m³/h"}, {"m³/h", "L/s"}, {"m³/h", "L/min"}, {"gal/min", "L/s"}, {"ft³/h", "m³/h"}, {"ft³/min", "L/s"}, {"L/h", "L/s"}, {"kg/h", "kg/s"}, {"mL/min", "L/h"},
	// pressure, and pressure along a pipe
	{"bar", "kPa"}, {"mbar", "Pa"}, {"mbar", "mmH2O"}, {"inH2O", "mbar"}, {"mH2O", "bar"}, {"mH2O", "kPa"}, {"psi", "bar"}, {"bar", "psi"}, {"atm", "mbar"}, {"kgf/cm²", "bar"}, {"Pa/m", "mbar/m"}, {"mmH2O/m", "Pa/m"}, {"N/mm²", "bar"},
	// heat, power and what fuel holds
	{"kWh", "MJ"}, {"MJ", "kWh"}, {"therm", "kWh"}, {"Btu", "kJ"}, {"Btu/h", "W"}, {"kW", "Btu/h"}, {"kcal/h", "W"}, {"kcal", "kJ"}, {"hp", "kW"}, {"MJ/m³", "kWh/m³"}, {"Btu/ft³", "MJ/m³"}, {"MJ/h", "kW"}, {"kJ/s", "kW"}, {"kWh/d", "W"},
	// through walls and water
	{"W/(m²·K)", "Btu/(h·ft²·Δ°F)"}, {"W/(m·K)", "mW/(m·K)"}, {"kJ/(kg·K)", "J/(g·K)"}, {"Wh/(kg·K)", "kJ/(kg·K)"}, {"m²·K/W", "m²·Δ°F/W"}, {"kJ/(m³·K)", "Wh/(L·K)"}, {"W/m²", "Btu/(h·ft²)"},
	// length, area, volume, mass, speed
	{"in", "mm"}, {"ft", "m"}, {"yd", "m"}, {"ft²", "m²"}, {"in²", "mm²"}, {"ft³", "L"}, {"gal", "L"}, {"USgal", "L"}, {"gal", "USgal"}, {"pt", "mL"}, {"mm²", "cm²"}, {"lb", "kg"}, {"t", "kg"}, {"m/s", "ft/min"}, {"m/s", "km/h"},
	{"kg/m³", "g/cm³"}, {"lb/ft³", "kg/m³"}, {"cSt", "m²/s"}, {"cP", "mPa·s"},
	// electrical
	{"mΩ/m", "Ω/km"}, {"MΩ", "kΩ"}, {"Ah", "C"}, {"kVA", "V·A"}, {"A/mm²", "A/m²"}, {"mV/(A·m)", "V/(A·km)"}, {"kWh", "V·A·h"},
	// temperatures, counts
	{"°C", "°F"}, {"°F", "°C"}, {"°C", "K(abs)"}, {"ppm", "%"}, {"%", "‰"}, {"1/h", "1/s"},
}

// withoutCode are units of conversions that UCUM has no code for.
var withoutCode = map[string]bool{"Btu/(h·ft²·Δ°F)": true, "m²·Δ°F/W": true}

func TestConversionsByUCUM(t *testing.T) {
	checkConversions(t, ucum, ucumNotation(), ucumDiffers, withoutCode)
}

func TestConversionsByGNU(t *testing.T) { checkConversions(t, gnu, gnuNotation(), gnuDiffers, nil) }

func checkConversions(t *testing.T, ask func(*testing.T, []question) []answer, n notation, differs map[string]difference, without map[string]bool) {
	var questions []question
	var pairs [][2]string
	for _, c := range conversions {
		q := question{n.write(quantity.MustUnit(c[0])), n.write(quantity.MustUnit(c[1])), 20}
		if without[c[1]] {
			if q.to != "" {
				t.Errorf("%s has a name there after all: %s", c[1], q.to)
			}
			continue
		}
		if q.from == "" || q.to == "" {
			t.Errorf("%s to %s: no names there: %+v", c[0], c[1], q)
			continue
		}
		questions, pairs = append(questions, q), append(pairs, c)
	}
	if len(pairs) < 60 {
		t.Errorf("%d conversions, want at least 60", len(pairs))
	}
	for i, a := range ask(t, questions) {
		want, err := quantity.Convert(20, quantity.MustUnit(pairs[i][0]), quantity.MustUnit(pairs[i][1]))
		if err != nil {
			t.Errorf("%s to %s: %v", pairs[i][0], pairs[i][1], err)
		}
		if d := differs[pairs[i][0]]; d.factor != 0 {
			want *= d.factor / quantity.MustUnit(pairs[i][0]).ToSI(1)
		}
		if a.why != "" || math.Abs(a.value-want) > rel*math.Abs(want) {
			t.Errorf("20 %s is %.17g %s there, %s; want %.17g %s", pairs[i][0], a.value, pairs[i][1], a.why, want, pairs[i][1])
		}
	}
}
