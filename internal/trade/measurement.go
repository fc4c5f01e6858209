package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Corrected is the temperature, K, that an instrument's indication in K stands for, given the error in K that its
// certificate states (indication less true value): indication − error.
//
// Range: −100 °C to 1000 °C and an error of at most 20 K, beyond which an instrument is repaired and not corrected (common
// practice, no source); outside it a RangeError. Source: JCGM 200:2012, 2.16 and 2.53. Example: 60.4 °C, error 0.6 K: 59.8 °C.
func Corrected(indication, deviation float64) (float64, error) {
	if !(indication >= zeroCelsius-100 && indication <= zeroCelsius+1000) {
		return 0, beyond("t", "Thermometers of the trade show -100 °C to 1000 °C; this is %s. Check the reading and its unit.", celsius(indication))
	}
	if !(math.Abs(deviation) <= 20) {
		return 0, beyond("error", "A thermometer that is off by %s K is for repair, not for correction: 20 K is the most. Check the "+
			"error and its unit.", number(deviation))
	}
	return indication - deviation, nil
}

// NormalShare is the share, a plain number from 0 to 1, of a normal distribution that lies below z standard deviations from
// its mean.
//
// Range: any finite z; else a RangeError. It is right to 1e-15, absolutely. Source: the integral of the normal density, by
// its power series within 5 standard deviations and by Laplace's continued fraction beyond. Example: 2, 97.725 %.
func NormalShare(z float64) (float64, error) {
	switch {
	case z-z != 0:
		return 0, beyond("z", "The number of standard deviations is a number. Check the figure, and that the deviation is not nothing.")
	case z < -5:
		return normalTail(-z), nil
	case z > 5:
		return 1 - normalTail(z), nil
	}
	// 1/2 + density · (z + z³/3 + z⁵/(3·5) + …), whose terms fall once 2k + 1 is above z².
	term, sum := z, z
	for k := 3.0; math.Abs(term) > 1e-18*math.Abs(sum); k += 2 {
		term = float64(term * (z * z / k))
		sum += term
	}
	return 0.5 + float64(normalDensity(z)*sum), nil
}

// normalTail is what lies beyond z > 5: density/(z + 1/(z + 2/(z + 3/…))), of which 30 steps are more than float64 holds.
func normalTail(z float64) float64 {
	below := z
	for k := 30.0; k > 0; k-- {
		below = z + k/below
	}
	return normalDensity(z) / below
}

func normalDensity(z float64) float64 {
	return formula.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
}

func measurementSubject() Subject {
	return Subject{Key: "measurement", Title: "Measurement",
		About: "What a reading stands for and how sure it is. The notation itself has mean(a, b, …), sd(a, b, …) and u_mean(a, b, …) for repeated readings.",
		Entries: []Entry{
			{Function: formula.Function{Name: "corrected", About: "Temperature that a reading stands for, given the error on the instrument's certificate.",
				Source: "JCGM 200:2012, 2.16 and 2.53", Params: []formula.Param{{Name: "t", Unit: unitPoint, About: "reading"},
					{Name: "error", Unit: unitKelvin, About: "error as certified: indication less true value"}},
				Result: unitPoint, Call: of2(Corrected), Turns: steady(2)},
				Formula: "t − error", Range: "Readings from -100 °C to 1000 °C, errors of at most 20 K.",
				Example: []string{"60.4 °C", "0.6 K"}, Gives: "59.8 °C", Chart: Chart{"error", "-2 K", "2 K"}},
			{Function: formula.Function{Name: "normal", About: "Share of a normal distribution below so many standard deviations: how sure it is that a limit is kept.",
				Source: "JCGM 106:2012, clause 7", Params: []formula.Param{{Name: "z", Unit: quantity.One, About: "distance of the limit from the reading, in standard uncertainties"}},
				Result: quantity.MustUnit("%"), Call: of1(NormalShare), Turns: steady(1)},
				Method: "the integral of the normal density from minus infinity to z, to fifteen decimals", Range: "Any number.",
				Example: []string{"2"}, Gives: "97.725 %", Chart: Chart{"z", "-3", "3"}},
		}}
}
