package decision

import (
	"slices"
	"strings"

	"witnessmark/internal/fault"
)

// PriorLook is the words of what an internal quality assurer found of criteria that were recognised by prior learning. There is no sample of
// these, since there are few and no attempt stands behind them: each is looked at before it bears a claim. Whoever had part in it, as
// CheckPriorLooker asks, does not; words are compulsory for all but agreement.
func PriorLook(o SampleOutcome, words string) (string, error) {
	words = strings.TrimSpace(words)
	switch {
	case !slices.Contains(SampleOutcomes(), o):
		return "", fault.Invalid("outcome", "Say whether you agree, agree with an action, or disagree.")
	case o == AgreeWithAction && words == "":
		return "", fault.Invalid("words", "Say what you found, so that the action makes sense to whoever does it.")
	case o == Disagree && words == "":
		return "", fault.Invalid("words", "Say why you would not recognise it, so that better proof can be claimed with, or an attempt made.")
	}
	return words, nil
}

// CheckPriorLooker refuses whoever had part in a claim of prior learning, or has a conflict of interest with the trainee or who decided it.
func CheckPriorLooker(part, conflict bool) error {
	switch {
	case part:
		return fault.Forbidden("You had part in this claim, so somebody else looks at it.")
	case conflict:
		return fault.Forbidden("You have a conflict of interest with the trainee, or with who decided this. Somebody else looks at it.")
	}
	return nil
}
