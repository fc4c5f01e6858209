package trade

import (
	"math"
	"testing"
)

// TestVectors: figures worked in Python with python3-iapws from the calculations' own formulas, which the comments
// below repeat; the files' pressures are bar gauge with 1 bar of air.
func TestVectors(t *testing.T) {
	const litre, bar, perMinute = 1e-3, 1e5, 1e-3 / 60
	seen := 0
	for _, v := range vectors(t) {
		in := v.Inputs
		kelvin := func(name string) float64 { return in[name] + zeroCelsius }
		absolute := func(name string) float64 { return (in[name] + 1) * bar }
		want, got := v.Answer, 0.0
		switch v.Calc {
		case "H01": // qv·rho(tr)·cp((tf+tr)/2)·(tf−tr)
			rho := must(t)(WaterDensity(kelvin("tr"), ConventionPressure))
			near(t, "H01 density", rho, v.step(t, "rho"), 1e-11*rho)
			cp := must(t)(WaterHeatCapacity((kelvin("tf")+kelvin("tr"))/2, ConventionPressure))
			near(t, "H01 cp", cp/1e3, v.step(t, "cp"), 1e-11*cp/1e3)
			got = in["qv"] * perMinute * rho * cp * (in["tf"] - in["tr"]) / 1e3
		case "H02": // qv·rho(t)
			got = in["qv"] * perMinute * must(t)(WaterDensity(kelvin("t"), ConventionPressure))
		case "H03": // its density and specific heat at the mean temperature
			rho, cp := v.step(t, "rho"), v.step(t, "cp")
			mean := (kelvin("tf") + kelvin("tr")) / 2
			near(t, "H03 cp", must(t)(WaterHeatCapacity(mean, ConventionPressure))/1e3, cp, 1e-11*cp)
			want, got = rho, must(t)(WaterDensity(mean, ConventionPressure))
		case "P01": // flow over bore area
			bore := must(t)(TubeBore(in["OD"]/1e3, in["w"]/1e3))
			near(t, "P01 bore", bore*1e3, v.step(t, "di"), 1e-11)
			got = must(t)(TubeVelocity(in["qv"]*perMinute, in["OD"]/1e3, in["w"]/1e3))
		case "P02": // v·bore/nu
			got = in["v"] * in["di"] / 1e3 / must(t)(WaterKinematicViscosity(kelvin("t"), ConventionPressure))
		case "D01": // V·rho·cp·(t2−t1), properties at the mean temperature
			mean := (kelvin("t1") + kelvin("t2")) / 2
			rho := must(t)(WaterDensity(mean, ConventionPressure))
			cp := must(t)(WaterHeatCapacity(mean, ConventionPressure))
			got = in["V"] * litre * rho * cp * (in["t2"] - in["t1"]) / 3.6e6
		case "X01": // Vs·(rho(tf)/rho(tm)−1)
			got = in["Vs"] * must(t)(WaterExpansion(kelvin("tf"), kelvin("tm"), ConventionPressure))
		case "X02":
			got = must(t)(VesselSize(in["Ve"]*litre, in["VWR"]*litre, absolute("p0"), absolute("pe"))) / litre
		case "X03":
			share := must(t)(VesselAcceptance(absolute("p1"), absolute("p2")))
			near(t, "X03 acceptance", share, v.step(t, "acc"), 1e-12)
			got = in["Ve"] / share
		case "X05":
			got = must(t)(VesselFillPressure(in["VN"]*litre, in["VWR"]*litre, absolute("p0")))/bar - 1
		case "X06":
			got = must(t)(VesselHotPressure(in["VN"]*litre, in["Ve"]*litre, absolute("p0"), absolute("pa")))/bar - 1
		default:
			t.Fatalf("no check for %s", v.Calc)
		}
		near(t, v.Calc, got, want, 1e-11*math.Abs(want))
		seen++
	}
	if seen != 132 {
		t.Errorf("checked %d vectors, want 132", seen)
	}
}

func TestVesselRange(t *testing.T) {
	const litre, bar = 1e-3, 1e5
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
