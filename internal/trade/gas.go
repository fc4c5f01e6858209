package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// The reference conditions of ISO 13443:1996, at which a calorific value counts a cubic metre of gas.
const (
	referenceTemperature = zeroCelsius + 15
	referencePressure    = 101325.0
)

var (
	unitCubic        = quantity.MustUnit("m³")
	unitMbar         = quantity.MustUnit("mbar")
	unitAbsoluteMbar = quantity.MustUnit("mbar(a)")
	unitCalorific    = quantity.MustUnit("MJ/m³ gross")
	unitGrossInput   = quantity.MustUnit("kW gross")
	unitNetInput     = quantity.MustUnit("kW net")
	unitGrossShare   = quantity.MustUnit("% gross")
	unitNetShare     = quantity.MustUnit("% net")
)

// GasRate is the volume flow, m³/s, of a volume in m³ that a meter showed over a time in s.
//
// Range: both above zero; outside it a RangeError. Source: definition. Example: 0.074 m³ in 120 s, 2.22 m³/h.
func GasRate(volume, time float64) (float64, error) {
	if err := positive("V", "The metered volume", volume); err != nil {
		return 0, err
	}
	if err := positive("time", "The time", time); err != nil {
		return 0, err
	}
	return volume / time, nil
}

// ReferenceVolume is the volume, m³, at 15 °C and 1013.25 mbar of gas that fills volume m³ at p pascal ABSOLUTE and t
// kelvin: volume · p/101 325 · 288.15/t.
//
// Range: a volume above zero, 500 mbar to 2 bar absolute, −30 °C to 60 °C; there natural gas keeps to the ideal gas
// within 0.5 % (common practice, no source). Outside it a RangeError. Source: ideal gas; ISO 13443:1996 reference
// conditions. Example: 1 m³ at 1034.25 mbar absolute and 12 °C, 1.031 464 m³.
func ReferenceVolume(volume, p, t float64) (float64, error) {
	if err := positive("V", "The metered volume", volume); err != nil {
		return 0, err
	}
	if err := aboutAir("p", p); err != nil {
		return 0, err
	}
	if !(t >= zeroCelsius-30 && t <= zeroCelsius+60) {
		return 0, beyond("t", "A metered volume is corrected from −30 °C to 60 °C; this is %s. Check the gas's temperature "+
			"and its unit.", celsius(t))
	}
	return volume * (p / referencePressure) * (referenceTemperature / t), nil
}

// aboutAir refuses an absolute pressure that is far from the air's: most often a gauge pressure that was not made
// absolute.
func aboutAir(name string, p float64) error {
	if p >= 0.5e5 && p <= 2e5 {
		return nil
	}
	return beyond(name, "An absolute pressure from 500 mbar to 2000 mbar belongs here; this is %s mbar. Check the figure and "+
		"its unit, and that the air's pressure was added to a gauge reading.", number(p/100))
}

// HeatInput is the heat input, W gross, of gas that a meter counted as volume m³ over a time in s, at a gross calorific
// value in J/m³. The volume is taken as metered; ReferenceVolume corrects it first where that is asked.
//
// Range: all above zero; outside it a RangeError. Source: definition. Example: 0.074 m³ in 120 s at 39.2 MJ/m³,
// 24.1733 kW gross.
func HeatInput(volume, time, calorific float64) (float64, error) {
	rate, err := GasRate(volume, time)
	if err != nil {
		return 0, err
	}
	if err := positive("CV", "The calorific value", calorific); err != nil {
		return 0, err
	}
	return rate * calorific, nil
}

// NetInput is the heat input counted net, W, of one counted gross, W: over the ratio of gross to net calorific value.
//
// Range: an input above zero, a ratio from 1 to 1.2 (natural gas about 1.11, hydrogen 1.18); outside it a RangeError.
// Source: ISO 6976 calls the two superior and inferior. Example: 24.2 kW gross at 1.11, 21.8018 kW net.
func NetInput(gross, ratio float64) (float64, error) {
	if err := positive("Qg", "The gross heat input", gross); err != nil {
		return 0, err
	}
	if err := grossToNet(ratio); err != nil {
		return 0, err
	}
	return gross / ratio, nil
}

// GrossEfficiency is an efficiency counted on the gross calorific value, of one counted on the net, both plain numbers:
// over the ratio of gross to net calorific value.
//
// Range: an efficiency above zero and, counted gross, of at most 1; a ratio as NetInput; outside it a RangeError.
// Source: as NetInput. Example: 97.7 % net at 1.11, 88.018 % gross.
func GrossEfficiency(net, ratio float64) (float64, error) {
	if err := positive("eta", "The net efficiency", net); err != nil {
		return 0, err
	}
	if err := grossToNet(ratio); err != nil {
		return 0, err
	}
	if net > ratio*(1+1e-9) {
		return 0, beyond("eta", "%s %% net at a ratio of %s would be more than all of the heat. Check the efficiency, and that "+
			"it is net.", number(net*100), number(ratio))
	}
	return net / ratio, nil
}

