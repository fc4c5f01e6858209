package decision

import (
	"time"

	"witnessmark/internal/brief"
)

// Check is a kind of look at whether an instrument reads true.
type Check string

// A calibration has a certificate; the others are done in house, of the instruments that they suit.
const (
	Calibration Check = "calibration"
	IcePoint    Check = "ice_point"
	GaugeZero   Check = "gauge_zero"
	ProvingUnit Check = "proving_unit"
	FreshAir    Check = "fresh_air"
)

// Checks lists the checks in house, in the order in which they are offered.
func Checks() []Check { return []Check{IcePoint, GaugeZero, ProvingUnit, FreshAir} }

// Words names the check.
func (c Check) Words() string {
	switch c {
	case IcePoint:
		return "ice point"
	case GaugeZero:
		return "gauge zero"
	case ProvingUnit:
		return "proving unit"
	case FreshAir:
		return "fresh air"
	}
	return string(c)
}

// Expects says what the check should find (common practice, no source; the maker's figures go before it).
func (c Check) Expects() string {
	switch c {
	case IcePoint:
		return "0 °C in crushed ice and water, within the accuracy that its maker states"
	case GaugeZero:
		return "nothing, with its hose open to the air"
	case ProvingUnit:
		return "each lamp or step of the proving unit, before and after"
	case FreshAir:
		return "no carbon monoxide, and oxygen as in air (20.9 %), out of doors"
	}
	return ""
}

// Checkup is what was found of an instrument, over the span in which it may have been: of a calibration, for which nobody
// knows the hour, its whole day, From its first moment to Until the next day's.
type Checkup struct {
	What        Check
	Good        bool
	Due         brief.Day // of a calibration: the last day on which it holds; "" where none is stated
	From, Until time.Time
}

// Doubt is why a reading may not be worth what it says.
type Doubt string

// The doubts, the gravest first. The zero Doubt is none.
const (
	Failed       Doubt = "failed"       // it had been found wrong, and not found right again
	InQuestion   Doubt = "in_question"  // it was found wrong afterwards, and nothing between says that it was still right
	Overdue      Doubt = "overdue"      // its calibration had run out
	Uncalibrated Doubt = "uncalibrated" // no calibration of it is known up to that day
)

// Words says the doubt of a reading, after "its instrument".
func (d Doubt) Words() string {
	switch d {
	case Failed:
		return "had been found to read wrong"
	case InQuestion:
		return "was later found to read wrong"
	case Overdue:
		return "was overdue for calibration"
	case Uncalibrated:
		return "had no calibration that the register knows of"
	}
	return ""
}

// settles says whether the checkup shows that an instrument which failed that check reads true: of what only a calibration
// found, a check in house at one point is not enough.
func (c Checkup) settles(failed Check) bool {
	return c.Good && (c.What == Calibration || c.What == failed)
}

// Touched is the span of readings that the bad checkup at the place in the list puts in question: since the instrument was
// last known to read true, by what would have shown it, until it is known to again. The first is zero where it never was, the
// second where it still is not. Checkups are in the order of From, those of one day as they were done.
func Touched(all []Checkup, bad int) (from, to time.Time) {
	for _, c := range all[:bad] {
		if c.settles(all[bad].What) {
			from = c.From
		}
	}
	for _, c := range all[bad+1:] {
		if c.settles(all[bad].What) {
			return from, c.Until
		}
	}
	return from, time.Time{}
}

// DoubtOf says what speaks against a reading taken at a moment, which lies on the day, with an instrument that the register knows;
// checkups are in the order of Touched. A check in house does not stand in for a calibration, nor does one of a later day.
func DoubtOf(all []Checkup, at time.Time, day brief.Day) Doubt {
	worst, calibrated := Doubt(""), false
	var due brief.Day
	for i, c := range all {
		if c.What == Calibration && !c.From.After(at) {
			due, calibrated = c.Due, true
		}
		if c.Good {
			continue
		}
		from, to := Touched(all, i)
		if at.Before(from) || !to.IsZero() && !at.Before(to) {
			continue
		}
		if !at.Before(c.From) {
			return Failed
		}
		worst = InQuestion
	}
	switch {
	case worst != "":
		return worst
	case !calibrated:
		return Uncalibrated
	case due != "" && day > due:
		return Overdue
	}
	return ""
}
