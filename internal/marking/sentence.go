package marking

import (
	"fmt"
	"math"
	"strings"
)

// The codes of findings, beside those that readTyped gives.
const (
	codeWithin         = "within_tolerance"
	codeOutside        = "outside_tolerance"
	codeFollows        = "follows_from_own"
	codeTrueDecides    = "true_value_decides" // follows from own figures, but the line is safety-critical
	codeLimitSide      = "unsafe_side_of_limit"
	codeThumb          = "rule_of_thumb" // right by a rule of thumb that the brief does not rule out
	codeUnitMissing    = "unit_missing"
	codeNoReference    = "no_reference"
	codeBound          = "bound"
	codeAsExpected     = "as_expected"
	codeNotExpected    = "not_as_expected"
	codeNotAnOption    = "not_an_option"
	codeWithinLimit    = "within_limit"
	codeOutsideLimit   = "outside_limit"
	codeRecorded       = "recorded"
	codeBlank          = "blank"
	codeRepeatsMissing = "repeats_missing"
	codeOverload       = "overload"
	codeAllSteps       = "all_steps_done"
	codeStepsMissing   = "steps_missing"
	codeOutOfOrder     = "steps_out_of_order"
	codeTooSoon        = "step_too_soon"
	codeTooLate        = "step_too_late"
	codeHeld           = "held"            // what the row before showed, where the brief has the word for holding, or the other way round
	codeRowBefore      = "row_before_open" // it may have been held, but what the row before showed is not known
)

// sayFigure writes both sentences of a figure whose finding is otherwise complete.
// difference is the unit that a difference of two such figures has. What the working shows is said to the trainee as well.
func sayFigure(f *Finding, t typed, difference string) {
	f.Trainee, f.Tutor = traineeFigure(f, t), tutorFigure(f, t, difference)
	f.sayFlags()
}

// sayFlags adds to the trainee's sentence what flags say to the trainee.
func (f *Finding) sayFlags() {
	for _, flag := range f.Flags {
		if flag.Trainee != "" {
			f.Trainee += " " + flag.Trainee
		}
	}
}

// said is the stated figure in a sentence: where the form prints the unit, with that.
func said(f *Finding, t typed) string {
	if t.verdict == "" && !t.unitSet && f.Verdict != UnitMissing {
		return joined(f.Stated, f.Unit)
	}
	return f.Stated
}

func traineeFigure(f *Finding, t typed) string {
	should := ""
	if f.FromGiven != nil {
		should = withUnit(*f.FromGiven, f.Unit)
	}
	switch f.Verdict {
	case Correct:
		if hasFlag(f, FlagInconsistent) {
			return fmt.Sprintf("%s is right, though it does not follow from your own earlier figures. Be ready to show how you got it.", said(f, t))
		}
		return fmt.Sprintf("%s is right.", said(f, t))
	case FollowThrough:
		return fmt.Sprintf("%s follows from your own earlier figures, so your method has its marks. From the given and measured values it is %s.", said(f, t), should)
	case Wrong:
		return traineeWrong(f, t, should)
	case UnitMissing:
		return fmt.Sprintf("You wrote %s without a unit. State the unit beside the number: here %s, or another unit of the same kind.", said(f, t), f.Unit)
	case UnitWrong:
		return fmt.Sprintf("You wrote %s, and %s is asked. %s", said(f, t), askedUnit(f.Unit), t.why)
	case ToRead:
		return traineeToRead(f, t)
	case NotAttempted:
		return "There is no figure here yet."
	case WithinLimit, OutsideLimit, Recorded:
	}
	return ""
}

func traineeWrong(f *Finding, t typed, should string) string {
	switch f.Code {
	case codeTrueDecides:
		return fmt.Sprintf("%s follows from your own earlier figures, but the true value decides here, and that is %s. Method right; do not install to this figure.", said(f, t), should)
	case codeLimitSide:
		return fmt.Sprintf("You wrote %s; it comes to %s, which is beyond the limit (%s). Rounding does not bring it back inside: do not fit or set to this figure.", said(f, t), should, f.Limit)
	}
	s := fmt.Sprintf("You wrote %s; from the given and measured values it comes to %s (%s).", said(f, t), should, f.Tolerance)
	if hasFlag(f, FlagUnitLabel) {
		s += fmt.Sprintf(" The digits are right for %s: look at the unit.", f.Unit)
	}
	return s
}

func traineeToRead(f *Finding, t typed) string {
	switch {
	case f.Code == codeThumb:
		return fmt.Sprintf("%s is right by a rule of thumb; the true value is %s, and it is the one that counts on this line.", said(f, t), withUnit(*f.FromGiven, f.Unit))
	case t.why == "":
		return "Your tutor reads this one."
	}
	return strings.TrimSpace(t.why) + " Your tutor reads this one."
}

