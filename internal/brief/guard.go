package brief

import (
	"strings"

	"witnessmark/internal/quantity"
)

// The rules that a guard band can be judged by.
const (
	RuleGuarded    = "guarded"     // a value inside the band does not keep the limit
	RuleThreeState = "three-state" // a value inside the band, on either side of the limit, is for the tutor to read
)

// GuardBand is a brief's own, for teaching measurement: how far inside its limit a value has to lie so that the limit is
// kept for certain. Exactly one of Share and Amount is set. Without a guard band the value decides as shown, and a value
// nearer to the limit than its instrument can tell is only flagged.
type GuardBand struct {
	Rule    string `yaml:"rule" json:"rule"`                         // RuleGuarded or RuleThreeState
	Share   string `yaml:"share,omitempty" json:"share,omitempty"`   // of the expanded uncertainty, "100 %": needs an accuracy
	Amount  string `yaml:"amount,omitempty" json:"amount,omitempty"` // "0.2 mbar"
	Because string `yaml:"because" json:"because"`                   // the reason, shown with the limit
}

// Words is the guard band as it stands behind its limit, with a thin space before the unit: "guard band of 0.2 mbar"; ""
// where there is none.
func (g *GuardBand) Words() string {
	if g == nil {
		return ""
	}
	width := strings.Replace(g.Amount, " ", "\u2009", 1)
	if g.Share != "" {
		width = strings.Replace(g.Share, " ", "\u2009", 1) + " of the uncertainty"
	}
	if g.Rule == RuleThreeState {
		width += " to either side"
	}
	return "guard band of " + width
}

// CompiledGuard is a guard band; one of Share and Amount is above zero.
type CompiledGuard struct {
	ThreeState bool
	Share      float64 // of the expanded uncertainty: 1 for 100 %
	Amount     float64 // in the asked unit's difference
	Because    string
}

// mostShare is the widest band that makes sense: three times the expanded uncertainty is beyond any doubt.
const mostShare = 3

// guard compiles what an item's limit says beside its ends. measured says whether the item's value has an uncertainty.
func (c *compiler) guard(l *Limit, ci *CompiledItem, measured bool, path string) {
	if l == nil {
		return
	}
	ci.Margin = l.Margin
	g := l.Guard
	if g == nil {
		return
	}
	path += ".guard-band"
	out := &CompiledGuard{ThreeState: g.Rule == RuleThreeState, Because: g.Because}
	switch {
	case l.Margin:
		c.say(path, 0, "This limit carries its margin already, and a guard band does not go on top of it. Keep one of the two.")
	case (g.Share == "") == (g.Amount == ""):
		c.say(path, 0, "A guard band is a share of the expanded uncertainty or an amount: write one of “share” and “amount”.")
	case g.Share != "" && !measured:
		c.say(path+".share", 0, "There is no uncertainty to take a share of: state the accuracy of the instrument, or write an amount.")
	case g.Share != "":
		if x := c.above(g.Share, quantity.One, path+".share"); x != nil {
			out.Share = *x
		}
	default:
		if x := c.above(g.Amount, ci.Unit.Difference(), path+".amount"); x != nil {
			out.Amount = *x
		}
	}
	switch {
	case out.Share > mostShare:
		c.say(path+".share", 0, "Three times the expanded uncertainty is the most: 300 %.")
	case out.Amount > 0 && ci.Limit.AtLeast != nil && ci.Limit.AtMost != nil && *ci.Limit.AtLeast+out.Amount > *ci.Limit.AtMost-out.Amount:
		c.say(path+".amount", 0, "Nothing keeps this limit once the guard band is taken off both ends.")
	}
	ci.Guard = out
}

// measured reports whether some reading that a formula rests on, itself or through figures before it, states an accuracy.
// seen are the names that were looked at already: figures may rest on one another in more ways than can be walked.
func (c *compiler) measured(f *Formula, seen []bool) bool {
	if f == nil {
		return false
	}
	for _, n := range f.Needs {
		i := c.out.Names[n].Item
		if i < 0 || seen[n] {
			continue
		}
		seen[n] = true
		if it := &c.out.Items[i]; it.Item.Reading != nil && it.Item.Reading.Accuracy != "" || c.measured(it.Formula, seen) {
			return true
		}
	}
	return false
}
