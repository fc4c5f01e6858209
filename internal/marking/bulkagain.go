package marking

import (
	"iter"

	"witnessmark/internal/brief"
)

// Remark marks sheets as they come and gives each result with the key that its sheet came with. Nothing is kept from one
// to the next, so a million submissions take the memory of one.
func Remark[K any](c *brief.Compiled, sheets iter.Seq2[K, Sheet]) iter.Seq2[K, Result] {
	return func(yield func(K, Result) bool) {
		for k, s := range sheets {
			if !yield(k, Mark(c, s)) {
				return
			}
		}
	}
}

// Past is a submission with the result that it has.
type Past struct {
	Sheet  Sheet
	Result Result
}

// Again is a submission's old result, which stays as it is, beside the one under a corrected brief or a newer marker.
type Again struct {
	Was, Now Result
	Changes  []Change // the lines that differ, in the new brief's order; lines that the new brief dropped come last
}

// RemarkAgain marks past submissions again as they come and says of each what changes. Like Remark it keeps nothing.
func RemarkAgain[K any](c *brief.Compiled, past iter.Seq2[K, Past]) iter.Seq2[K, Again] {
	return func(yield func(K, Again) bool) {
		for k, p := range past {
			now := Mark(c, p.Sheet)
			if !yield(k, Again{Was: p.Result, Now: now, Changes: Changes(p.Result, now)}) {
				return
			}
		}
	}
}

// Shift says which way a line or a submission goes when it is marked again.
type Shift string

// The shifts. Mixed is of a submission with lines of both kinds.
const (
	Same  Shift = "same"
	Up    Shift = "up"    // it gains: marks, a full verdict, or it no longer holds up its criteria
	Down  Shift = "down"  // it loses one of them
	Mixed Shift = "mixed" // some lines gain and some lose
	Aside Shift = "aside" // another verdict, reason or slip, and nothing gained or lost by it
)

// Change is one line that is not what it was.
type Change struct {
	Line  string   `json:"line"` // as Finding.Line names it
	Shift Shift    `json:"shift"`
	Was   *Finding `json:"was,omitempty"` // nil where the line is new
	Now   *Finding `json:"now,omitempty"` // nil where the line is no more
}

// Changes compares two results of one submission line by line. What only reads otherwise (a sentence, a flag, a tolerance
// in words) is no change.
func Changes(was, now Result) []Change {
	old := make(map[string]*Finding, len(was.Findings))
	for i := range was.Findings {
		old[was.Findings[i].Line()] = &was.Findings[i]
	}
	var out []Change
	for i := range now.Findings {
		f := &now.Findings[i]
		line := f.Line()
		before, had := old[line]
		delete(old, line)
		switch {
		case !had:
			out = append(out, Change{Line: line, Now: f, Shift: Aside})
		case !sameWorth(before, f):
			out = append(out, Change{Line: line, Was: before, Now: f, Shift: shift(before, f)})
		}
	}
	for i := range was.Findings {
		if f := &was.Findings[i]; old[f.Line()] == f {
			out = append(out, Change{Line: f.Line(), Was: f, Shift: Aside})
		}
	}
	return out
}

// sameWorth reports whether two findings of a line come to the same.
func sameWorth(a, b *Finding) bool {
	return a.Verdict == b.Verdict && a.Code == b.Code && a.Marks == b.Marks && a.Blocks == b.Blocks && slipKey(a) == slipKey(b)
}

func slipKey(f *Finding) string {
	if f.Slip == nil {
		return ""
	}
	return f.Slip.Key
}

// shift compares what a line was worth with what it is worth: first whether it holds up its criteria, then whether it
// leaves anything to be desired, then its marks.
func shift(was, now *Finding) Shift {
	for _, gain := range []int{worth(!now.Blocks) - worth(!was.Blocks), worth(now.Verdict.Full()) - worth(was.Verdict.Full()), now.Marks - was.Marks} {
		switch {
		case gain > 0:
			return Up
		case gain < 0:
			return Down
		}
	}
	return Aside
}

func worth(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Shift is the whole submission's: Up where some line gains and none loses, and so on.
func (a *Again) Shift() Shift {
	out := Same
	for _, c := range a.Changes {
		switch {
		case out == Same || out == Aside:
			out = c.Shift
		case c.Shift != Aside && c.Shift != out:
			out = Mixed
		}
	}
	return out
}

// Shift says which way one figure goes from c to its code under a corrected brief: Up or Down where it becomes right or
// stops being so, Aside where something else is said of it. What Mark knows besides, marks and safety, it does not look at.
func (c Code) Shift(now Code) Shift {
	switch was, is := c.Verdict().Full(), now.Verdict().Full(); {
	case is && !was:
		return Up
	case was && !is:
		return Down
	case c != now:
		return Aside
	}
	return Same
}
