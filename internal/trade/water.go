package trade

import (
	"slices"

	"witnessmark/internal/formula"
)

// ConventionPressure is the absolute pressure, in pascal, that water is taken to be at where a formula states none:
// 0.25 MPa, a sealed heating system at about 1.5 bar gauge. Between 1 and 4 bar absolute a density moves by less than 0.02 %.
const ConventionPressure = 0.25e6

// The corners of IF97's region 1 (liquid water), R7-97 section 2 and figure 1.
const (
	region1Coldest  = zeroCelsius
	region1Hottest  = 623.15
	region1Pressure = 100e6
)

// liquid refuses a state that is not liquid water inside IF97's region 1: 0 °C to 350 °C, from the saturation pressure
// to 1000 bar absolute.
func liquid(t, p float64) error {
	if !(t >= region1Coldest && t <= region1Hottest) {
		return beyond("t", "Water's properties are worked from 0 °C to 350 °C; this is %s. "+
			"Check the temperature and its unit.", celsius(t))
	}
	if !(p > 0 && p <= region1Pressure) {
		return beyond("p", "Water's properties are worked up to 1000 bar absolute; this is %s. "+
			"Check the pressure, its unit and that it is absolute.", bar(p))
	}
	if p < saturationPressure(t) {
		return boiled(t, p)
	}
	return nil
}

// boiled says that water at t and p would be steam, and at which temperature it turns.
func boiled(t, p float64) error {
	if p < saturationLowest {
		return beyond("p", "At %s absolute water does not stay liquid at any temperature. "+
			"Check that the pressure is absolute.", bar(p))
	}
	return beyond("t", "At %s absolute water stays liquid from 0 °C up to %s; this is %s. "+
		"Check the temperature, or state the higher pressure.", bar(p), celsius(saturationTemperature(p)), celsius(t))
}

// WaterVolume is the specific volume of liquid water, m³/kg, at t kelvin and p pascal absolute.
//
// Range: 0 °C to 350 °C, saturation pressure to 1000 bar absolute; outside it a RangeError. Source: IAPWS R7-97(2012),
// region 1, equation 7 and table 2. Example: at 26.85 °C and 30 bar, 0.001 002 151 68 m³/kg.
func WaterVolume(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	return region1Volume(t, p), nil
}

// WaterDensity is the density of liquid water, kg/m³, at t kelvin and p pascal absolute.
//
// Range and source as WaterVolume. Example: at 51.3 °C and 2.5 bar absolute, 987.519 kg/m³.
func WaterDensity(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	return 1 / region1Volume(t, p), nil
}

// WaterHeatCapacity is the specific heat of liquid water at constant pressure, J/(kg·K), at t kelvin and p pascal
// absolute.
//
// Range and source as WaterVolume. Example: at 60.55 °C and 2.5 bar absolute, 4182.67 J/(kg·K).
func WaterHeatCapacity(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	return region1At(t, p).heatCapacity(), nil
}

// WaterEnthalpy is the specific enthalpy of liquid water, J/kg, at t kelvin and p pascal absolute; it is zero close to
// the triple point, so only differences of it mean anything.
//
// Range and source as WaterVolume. Example: at 26.85 °C and 30 bar, 115 331.273 J/kg.
func WaterEnthalpy(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	return region1At(t, p).enthalpy(t), nil
}

// WaterMeanHeatCapacity is the mean specific heat, J/(kg·K), of liquid water between t1 and t2 kelvin at p pascal
// absolute: the difference of enthalpies over the difference of temperatures. At equal temperatures it is the specific
// heat there, which is the limit.
//
// Range and source as WaterVolume. Example: from 10 °C to 60 °C at 2.5 bar absolute, 4181.678 J/(kg·K).
func WaterMeanHeatCapacity(t1, t2, p float64) (float64, error) {
	if t1 == t2 {
		cp, err := WaterHeatCapacity(t1, p)
		return cp, renamed(err, "t", "t1")
	}
	h1, err := WaterEnthalpy(t1, p)
	if err != nil {
		return 0, renamed(err, "t", "t1")
	}
	h2, err := WaterEnthalpy(t2, p)
	if err != nil {
		return 0, renamed(err, "t", "t2")
	}
	return (h2 - h1) / (t2 - t1), nil
}

