package trade

import (
	"maps"
	"math"
	"testing"
)

// The units that vectors are stated in, in SI.
const litre, perMinute = 1e-3, 1e-3 / 60

// vectorChecks gives what our functions make of the inputs of a vector, in the unit of its answer, by the calculation's
// identifier. A subject brings its own; each repeats the calculation's formula.
var vectorChecks = []map[string]func(t *testing.T, v vector) float64{
	waterVectors, vesselVectors, flowVectors, pumpVectors, emitterVectors, buildingVectors, instrumentVectors,
}

// TestVectors: figures worked in Python with python3-iapws from the calculations' own formulas.
func TestVectors(t *testing.T) {
	checks, seen := map[string]func(t *testing.T, v vector) float64{}, map[string]int{}
	for _, m := range vectorChecks {
		maps.Copy(checks, m)
	}
	for _, v := range vectors(t, "vectors.json") {
		check := checks[v.Calc]
		if check == nil {
			t.Fatalf("no check for %s", v.Calc)
		}
		near(t, v.Calc, check(t, v), v.Answer, 1e-11*math.Abs(v.Answer))
		seen[v.Calc]++
	}
	for calc := range checks {
		if seen[calc] != 12 {
			t.Errorf("%s: checked %d vectors, want 12", calc, seen[calc])
		}
	}
}

// kelvin gives an input in °C as a point in kelvin.
func (v vector) kelvin(name string) float64 { return v.Inputs[name] + zeroCelsius }

// mean is the mean of two inputs in °C, in kelvin.
func (v vector) mean(a, b string) float64 { return (v.kelvin(a) + v.kelvin(b)) / 2 }

// absolute gives an input in bar gauge in pascal absolute, with 1 bar of air.
func (v vector) absolute(name string) float64 { return (v.Inputs[name] + 1) * 1e5 }

var waterVectors = map[string]func(t *testing.T, v vector) float64{
	"H01": func(t *testing.T, v vector) float64 { // qv·rho(tr)·cp((tf+tr)/2)·(tf−tr)
		rho := must(t)(WaterDensity(v.kelvin("tr"), ConventionPressure))
		near(t, "H01 density", rho, v.step(t, "rho"), 1e-11*rho)
		cp := must(t)(WaterHeatCapacity(v.mean("tf", "tr"), ConventionPressure))
		near(t, "H01 cp", cp/1e3, v.step(t, "cp"), 1e-11*cp/1e3)
		return v.Inputs["qv"] * perMinute * rho * cp * (v.Inputs["tf"] - v.Inputs["tr"]) / 1e3
	},
	"H02": func(t *testing.T, v vector) float64 { // qv·rho(t)
		return v.Inputs["qv"] * perMinute * must(t)(WaterDensity(v.kelvin("t"), ConventionPressure))
	},
	"H03": func(t *testing.T, v vector) float64 { // P/(rho·cp·dT), properties at the mean temperature
		rho := must(t)(WaterDensity(v.mean("tf", "tr"), ConventionPressure))
		cp := must(t)(WaterHeatCapacity(v.mean("tf", "tr"), ConventionPressure))
		return v.Inputs["P"] * 1e3 / (rho * cp * (v.Inputs["tf"] - v.Inputs["tr"])) / perMinute
	},
	"P01": func(t *testing.T, v vector) float64 { // flow over bore area
		bore := must(t)(TubeBore(v.Inputs["OD"]/1e3, v.Inputs["w"]/1e3))
		near(t, "P01 bore", bore*1e3, v.step(t, "di"), 1e-11)
		return must(t)(TubeVelocity(v.Inputs["qv"]*perMinute, v.Inputs["OD"]/1e3, v.Inputs["w"]/1e3))
	},
	"D01": func(t *testing.T, v vector) float64 { // V·rho·cp·(t2−t1), properties at the mean temperature
		rho := must(t)(WaterDensity(v.mean("t1", "t2"), ConventionPressure))
		cp := must(t)(WaterHeatCapacity(v.mean("t1", "t2"), ConventionPressure))
		return v.Inputs["V"] * litre * rho * cp * (v.Inputs["t2"] - v.Inputs["t1"]) / 3.6e6
	},
	"P02": func(t *testing.T, v vector) float64 { // v·bore/nu
		return v.Inputs["v"] * v.Inputs["di"] / 1e3 / must(t)(WaterKinematicViscosity(v.kelvin("t"), ConventionPressure))
	},
}

