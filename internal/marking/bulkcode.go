package marking

// Code is what a bulk run says of one figure, in four bytes: the verdict with its reason, the slip that fits, and the two
// flags that can change what a tutor thinks of a mark. The zero Code is a line that nothing was said of yet.
type Code uint32

// How a Code is laid out: the outcome in the lowest byte, then twelve bits for the slip's place counted from 1 (0 none, all
// ones several), then flags.
const (
	codeSlipShift    = 8
	severalSlips     = 1<<12 - 1
	codeInconsistent = 1 << 24
	codeUnitLabel    = 1 << 25
)

// outcome is a verdict with its reason, by its place in outcomes.
type outcome uint8

// outcomes are all that can be said of a figure. A new one is added at the end, so that codes kept elsewhere stay true.
var outcomes = [...]struct {
	verdict Verdict
	reason  string
}{
	{},
	{Correct, codeWithin},
	{FollowThrough, codeFollows},
	{Wrong, codeOutside},
	{Wrong, codeTrueDecides},
	{Wrong, codeLimitSide},
	{ToRead, codeNoReference},
	{ToRead, codeBound},
	{ToRead, "ambiguous"},
	{ToRead, "out_of_range"},
	{ToRead, "unknown_unit"},
	{ToRead, "not_a_number"},
	{ToRead, "two_units"},
	{ToRead, "kelvin_for_temperature"},
	{UnitWrong, "wrong_dimension"},
	{UnitWrong, "wrong_kind"},
	{UnitMissing, codeUnitMissing},
	{NotAttempted, codeBlank},
	{Correct, codeThumb},
	{FollowThrough, codeThumb},
	{ToRead, codeThumb},
}

// The outcomes that a comparison comes to.
var (
	outcomeCorrect     = outcomeOf(Correct, codeWithin)
	outcomeFollows     = outcomeOf(FollowThrough, codeFollows)
	outcomeOutside     = outcomeOf(Wrong, codeOutside)
	outcomeTrueDecides = outcomeOf(Wrong, codeTrueDecides)
	outcomeLimitSide   = outcomeOf(Wrong, codeLimitSide)
	outcomeNoReference = outcomeOf(ToRead, codeNoReference)
	outcomeThumb       = outcomeOf(Correct, codeThumb)
	outcomeThumbOwn    = outcomeOf(FollowThrough, codeThumb)
	outcomeThumbRead   = outcomeOf(ToRead, codeThumb)
)

// outcomeOf finds a verdict with its reason; 0 where there is none such.
func outcomeOf(v Verdict, reason string) outcome {
	for i, o := range outcomes {
		if o.verdict == v && o.reason == reason {
			return outcome(i)
		}
	}
	return 0
}

// Verdict is the advice; "" for the zero Code.
func (c Code) Verdict() Verdict { return outcomes[uint8(c)].verdict }

// Reason is the finding's machine-readable code.
func (c Code) Reason() string { return outcomes[uint8(c)].reason }

func (c Code) slip() int { return int(c>>codeSlipShift) & severalSlips }

// Slip is the place, among the figure's wrong ways of working (CompiledItem.Wrongs), of the one that alone fits; -1 where
// none or several do.
func (c Code) Slip() int {
	if c.Candidates() {
		return -1
	}
	return c.slip() - 1
}

// Candidates reports whether several slips fit, so that none is named. Mark lists them.
func (c Code) Candidates() bool { return c.slip() == severalSlips }

// withSlip says which slip fits; severalSlips says that several do.
func (c Code) withSlip(place int) Code {
	return c | Code(min(place+1, severalSlips))<<codeSlipShift
}

// Inconsistent reports a right figure that does not follow from the trainee's own earlier ones.
func (c Code) Inconsistent() bool { return c&codeInconsistent != 0 }

// UnitLabel reports digits that are right under another unit.
func (c Code) UnitLabel() bool { return c&codeUnitLabel != 0 }
