// Package trade holds the calculations of the trade that a brief's formulas may call, from the properties of water to the
// certainty of a reading; Subjects lists them all.
//
// The rules of its world:
//
//   - Every number is a float64 in SI base units: kelvin, pascal, metre, cubic metre, kilogram. A temperature is a
//     point on the thermodynamic scale unless its name says difference. A pressure is absolute, always; turning a gauge
//     reading into an absolute one is the formula's business, so that the air pressure added stands where a person sees
//     it.
//   - Every function states the range it holds for and where it comes from. Outside that range it answers with a
//     RangeError that names the parameter, never with an extrapolation.
//   - Nothing is kept between calls and nothing is allocated but an error, so a whole cohort can be marked again cheaply.
//   - Tables out of copyrighted standards are not here, nor are limits. A brief or the centre's rule set gives the tube's
//     outside diameter and wall, the limit and the allowance; this package works with them.
//
// One file is one subject, or a part of one. A subject brings its plain Go functions and its entries of the reference,
// which offer them to formulas: what they take and give, the formula or method, range, source, an example and a chart.
//
// Sums of products are written with an explicit float64 around each product, which keeps the compiler from fusing them,
// and logarithms, powers and exponentials are those of formulas: a figure is the same to the last bit on every processor,
// but for conductivity with its arctangent.
package trade

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

// RangeError says that a figure lies outside what a function holds for. Param is the parameter's name as formulas know
// it; Message is complete in itself and meant for a person: what the range is, what came, what to check. Where the
// person can mend it only the caller knows, so it is no fault yet.
type RangeError struct {
	Param   string
	Message string
}

// Error gives the message.
func (e *RangeError) Error() string { return e.Message }

func beyond(param, format string, args ...any) error {
	return &RangeError{Param: param, Message: fmt.Sprintf(format, args...)}
}

// renamed gives a RangeError on parameter from the name that a caller with several of them knows it by.
func renamed(err error, from, to string) error {
	if e, ok := errors.AsType[*RangeError](err); ok && e.Param == from {
		return &RangeError{Param: to, Message: e.Message}
	}
	return err
}

// zeroCelsius is 0 °C in kelvin, by the definition of the Celsius scale.
const zeroCelsius = 273.15

// celsius writes a temperature in kelvin as a person reads it: "-3 °C", "127.41 °C".
func celsius(t float64) string { return number(t-zeroCelsius) + " °C" }

// bar writes a pressure in pascal as a person reads it: "2.5 bar".
func bar(p float64) string { return number(p/1e5) + " bar" }

// number writes v to at most two decimals, or to three figures where two decimals would hide it.
func number(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 0.01 || a >= 1e7) {
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// positive refuses anything that is not a finite number above zero; what begins the sentence ("The flow").
func positive(name, what string, v float64) error {
	if v > 0 && !math.IsInf(v, 1) {
		return nil
	}
	return beyond(name, "%s must be more than nothing. Check the figure and its sign.", what)
}
