package trade

import (
	"math"

	"witnessmark/internal/formula"
)

// The ends of the saturation line: 0 °C, where the pressure is 611.213 Pa, and the critical point (R7-97 equation 30
// and section 3).
const (
	saturationColdest = zeroCelsius
	saturationHottest = 647.096
	saturationLowest  = 611.212677
	saturationHighest = 22.064e6
)

// The coefficients of table 34 of R7-97, which both directions of the saturation line share.
const (
	sat1  = 0.11670521452767e4
	sat2  = -0.72421316703206e6
	sat3  = -0.17073846940092e2
	sat4  = 0.12020824702470e5
	sat5  = -0.32325550322333e7
	sat6  = 0.14915108613530e2
	sat7  = -0.48232657361591e4
	sat8  = 0.40511340542057e6
	sat9  = -0.23855557567849
	sat10 = 0.65017534844798e3
)

// WaterSaturationPressure is the absolute pressure, Pa, at which water at t kelvin boils.
//
// Range: 0 °C to 373.946 °C, the critical point; outside it a RangeError. Source: IAPWS R7-97(2012), region 4, equation 30.
// Example: at 226.85 °C, 2.638 897 76 MPa.
func WaterSaturationPressure(t float64) (float64, error) {
	if !(t >= saturationColdest && t <= saturationHottest) {
		return 0, beyond("t", "Water boils at temperatures from 0 °C to 373.95 °C, depending on the pressure; "+
			"this is %s. Check the temperature and its unit.", celsius(t))
	}
	return saturationPressure(t), nil
}

// WaterSaturationTemperature is the temperature, K, at which water boils at p pascal absolute.
//
// Range: 611.213 Pa to 22.064 MPa; outside it a RangeError. Source: IAPWS R7-97(2012), region 4, equation 31.
// Example: at 1 bar absolute, 372.755 919 K.
func WaterSaturationTemperature(p float64) (float64, error) {
	if !(p >= saturationLowest && p <= saturationHighest) {
		return 0, beyond("p", "Water boils at pressures from 0.00612 bar to 220.64 bar absolute, depending on the "+
			"temperature; this is %s. Check the pressure, its unit and that it is absolute.", bar(p))
	}
	return saturationTemperature(p), nil
}

// saturationPressure is equation 30, in Pa; t is within the line's ends.
func saturationPressure(t float64) float64 {
	x := t + sat9/(t-sat10)
	a := float64(x*x) + float64(sat1*x) + sat2
	b := float64(sat3*x*x) + float64(sat4*x) + sat5
	c := float64(sat6*x*x) + float64(sat7*x) + sat8
	r := 2 * c / (math.Sqrt(float64(b*b)-float64(4*a*c)) - b)
	return r * r * r * r * 1e6
}

// saturationTemperature is equation 31, in K; p is within the line's ends.
func saturationTemperature(p float64) float64 {
	x := math.Sqrt(math.Sqrt(p / 1e6))
	e := float64(x*x) + float64(sat3*x) + sat6
	f := float64(sat1*x*x) + float64(sat4*x) + sat7
	g := float64(sat2*x*x) + float64(sat5*x) + sat8
	d := 2 * g / (-f - math.Sqrt(float64(f*f)-float64(4*e*g)))
	u := sat10 + d
	return (u - math.Sqrt(float64(u*u)-float64(4*(sat9+float64(sat10*d))))) / 2
}

func saturationEntries() []Entry {
	const source = "IAPWS R7-97(2012), region 4"
	return []Entry{
		{Function: formula.Function{Name: "psat", About: "Absolute pressure at which water boils at a temperature, 0 °C to 373.9 °C.", Source: source,
			Params: []formula.Param{paramT}, Result: unitAbsolute, Call: of1(WaterSaturationPressure), Turns: steady(1)},
			Method: "the root of the saturation line's equation, quadratic in temperature and in the fourth root of pressure", Range: "0 °C to 373.94 °C, the critical point.",
			Example: []string{"110 °C"}, Gives: "1.4338 bar(a)", Chart: Chart{"t", "20 °C", "150 °C"}},
		{Function: formula.Function{Name: "tsat", About: "Temperature at which water boils at an absolute pressure, 0.0062 bar to 220.6 bar.", Source: source,
			Params: []formula.Param{paramP}, Result: unitPoint, Call: of1(WaterSaturationTemperature), Turns: steady(1)},
			Method: "the same equation solved for temperature", Range: "0.00612 bar to 220.64 bar absolute, the critical point.",
			Example: []string{"2.5 bar(a)"}, Gives: "127.41 °C", Chart: Chart{"p", "0.5 bar(a)", "6 bar(a)"}},
	}
}