func tutorFigure(f *Finding, t typed, difference string) string {
	var b strings.Builder
	switch f.Verdict {
	case NotAttempted:
		b.WriteString("Nothing stated.")
		if f.FromGiven != nil {
			fmt.Fprintf(&b, " Reference %s.", withUnit(*f.FromGiven, f.Unit))
		}
		return b.String()
	case ToRead, UnitMissing, UnitWrong:
		fmt.Fprintf(&b, "Stated “%s”. %s", said(f, t), tutorWhy(f, t))
		if f.FromGiven != nil {
			fmt.Fprintf(&b, " Reference %s, %s.", withUnit(*f.FromGiven, f.Unit), f.Tolerance)
		}
		if hasFlag(f, FlagUnitLabel) {
			fmt.Fprintf(&b, " The digits are right for %s.", askedUnit(f.Unit))
		}
		return b.String()
	case Correct, FollowThrough, Wrong, WithinLimit, OutsideLimit, Recorded:
	}
	fmt.Fprintf(&b, "Stated %s against %s, %s", said(f, t), withUnit(*f.FromGiven, f.Unit), f.Tolerance)
	b.WriteString(": " + tutorCompared(f, difference) + ".")
	b.WriteString(slipWords(f))
	return b.String()
}

// slipWords says which slip a finding looks like.
func slipWords(f *Finding) string {
	if f.Slip != nil {
		return fmt.Sprintf(" Looks like a slip: %s.", f.Slip.Is)
	}
	if len(f.Candidates) == 0 {
		return ""
	}
	var is []string
	for _, c := range f.Candidates {
		is = append(is, c.Is)
	}
	return fmt.Sprintf(" More than one slip fits: %s.", strings.Join(is, "; "))
}

// tutorWhy says why a figure was not compared, in the tutor's direction.
func tutorWhy(f *Finding, t typed) string {
	switch {
	case f.Code == codeThumb:
		return "It is right by a rule of thumb, but this line is safety-critical."
	case f.Code == codeNoReference:
		return f.flagText(FlagNoReference)
	case f.Verdict == UnitMissing:
		return "No unit is stated, and the brief asks for one; you can override."
	}
	return t.why
}

func tutorCompared(f *Finding, difference string) string {
	own := ""
	if f.FromOwn != nil {
		own = withUnit(*f.FromOwn, f.Unit)
	}
	switch f.Code {
	case codeThumb:
		return "outside, but right by a rule of thumb that the brief does not rule out"
	case codeFollows:
		return fmt.Sprintf("outside, but right from their own earlier figures, which give %s", own)
	case codeTrueDecides:
		return fmt.Sprintf("outside; right from their own earlier figures, which give %s, but this line is safety-critical and the true value decides", own)
	case codeLimitSide:
		return fmt.Sprintf("inside, but the true value breaks the limit (%s) and the stated one keeps it", f.Limit)
	case codeWithin:
		if hasFlag(f, FlagInconsistent) {
			return fmt.Sprintf("right, but their own earlier figures give %s", own)
		}
		return "right"
	}
	if f.Converted == nil {
		return "not right"
	}
	s := tutorDifference(*f.Converted-*f.FromGiven, *f.FromGiven, difference)
	if f.FromOwn != nil && !near(*f.FromOwn, *f.FromGiven) {
		s += fmt.Sprintf(", and their own earlier figures give %s", own)
	}
	return s
}

// tutorDifference is "2.71 kW more (17.2 %)". Where one is ten times the other or more, how many times says more than a
// percentage: "931 kW more (about 60 times as much)".
func tutorDifference(diff, ref float64, unit string) string {
	s := joined(shorter(math.Abs(diff)), unit) + " more"
	if diff < 0 {
		s = joined(shorter(math.Abs(diff)), unit) + " less"
	}
	if ref == 0 {
		return s
	}
	switch times := 1 + diff/ref; {
	case times >= 10:
		return fmt.Sprintf("%s (about %s times as much)", s, shorter(times))
	case times > 0 && times <= 0.1:
		return fmt.Sprintf("%s (about 1/%s of it)", s, shorter(1/times))
	}
	return fmt.Sprintf("%s (%s)", s, joined(shorter(100*math.Abs(diff/ref)), "%"))
}

// askedUnit names the asked unit, which may be none.
func askedUnit(unit string) string {
	if unit == "" {
		return "a plain number"
	}
	return unit
}

// flagText is what the flag of a code says; "" where it is not raised.
func (f *Finding) flagText(code string) string {
	for _, have := range f.Flags {
		if have.Code == code {
			return have.Text
		}
	}
	return ""
}

func hasFlag(f *Finding, code string) bool {
	for _, have := range f.Flags {
		if have.Code == code {
			return true
		}
	}
	return false
}

func (f *Finding) flag(code, format string, args ...any) {
	f.Flags = append(f.Flags, Flag{Code: code, Text: fmt.Sprintf(format, args...)})
}
