package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// copperCoefficient is the temperature coefficient of copper's resistance at 20 °C, 1/K: IEC 60028 (1925), as the copper
// wire tables of the US National Bureau of Standards (Handbook 100) have it; from memory.
const copperCoefficient = 0.00393

// adiabaticLongest is how long, s, a fault may last for its heat to stay in the conductor (IEC 60364-5-54, from memory).
const adiabaticLongest = 5.0

// wiringDecides ends what is said of work on the mains.
const wiringDecides = "The wiring rules decide."

var (
	unitAmpere      = quantity.MustUnit("A")
	unitVolt        = quantity.MustUnit("V")
	unitOhm         = quantity.MustUnit("Ω")
	unitMegohm      = quantity.MustUnit("MΩ")
	unitOhmPerMetre = quantity.MustUnit("mΩ/m")
	unitCableDrop   = quantity.MustUnit("mV/(A·m)")
)

// LoadCurrent is the current, A, of a load in W at a voltage in V, with a power factor of 1.
//
// Range: both above zero; outside it a RangeError. Source: Joule's law. Example: 168 W at 230 V, 0.730 435 A.
func LoadCurrent(power, voltage float64) (float64, error) {
	if err := positive("P", "The load", power); err != nil {
		return 0, err
	}
	if err := positive("U", "The voltage", voltage); err != nil {
		return 0, err
	}
	return power / voltage, nil
}

// ConductorResistance is the resistance, Ω, at t kelvin of a copper conductor of r20 Ω at 20 °C: r20 · (1 + 0.003 93 ·
// (t − 20 °C)).
//
// Range: a resistance above zero, −50 °C to 200 °C; outside it a RangeError. Source: IEC 60028 (from memory); the range is
// common practice, no source. Example: 0.5436 Ω at 70 °C, 0.650 417 Ω.
func ConductorResistance(r20, t float64) (float64, error) {
	if err := positive("R20", "The resistance", r20); err != nil {
		return 0, err
	}
	if !(t >= zeroCelsius-50 && t <= zeroCelsius+200) {
		return 0, beyond("t", "A conductor's resistance is worked from −50 °C to 200 °C; this is %s. Check the temperature and "+
			"its unit.", celsius(t))
	}
	return r20 * (1 + float64(copperCoefficient*(t-(zeroCelsius+20)))), nil
}

// R1R2 is the resistance, Ω, at t kelvin of line and protective conductor in series along a length in m, of both
// together r Ω/m at 20 °C.
//
// Range: as ConductorResistance, and a length above zero. Source: as ConductorResistance. Example: 30.2 mΩ/m over 18 m
// at 70 °C, 0.650 417 Ω.
func R1R2(r, length, t float64) (float64, error) {
	if err := positive("r", "The resistance per metre", r); err != nil {
		return 0, err
	}
	if err := positive("L", "The length", length); err != nil {
		return 0, err
	}
	return ConductorResistance(r*length, t)
}

// LoopImpedance is the earth fault loop impedance, Ω: the external part and line and protective conductor of the circuit.
//
// Range: both above zero; outside it a RangeError. Source: impedances in series, their angles left aside as IEC 60364-6
// does (from memory). Example: 0.35 Ω and 0.652 32 Ω, 1.002 32 Ω.
func LoopImpedance(external, circuit float64) (float64, error) {
	if err := positive("Ze", "The external impedance", external); err != nil {
		return 0, err
	}
	if err := positive("R12", "The resistance of the circuit", circuit); err != nil {
		return 0, err
	}
	return external + circuit, nil
}

// VoltageDrop is the voltage, V, lost along a length in m at a current in A, of a cable that loses m V/(A·m), both
// conductors counted.
//
// Range: all above zero; outside it a RangeError. Source: Ohm's law; the cable's figure comes from its maker or the
// wiring rules. Example: 29 mV/(A·m), 6.2 A, 21 m, 3.7758 V.
func VoltageDrop(m, current, length float64) (float64, error) {
	if err := positive("m", "The voltage drop per ampere and metre", m); err != nil {
		return 0, err
	}
	if err := positive("I", "The current", current); err != nil {
		return 0, err
	}
	if err := positive("L", "The length", length); err != nil {
		return 0, err
	}
	return m * current * length, nil
}

// Adiabatic is the least cross-section, m², of a conductor that carries a fault current in A for a time in s without
// overheating: √(I²·t)/k in mm². k, in A·√s/mm², is the conductor's and its insulation's.
//
// Range: current and k above zero, a time above zero and up to 5 s; outside it a RangeError. Source: IEC 60364-5-54
// (formula from memory). Example: 218 A for 0.1 s at k = 115, 0.599 458 mm².
func Adiabatic(current, time, k float64) (float64, error) {
	if err := positive("I", "The fault current", current); err != nil {
		return 0, err
	}
	if err := positive("time", "The time", time); err != nil {
		return 0, err
	}
	if time > adiabaticLongest {
		return 0, beyond("time", "The heat of a fault stays in the conductor for up to 5 s; this is %s s. Check the time and its "+
			"unit.", number(time))
	}
	if err := positive("k", "The factor k", k); err != nil {
		return 0, err
	}
	return current * math.Sqrt(time) / k * 1e-6, nil
}

// Parallel is the resistance, Ω, of two resistances in Ω side by side.
//
// Range: both above zero; outside it a RangeError. Source: Kirchhoff's laws. Example: 48 MΩ and 120 MΩ, 34.2857 MΩ.
func Parallel(a, b float64) (float64, error) {
	if err := positive("a", "The first resistance", a); err != nil {
		return 0, err
	}
	if err := positive("b", "The second resistance", b); err != nil {
		return 0, err
	}
	return a * (b / (a + b)), nil
}