func waterSubject() Subject {
	return Subject{Key: "water", Title: "Water",
		About: "Properties of liquid water and where it boils. rho(t) and its like take 2.5 bar absolute, as a warm system has; " +
			"rho_at(t, p) and its like take the pressure that is given.",
		Entries: slices.Concat(waterEntries(), saturationEntries(), transportEntries())}
}

func waterEntries() []Entry {
	const source = "IAPWS R7-97(2012), region 1"
	t := []formula.Param{paramT}
	tp := []formula.Param{paramT, paramP}
	t1t2 := []formula.Param{{Name: "t1", Unit: unitPoint, About: "one temperature"}, {Name: "t2", Unit: unitPoint, About: "the other temperature"}}
	return []Entry{
		{Function: formula.Function{Name: "rho", About: "Density of water " + rangeConvention, Source: source,
			Params: t, Result: unitDensity, Thumb: &thumbDensity, Call: conventional(WaterDensity), Turns: densest},
			Formula: "rho_at(t, 2.5 bar(a))", Range: holdsConvention, Example: []string{"60 °C"}, Gives: "983.28 kg/m³", Chart: overT},
		{Function: formula.Function{Name: "rho_at", About: "Density of water at a stated pressure: " + rangeStated, Source: source,
			Params: tp, Result: unitDensity, Thumb: &thumbDensity, Call: of2(WaterDensity)},
			Method: "one over the specific volume, a polynomial of 34 terms", Range: holdsStated,
			Example: []string{"10 °C", "1.01325 bar(a)"}, Gives: "999.70 kg/m³", Chart: overT},
		{Function: formula.Function{Name: "cp", About: "Specific heat of water " + rangeConvention, Source: source,
			Params: t, Result: unitHeatCapacity, Thumb: &thumbHeat, Call: conventional(WaterHeatCapacity), Turns: leastCapacity},
			Formula: "cp_at(t, 2.5 bar(a))", Range: holdsConvention, Example: []string{"60 °C"}, Gives: "4.1824 kJ/(kg·K)", Chart: overT},
		{Function: formula.Function{Name: "cp_at", About: "Specific heat of water at a stated pressure: " + rangeStated, Source: source,
			Params: tp, Result: unitHeatCapacity, Thumb: &thumbHeat, Call: of2(WaterHeatCapacity)},
			Method: "from the second derivative of a polynomial of 34 terms by temperature", Range: holdsStated,
			Example: []string{"10 °C", "1.01325 bar(a)"}, Gives: "4.1954 kJ/(kg·K)", Chart: overT},
		{Function: formula.Function{Name: "cp_mean", About: "Mean specific heat of water between two temperatures " + rangeConvention, Source: source,
			Params: t1t2, Result: unitHeatCapacity, Thumb: &thumbHeat,
			Call: func(x []float64) (float64, error) { return WaterMeanHeatCapacity(x[0], x[1], ConventionPressure) }},
			Formula: "(enthalpy(t2) − enthalpy(t1)) / (t2 − t1)", Range: holdsConvention + " At equal temperatures it is the specific heat there.",
			Example: []string{"10 °C", "60 °C"}, Gives: "4.1817 kJ/(kg·K)", Chart: Chart{"t2", "20 °C", "95 °C"}},
		{Function: formula.Function{Name: "enthalpy", About: "Specific enthalpy of water, counted from the triple point, " + rangeConvention, Source: source,
			Params: t, Result: unitEnthalpy, Call: conventional(WaterEnthalpy), Turns: steady(1)},
			Formula: "enthalpy_at(t, 2.5 bar(a))", Range: holdsConvention, Example: []string{"95 °C"}, Gives: "398.14 kJ/kg", Chart: overT},
		{Function: formula.Function{Name: "enthalpy_at", About: "Specific enthalpy of water at a stated pressure: " + rangeStated, Source: source,
			Params: tp, Result: unitEnthalpy, Call: of2(WaterEnthalpy)},
			Method: "from the derivative of a polynomial of 34 terms by temperature", Range: holdsStated,
			Example: []string{"10 °C", "1.01325 bar(a)"}, Gives: "42.119 kJ/kg", Chart: overT},
	}
}
