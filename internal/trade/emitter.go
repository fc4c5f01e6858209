package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// The exponents that emitters are tested at: floors stand at the lower end, tall convectors at the upper.
const (
	leastExponent = 1
	mostExponent  = 1.6
)

// MeanExcess is the arithmetic mean excess temperature, K, of an emitter over its room: flow, return and room in kelvin,
// (flow + return)/2 − room.
//
// Range: temperatures from 0 °C to 150 °C, the mean of flow and return above the room; outside it a RangeError.
// Source: EN 442-2. Example: 65 °C, 52 °C and 20 °C, 38.5 K.
func MeanExcess(flow, back, room float64) (float64, error) {
	if err := emitterTemperatures(flow, back, room); err != nil {
		return 0, err
	}
	mean := float64((flow + back) / 2)
	excess := mean - room
	if excess <= 0 {
		return 0, beyond("ta", "The mean of flow and return (%s) is not above the room (%s), so the emitter gives nothing. "+
			"Check the temperatures.", celsius(mean), celsius(room))
	}
	return excess, nil
}

// LogExcess is the logarithmic mean excess temperature, K, of an emitter over its room: flow, return and room in kelvin,
// (flow − return)/ln((flow − room)/(return − room)). At equal flow and return it is their excess, which is the limit.
//
// Range: temperatures from 0 °C to 150 °C, flow and return above the room; outside it a RangeError. Source: definition of
// the logarithmic mean. Example: 70 °C, 40 °C and 20 °C, 32.7407 K.
func LogExcess(flow, back, room float64) (float64, error) {
	if err := emitterTemperatures(flow, back, room); err != nil {
		return 0, err
	}
	if flow <= room {
		return 0, belowRoom("tf", "flow", flow, room)
	}
	if back <= room {
		return 0, belowRoom("tr", "return", back, room)
	}
	return logMean(flow-room, back-room), nil
}

// logMean is the logarithmic mean of two figures above zero.
func logMean(a, b float64) float64 {
	// With r = (a − b)/(a + b) it is the arithmetic mean times r/artanh r; near equal figures the series keeps the digits
	// that the logarithm of their ratio loses: artanh(r)/r = 1 + r²/3 + r⁴/5 + …
	r := (a - b) / (a + b)
	if r2 := r * r; r2 < 0.0025 {
		series := 0.0
		for odd := 13.0; odd > 0; odd -= 2 {
			series = float64(series*r2) + 1/odd
		}
		return (a + b) / 2 / series
	}
	return (a - b) / formula.Ln(a/b)
}

func belowRoom(name, what string, t, room float64) error {
	return beyond(name, "The %s (%s) is not above the room (%s), so there is no logarithmic mean. Check both temperatures.",
		what, celsius(t), celsius(room))
}

// emitterTemperatures refuses what no heating system runs at.
func emitterTemperatures(flow, back, room float64) error {
	for i, t := range [...]float64{flow, back, room} {
		if !(t >= zeroCelsius && t <= zeroCelsius+150) {
			return beyond([...]string{"tf", "tr", "ta"}[i], "Emitters are worked from 0 °C to 150 °C; this is %s. "+
				"Check the temperature and its unit.", celsius(t))
		}
	}
	return nil
}

// EmitterOutput is the heat, W, that an emitter gives at an excess temperature in K, from what it is rated at in W at the
// rated excess in K, and the exponent of its test: rated·(excess/rated excess)^exponent. Both excesses are of one kind,
// arithmetic or logarithmic.
//
// Range: output and excesses above zero, excesses up to 150 K, an exponent from 1 to 1.6; outside it a RangeError.
// Source: EN 442-2, characteristic equation. Example: 1480 W at 50 K, exponent 1.31, at 38.5 K 1050.908 W.
func EmitterOutput(rated, excess, ratedExcess, exponent float64) (float64, error) {
	if err := positive("rated", "The rated output", rated); err != nil {
		return 0, err
	}
	if err := excessOf("excess", "The excess temperature", excess); err != nil {
		return 0, err
	}
	if err := excessOf("rated_excess", "The rated excess temperature", ratedExcess); err != nil {
		return 0, err
	}
	if !(exponent >= leastExponent && exponent <= mostExponent) {
		return 0, beyond("n", "An emitter's exponent lies between 1 and 1.6; this is %s. Check it on the maker's sheet.",
			number(exponent))
	}
	return rated * formula.Power(excess/ratedExcess, exponent), nil
}

func excessOf(name, what string, excess float64) error {
	if err := positive(name, what, excess); err != nil {
		return err
	}
	if excess > 150 {
		return beyond(name, "%s is worked up to 150 K; this is %s K. Check the temperatures that it comes from.", what, number(excess))
	}
	return nil
}

func emitterSubject() Subject {
	flow := formula.Param{Name: "tf", Unit: unitPoint, About: "flow temperature"}
	back := formula.Param{Name: "tr", Unit: unitPoint, About: "return temperature"}
	room := formula.Param{Name: "ta", Unit: unitPoint, About: "temperature of the room's air"}
	three := []formula.Param{flow, back, room}
	return Subject{
		Key: "emitters", Title: "Emitters",
		About: "What a radiator or another emitter gives at temperatures other than those it was tested at. Output, excess and " +
			"exponent of the test come from the maker's sheet.",
		Entries: []Entry{
			{Function: formula.Function{Name: "mean_excess", About: "Arithmetic mean excess temperature of an emitter over its room.",
				Source: "EN 442-2", Params: three, Result: unitKelvin, Call: of3(MeanExcess), Turns: steady(3)},
				Formula: "(tf + tr)/2 − ta", Range: "0 °C to 150 °C, the mean of flow and return above the room.",
				Example: []string{"65 °C", "52 °C", "20 °C"}, Gives: "38.5 K",
				Chart: Chart{Over: "tr", From: "30 °C", To: "65 °C"}},
			{Function: formula.Function{Name: "log_excess", About: "Logarithmic mean excess temperature of an emitter over its room.",
				Source: "definition of the logarithmic mean", Params: three, Result: unitKelvin, Call: of3(LogExcess), Turns: steady(3)},
				Formula: "(tf − tr)/ln((tf − ta)/(tr − ta))",
				Range:   "0 °C to 150 °C, flow and return above the room; where they are equal it is their excess, the formula's limit.",
				Example: []string{"70 °C", "40 °C", "20 °C"}, Gives: "32.74 K",
				Chart: Chart{Over: "tr", From: "25 °C", To: "70 °C"}},
			{Function: formula.Function{Name: "emitter",
				About:  "Output of an emitter at another excess temperature, both excesses of one kind.",
				Source: "EN 442-2, characteristic equation",
				Params: []formula.Param{{Name: "rated", Unit: unitPower, About: "output of the test"},
					{Name: "excess", Unit: unitKelvin, About: "excess temperature"},
					{Name: "rated_excess", Unit: unitKelvin, About: "excess temperature of the test"},
					{Name: "n", Unit: quantity.One, About: "exponent of the test"}},
				Result: unitPower, Call: of4(EmitterOutput), Turns: steady(4)},
				Formula: "rated × (excess/rated_excess)^n",
				Range:   "Output above nothing; excesses above nothing, up to 150 K; an exponent from 1 to 1.6.",
				Example: []string{"1480 W", "38.5 K", "50 K", "1.31"}, Gives: "1051 W",
				Chart: Chart{Over: "excess", From: "10 K", To: "60 K"}},
		},
	}
}