func electricalSubject() Subject {
	return Subject{Key: "electrical", Title: "Electrical",
		About: "Load, conductors, fault loop and insulation of a control circuit. Greatest impedances, drops and the factors k " +
			"are limits: the centre's rule set holds them. " + wiringDecides,
		Entries: append(loadEntries(), conductorEntries()...)}
}

func loadEntries() []Entry {
	length := formula.Param{Name: "L", Unit: unitLength, About: "length of the run"}
	fault := formula.Param{Name: "I", Unit: unitAmpere, About: "fault current"}
	return []Entry{
		{Function: formula.Function{Name: "current", About: "Current of a load, with a power factor of 1.", Source: "Joule's law",
			Params: []formula.Param{{Name: "P", Unit: unitPower, About: "load"}, {Name: "U", Unit: unitVolt, About: "voltage"}},
			Result: unitAmpere, Call: of2(LoadCurrent), Turns: steady(2)},
			Formula: "P / U", Range: "Both above zero.",
			Example: []string{"168 W", "230 V"}, Gives: "0.7304 A", Chart: Chart{"P", "5 W", "3000 W"}},
		{Function: formula.Function{Name: "voltage_drop", About: "Voltage lost along a cable, both conductors counted. " + wiringDecides,
			Source: "Ohm's law", Params: []formula.Param{{Name: "m", Unit: unitCableDrop, About: "the cable's drop per ampere and metre"},
				{Name: "I", Unit: unitAmpere, About: "current"}, length},
			Result: unitVolt, Call: of3(VoltageDrop), Turns: steady(3)},
			Formula: "m × I × L", Range: "All above zero.",
			Example: []string{"29 mV/(A·m)", "6.2 A", "21 m"}, Gives: "3.776 V", Chart: Chart{"L", "2 m", "50 m"}},
		{Function: formula.Function{Name: "adiabatic",
			About:  "Least cross-section of a conductor that carries a fault current for a time. " + wiringDecides,
			Source: "IEC 60364-5-54 (formula from memory)",
			Params: []formula.Param{fault, {Name: "time", Unit: unitSecond, About: "time until it is cut off"},
				{Name: "k", Unit: quantity.One, About: "factor of conductor and insulation, in A·√s/mm²"}},
			Result: unitArea, Call: of3(Adiabatic), Turns: steady(3)},
			Formula: "I / 1 A × √(time / 1 s) / k × 1 mm²", Range: "Current and k above zero, a time above zero and up to 5 s.",
			Example: []string{"218 A", "0.1 s", "115"}, Gives: "0.5995 mm²", Chart: Chart{"time", "0.01 s", "5 s"}},
	}
}

func conductorEntries() []Entry {
	const copper = "IEC 60028 (from memory)"
	t := formula.Param{Name: "t", Unit: unitPoint, About: "temperature of the conductor"}
	length := formula.Param{Name: "L", Unit: unitLength, About: "length of the run"}
	return []Entry{
		{Function: formula.Function{Name: "conductor", About: "Resistance of a copper conductor at a temperature.", Source: copper,
			Params: []formula.Param{{Name: "R20", Unit: unitOhm, About: "resistance at 20 °C"}, t}, Result: unitOhm,
			Call: of2(ConductorResistance), Turns: steady(2)},
			Formula: "R20 × (1 + 0.00393 × (t − 20 °C) / 1 K)", Range: "A resistance above zero, −50 °C to 200 °C.",
			Example: []string{"0.5436 Ω", "70 °C"}, Gives: "0.6504 Ω", Chart: Chart{"t", "0 °C", "90 °C"}},
		{Function: formula.Function{Name: "r1r2", About: "Resistance of line and protective conductor along a run at a temperature. " + wiringDecides,
			Source: copper, Params: []formula.Param{{Name: "r", Unit: unitOhmPerMetre, About: "both together per metre at 20 °C"}, length, t},
			Result: unitOhm, Call: of3(R1R2), Turns: steady(3)},
			Formula: "r × L × (1 + 0.00393 × (t − 20 °C) / 1 K)", Range: "Resistance and length above zero, −50 °C to 200 °C.",
			Example: []string{"30.2 mΩ/m", "18 m", "70 °C"}, Gives: "0.6504 Ω", Chart: Chart{"L", "2 m", "40 m"}},
		{Function: formula.Function{Name: "loop_impedance", About: "Earth fault loop impedance. " + wiringDecides,
			Source: "impedances in series, their angles left aside: IEC 60364-6 (from memory)",
			Params: []formula.Param{{Name: "Ze", Unit: unitOhm, About: "external impedance"},
				{Name: "R12", Unit: unitOhm, About: "line and protective conductor of the circuit"}},
			Result: unitOhm, Call: of2(LoopImpedance), Turns: steady(2)},
			Formula: "Ze + R12", Range: "Both above zero.",
			Example: []string{"0.35 Ω", "0.652 Ω"}, Gives: "1.002 Ω", Chart: Chart{"R12", "0.05 Ω", "3 Ω"}},
		{Function: formula.Function{Name: "parallel",
			About:  "Two resistances side by side, as the insulation of two circuits; of three, parallel(parallel(a, b), c). " + wiringDecides,
			Source: "Kirchhoff's laws",
			Params: []formula.Param{{Name: "a", Unit: unitMegohm, About: "one resistance"}, {Name: "b", Unit: unitMegohm, About: "the other"}},
			Result: unitMegohm, Call: of2(Parallel), Turns: steady(2)},
			Formula: "1 / (1/a + 1/b)", Range: "Both above zero.",
			Example: []string{"48 MΩ", "120 MΩ"}, Gives: "34.29 MΩ", Chart: Chart{"b", "1 MΩ", "200 MΩ"}},
	}
}
