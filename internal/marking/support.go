package marking

import (
	"fmt"
	"slices"

	"witnessmark/internal/brief"
)

// Supported is what bears on one criterion.
type Supported struct {
	Criterion string    // "UNIT/1.2"
	Items     []string  // keys of every item that bears on it, photos and documents too, in the brief's order
	Lines     []Finding // what the marker says of those items, in the brief's order
	Blocking  []Finding // those of Lines that keep it from being met as things stand
}

// Blocked reports whether the criterion cannot be met as things stand.
func (s Supported) Blocked() bool { return len(s.Blocking) > 0 }

// Reasons says why, a sentence for each blocking line.
func (s Supported) Reasons() []string {
	var out []string
	for i := range s.Blocking {
		out = append(out, s.Blocking[i].BlockReason())
	}
	return out
}

// BlockReason says in a sentence why the line keeps its criteria from being met; "" where it does not.
func (f *Finding) BlockReason() string {
	if !f.Blocks {
		return ""
	}
	for _, flag := range f.Flags {
		switch flag.Code {
		case FlagNeedsCheck, FlagCheckDiffers, FlagRestsOn, FlagLimit, FlagGuard, FlagRetestUnsaid:
			if f.Verdict.Full() {
				return fmt.Sprintf("%s: %s", f.Line(), flag.Text)
			}
		}
	}
	return fmt.Sprintf("%s is safety-critical and stands at “%s”: %s", f.Line(), f.Verdict.Words(), f.Tutor)
}

// Support collects which items and lines bear on a criterion, and which of them block it. criterion is written as in the
// brief: "UNIT/1.2", or "1.2" where the brief has one unit.
func Support(c *brief.Compiled, r Result, criterion string) Supported {
	s := Supported{Criterion: c.Brief.Ref(criterion)}
	for i := range c.Items {
		it := c.Items[i].Item
		if slices.ContainsFunc(it.Criteria, func(own string) bool { return c.Brief.Ref(own) == s.Criterion }) {
			s.Items = append(s.Items, it.Key)
		}
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		if !slices.Contains(s.Items, f.Item) {
			continue
		}
		s.Lines = append(s.Lines, *f)
		if f.Blocks {
			s.Blocking = append(s.Blocking, *f)
		}
	}
	return s
}