// vesselVectors are in bar gauge with 1 bar of air.
var vesselVectors = map[string]func(t *testing.T, v vector) float64{
	"X01": func(t *testing.T, v vector) float64 { // Vs·(rho(tf)/rho(tm)−1)
		return v.Inputs["Vs"] * must(t)(WaterExpansion(v.kelvin("tf"), v.kelvin("tm"), ConventionPressure))
	},
	"X02": func(t *testing.T, v vector) float64 { // (Ve+VWR)·pe/(pe−p0)
		return must(t)(VesselSize(v.Inputs["Ve"]*litre, v.Inputs["VWR"]*litre, v.absolute("p0"), v.absolute("pe"))) / litre
	},
	"X03": func(t *testing.T, v vector) float64 { // Ve/(1−p1/p2)
		share := must(t)(VesselAcceptance(v.absolute("p1"), v.absolute("p2")))
		near(t, "X03 acceptance", share, v.step(t, "acc"), 1e-12)
		return v.Inputs["Ve"] / share
	},
	"X05": func(t *testing.T, v vector) float64 { // VN·p0/(VN−VWR)
		return must(t)(VesselFillPressure(v.Inputs["VN"]*litre, v.Inputs["VWR"]*litre, v.absolute("p0")))/1e5 - 1
	},
	"X06": func(t *testing.T, v vector) float64 { // pa·Va/(Va−Ve), Va = VN·p0/pa
		return must(t)(VesselHotPressure(v.Inputs["VN"]*litre, v.Inputs["Ve"]*litre, v.absolute("p0"), v.absolute("pa")))/1e5 - 1
	},
}

func TestVesselRange(t *testing.T) {
	const bar = 1e5
	size := func(ve, reserve, p0, pe float64) func() (float64, error) {
		return func() (float64, error) { return VesselSize(ve*litre, reserve*litre, p0*bar, pe*bar) }
	}
	fill := func(volume, reserve, p0 float64) func() (float64, error) {
		return func() (float64, error) { return VesselFillPressure(volume*litre, reserve*litre, p0*bar) }
	}
	hot := func(volume, ve, p0, pa float64) func() (float64, error) {
		return func() (float64, error) { return VesselHotPressure(volume*litre, ve*litre, p0*bar, pa*bar) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"a good size", size(2.5, 3, 1.75, 3.5), "", ""},
		{"no reserve is good", size(2.5, 0, 1.75, 3.5), "", ""},
		{"no expansion", size(0, 3, 1.75, 3.5), "Ve", "The expansion volume"},
		{"reserve below nothing", size(2.5, -1, 1.75, 3.5), "VWR", "less than nothing"},
		{"vacuum in the vessel", size(2.5, 3, 0, 3.5), "p0", "absolute"},
		{"final below nothing", size(2.5, 3, 1.75, -1), "pe", "absolute"},
		{"equal pressures", size(2.5, 3, 3.5, 3.5), "pe", "(3.5 bar absolute) is above the pre-charge (3.5 bar absolute)"},
		{"not a number", size(math.NaN(), 3, 1.75, 3.5), "Ve", "The expansion volume"},
		{"a good fill", fill(12, 2.4, 1.75), "", ""},
		{"no vessel", fill(0, 2.4, 1.75), "VN", "The vessel's volume"},
		{"vessel all reserve", fill(12, 12, 1.75), "VWR", "less than the vessel's volume of 12 L"},
		{"no charge", fill(12, 2.4, 0), "p0", "The pre-charge"},
		{"a good hot pressure", hot(12, 2.2, 1.75, 2.2), "", ""},
		{"filled at the pre-charge", hot(12, 2.2, 1.75, 1.75), "", ""},
		{"filled below the pre-charge", hot(12, 2.2, 1.75, 1.5), "pa", "the vessel is empty"},
		{"more water than gas", hot(12, 9.6, 1.75, 2.2), "Ve", "grows by 9.6 L and only 9.55 L of gas"},
		{"hot, no vessel", hot(0, 2.2, 1.75, 2.2), "VN", "The vessel's volume"},
		{"hot, no expansion", hot(12, 0, 1.75, 2.2), "Ve", "The expansion volume"},
		{"hot, no charge", hot(12, 2.2, 0, 2.2), "p0", "The pre-charge"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}

// TestVesselMonotone: a larger expansion never asks for a smaller vessel, and the hot pressure of the vessel it asks
// for is the final pressure, since both are Boyle's law.
func TestVesselMonotone(t *testing.T) {
	const p0, pe = 1.75e5, 3.5e5
	last := 0.0
	for litres := 0.5; litres < 40; litres += 0.5 {
		volume := must(t)(VesselSize(litres*1e-3, 0, p0, pe))
		if volume <= last {
			t.Errorf("%v L: got a vessel of %v m³, not above %v m³", litres, volume, last)
		}
		last = volume
		near(t, "hot pressure", must(t)(VesselHotPressure(volume, litres*1e-3, p0, p0)), pe, 1e-9*pe)
	}
}
