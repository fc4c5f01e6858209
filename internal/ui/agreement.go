package ui

import (
	"fmt"
	"math"

	"witnessmark/internal/app"
)

// AgreementView is how far people agreed, in words.
type AgreementView struct{ app.Agreement }

// Raw says how many of the pairs of judgements are alike.
func (v AgreementView) Raw() string {
	if !v.Agreement.Raw.Known {
		return "Nobody's judgement meets another's, so there is nothing to compare."
	}
	alike := int(math.Round(v.Agreement.Raw.Value * float64(v.Pairs)))
	return fmt.Sprintf("Of %s of judgements %d agree: %s.", count(v.Pairs, "pair", "pairs"), alike, hundredths(v.Agreement.Raw.Value))
}

// Each says how often each outcome meets the same from another person.
func (v AgreementView) Each() string {
	words := func(f app.Figure) string {
		if !f.Known {
			return "nobody said it"
		}
		return hundredths(f.Value)
	}
	if !v.Agreement.Raw.Known {
		return ""
	}
	return fmt.Sprintf("Where one says met, another does too: %s. Where one says not yet met: %s.", words(v.Positive), words(v.Negative))
}

// Alpha is the chance-corrected figure with its interval.
func (v AgreementView) Alpha() string {
	switch {
	case !v.Agreement.Raw.Known:
		return ""
	case !v.Agreement.Alpha.Known:
		return "All said the same, so Krippendorff's alpha cannot be worked out: nothing shows that they would have told a difference."
	case v.Low.Known:
		return fmt.Sprintf("Krippendorff's alpha %s, 95 %% between %s and %s.", signed(v.Agreement.Alpha.Value), signed(v.Low.Value), signed(v.High.Value))
	}
	return fmt.Sprintf("Krippendorff's alpha %s, without an interval: too often, drawn afresh, all would have said the same.", signed(v.Agreement.Alpha.Value))
}

// Few says that there is too little to go by; "" where there is enough.
func (v AgreementView) Few() string {
	if !v.TooFew || !v.Agreement.Raw.Known {
		return ""
	}
	return fmt.Sprintf("Too few: %s judged by two or more, under ten. Talk about the cases, not about the figures.", count(v.Things, "thing was", "things were"))
}

// hundredths is a share as people say it.
func hundredths(share float64) string { return fmt.Sprintf("%.0f in 100", share*100) }

// signed is a figure to two places, with a minus as it is printed.
func signed(v float64) string { return minus(fmt.Sprintf("%.2f", v)) }