func grossToNet(ratio float64) error {
	if ratio >= 1 && ratio <= 1.2 {
		return nil
	}
	return beyond("ratio", "The gross calorific value over the net lies between 1 and 1.2 (natural gas about 1.11); this is "+
		"%s. Check the figure, and which of the two stands on top.", number(ratio))
}

// gasDecides ends what is said of working on gas.
const gasDecides = "The gas engineer's standard and the meter owner's rules decide."

func gasSubject() Subject {
	return Subject{Key: "gas", Title: "Gas",
		About: "Gas rate and heat input from a meter, pressure drop along a pipe, the volumes of an installation for tests " +
			"and purging. Calorific values, limits and edition-bound figures are the centre's. " + gasDecides,
		Entries: append(append(gasRateEntries(), gasPipeEntries()...), gasTestEntries()...)}
}

func gasRateEntries() []Entry {
	volume := formula.Param{Name: "V", Unit: unitCubic, About: "volume that the meter counted; ft³ is as good"}
	time := formula.Param{Name: "time", Unit: unitSecond, About: "time it took"}
	ratio := formula.Param{Name: "ratio", Unit: quantity.One, About: "gross over net calorific value"}
	const superior = "ISO 6976 (superior and inferior calorific value)"
	return []Entry{
		{Function: formula.Function{Name: "gas_rate", About: "Gas rate as metered, from a volume and the time it took. " + gasDecides,
			Source: "definition", Params: []formula.Param{volume, time}, Result: unitHourly, Call: of2(GasRate), Turns: steady(2)},
			Formula: "V / time", Range: "Both above zero. The gas is as it is in the meter: reference_volume corrects it.",
			Example: []string{"0.074 m³", "120 s"}, Gives: "2.22 m³/h", Chart: Chart{"time", "60 s", "240 s"}},
		{Function: formula.Function{Name: "reference_volume",
			About:  "Volume at 15 °C and 1013.25 mbar of gas metered at an absolute pressure and a temperature.",
			Source: "ideal gas; ISO 13443:1996 reference conditions",
			Params: []formula.Param{volume, {Name: "p", Unit: unitAbsoluteMbar, About: "absolute pressure in the meter"},
				{Name: "t", Unit: unitPoint, About: "temperature of the gas"}},
			Result: unitCubic, Call: of3(ReferenceVolume), Turns: steady(3)},
			Formula: "V × p / 1013.25 mbar × kelvin(15 °C) / kelvin(t)",
			Range:   "500 mbar to 2000 mbar absolute, −30 °C to 60 °C, where natural gas keeps to the ideal gas within 0.5 %.",
			Example: []string{"1 m³", "1034.25 mbar(a)", "12 °C"}, Gives: "1.0315 m³", Chart: Chart{"t", "0 °C", "30 °C"}},
		{Function: formula.Function{Name: "heat_input",
			About:  "Gross heat input from a metered volume, the time it took and the gross calorific value. " + gasDecides,
			Source: "definition",
			Params: []formula.Param{volume, time, {Name: "CV", Unit: unitCalorific, About: "gross calorific value, from the supplier"}},
			Result: unitGrossInput, Call: of3(HeatInput), Turns: steady(3)},
			Formula: "V / time × CV", Range: "All above zero.",
			Example: []string{"0.074 m³", "120 s", "39.2 MJ/m³(gross)"}, Gives: "24.17 kW gross", Chart: Chart{"time", "60 s", "240 s"}},
		{Function: formula.Function{Name: "net_input", About: "Net heat input of a gross one.", Source: superior,
			Params: []formula.Param{{Name: "Qg", Unit: unitGrossInput, About: "gross heat input"}, ratio},
			Result: unitNetInput, Call: of2(NetInput), Turns: steady(2)},
			Method:  "the gross input over the ratio of gross to net calorific value",
			Range:   "An input above zero, a ratio from 1 to 1.2: natural gas about 1.11.",
			Example: []string{"24.2 kW(gross)", "1.11"}, Gives: "21.80 kW net", Chart: Chart{"ratio", "1.05", "1.15"}},
		{Function: formula.Function{Name: "gross_efficiency", About: "Efficiency counted on the gross calorific value, of one counted on the net.",
			Source: superior, Params: []formula.Param{{Name: "eta", Unit: unitNetShare, About: "net efficiency"}, ratio},
			Result: unitGrossShare, Call: of2(GrossEfficiency), Turns: steady(2)},
			Method:  "the net efficiency over the ratio of gross to net calorific value",
			Range:   "An efficiency above zero that is not above 100 % gross; a ratio from 1 to 1.2: natural gas about 1.11.",
			Example: []string{"97.7 %(net)", "1.11"}, Gives: "88.02 % gross", Chart: Chart{"eta", "85 % net", "108 % net"}},
	}
}
