// Package quantity reads numbers and units as people in the trade write them, converts them by exact factors and prints
// them back.
//
// The rules of its world:
//
//   - A typed number is read as decimal text, never as binary: its digits as stated are kept beside its value. A lone
//     comma is never guessed: 2,47 gives ErrAmbiguous, which means that the tutor reads it.
//   - A unit has a dimension, an exact factor into the SI base unit of that dimension, and a kind. Units convert only
//     within one dimension and one kind: a temperature of 20 °C is not a difference of 20 K, a gauge pressure is not an
//     absolute one, a level in dBm is not a number.
//   - K is a difference; °C and °F are points on a scale; K(abs) is a point counted from absolute zero. Inside a
//     compound (kJ/(kg·°C)) a degree is always a difference.
//   - Units of one dimension that answer different questions do not stand for one another: Nm is a torque and J an energy,
//     kVA apparent and kW active power, rpm counts turns and Hz does not. N·m and V·A, written out, go with any of them.
//   - A minus before nothing is dropped; NaN, infinity and other ways in which programs write numbers are refused, as are
//     digits of other scripts; characters that only look alike (full-width digits, every minus sign) are read.
//   - Nothing is allocated for a text that is read and holds no look-alikes; a text of any length is looked at up to the
//     length of a number or unit.
//   - Values in SI base units: temperature points in kelvin, angles in radian, pressures in pascal (a gauge pressure
//     stays a gauge pressure), ratios as plain numbers.
//   - Letter case matters, because mW and MW are both units. ParseUnitFor forgives case only where exactly one unit
//     can be meant and it has the asked dimension, and says so in a note.
//   - In the trade's sense: gal is the imperial gallon, Btu and cal are those of the International Table, therm is
//     100 000 Btu, W/mK is W/(m·K).
//
// Factors come from the SI Brochure (9th edition) and NIST SP 811 (2008), appendix B; the column in atoms.go names which.
package quantity
