package marking

import (
	"fmt"

	"witnessmark/internal/brief"
)

// prefixes are how many times too large or too small a value is whose prefix went astray, with the words for it: W written
// as kW, mbar as bar, litres as cubic metres.
var prefixes = []struct {
	times float64
	words string
}{{1e3, "1000 times too large"}, {1e-3, "1000 times too small"}, {1e6, "a million times too large"}, {1e-6, "a million times too small"}}

// prefix flags a wrong figure whose digits are right and whose size is not. The verdict stands (policy 3), and later
// figures go on from what was stated, as the trainee's own will have.
func (m *marker) prefix(it *brief.CompiledItem, f *Finding, t typed, given, own reference) {
	tolerance := Tolerance(it.Tolerance)
	if f.Unit == "" || f.Unit == "%" || tolerance.AtLeast || tolerance.AtMost || t.value == 0 {
		return
	}
	for _, p := range prefixes {
		x := t.value / p.times
		if !given.known || !tolerance.Accepts(given.value, x, t.statedDigits()) && !(own.known && tolerance.Accepts(own.value, x, t.statedDigits())) {
			continue
		}
		f.flags(Flag{
			Code:    FlagPrefix,
			Text:    fmt.Sprintf("The digits are right and the size is not: in %s this is %s. Perhaps the calculation came out under another prefix.", f.Unit, p.words),
			Trainee: fmt.Sprintf("Your digits are right, but in %s this is %s: look at what unit your calculation comes out in.", f.Unit, p.words),
		})
		return
	}
}
