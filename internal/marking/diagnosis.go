package marking

import (
	"fmt"
	"slices"

	"witnessmark/internal/brief"
)

// Diagnosis is what the wrong cells of one functional test point at, of the faults that its brief declares. It is advice:
// no verdict, mark or block comes from it.
type Diagnosis struct {
	Item  string `json:"item"`
	Wrong int    `json:"wrong"` // cells that are not as expected
	Open  int    `json:"open"`  // cells that nothing can be told of: not filled in, or not readable
	// Likely are the faults that show just what was seen, all of them, in the brief's order. Where none does they are those
	// that come nearest, if they explain more than they contradict; after a single one comes that which explains most of what
	// it leaves.
	Likely  []LikelyFault `json:"likely_faults"`
	Apart   []string      `json:"apart,omitempty"` // open cells that tell the likely faults apart, "row/check"
	Left    []string      `json:"left,omitempty"`  // wrong cells that none of the likely faults shows
	Trainee string        `json:"trainee"`         // the sentence for the trainee
	Tutor   string        `json:"tutor"`           // the sentence for the tutor
}

// LikelyFault is a declared fault with what speaks for and against it, as "row/check".
type LikelyFault struct {
	Key     string   `json:"key"`
	Is      string   `json:"is"`
	Look    string   `json:"look,omitempty"`    // where to look for it
	Fits    []string `json:"fits"`              // wrong cells that show what the fault shows
	Against []string `json:"against,omitempty"` // wrong cells that show something else, and right ones that it would change
}

// Whole says that the fault shows just what was seen, as far as anything was.
func (f *LikelyFault) Whole() bool { return len(f.Against) == 0 }

// suspect is a declared fault held against what was seen.
type suspect struct {
	fault         *brief.CompiledFault
	fits, against []cell
}

// diagnose names the declared faults that a grid with wrong cells points at. A fault is nearer the fewer cells speak against
// it; one that contradicts as much as no fault at all is not named. Each fault is gone through once, cell by cell.
func (m *marker) diagnose(it *brief.CompiledItem, s *seen) {
	wrong, open := s.wrong()
	if len(wrong) == 0 || len(it.Faults) == 0 {
		return
	}
	suspects := make([]suspect, len(it.Faults))
	least := len(wrong)
	for i := range it.Faults {
		suspects[i] = s.suspect(&it.Faults[i])
		least = min(least, len(suspects[i].against))
	}
	var likely []suspect
	for _, x := range suspects {
		if n := len(x.against); n == least && n < len(wrong) {
			likely = append(likely, x)
		}
	}
	left := remaining(wrong, likely)
	if x, ok := beside(suspects, left); ok && len(likely) == 1 {
		likely = append(likely, x)
		left = remaining(left, likely)
	}
	d := Diagnosis{Item: it.Item.Key, Wrong: len(wrong), Open: open, Likely: []LikelyFault{}, Left: s.parts(left)}
	for _, x := range likely {
		f := x.fault.Fault
		d.Likely = append(d.Likely, LikelyFault{Key: f.Key, Is: f.Is, Look: f.Look, Fits: s.parts(x.fits), Against: s.parts(x.against)})
	}
	var apart []cell
	if least == 0 {
		apart = s.apart(likely)
	}
	d.Apart = s.parts(apart)
	d.say(len(it.Faults), s.places(apart))
	m.result.Diagnoses = append(m.result.Diagnoses, d)
}

// wrong are the cells that are not as expected; open is how many nothing can be told of.
func (s *seen) wrong() (wrong []cell, open int) {
	for r := range s.words {
		for i := range s.words[r] {
			switch s.compare(r, i, s.expected(r, i)) {
			case other:
				wrong = append(wrong, cell{r, i})
			case unknown:
				open++
			case same:
			}
		}
	}
	return wrong, open
}

// suspect goes through the cells that are not as expected, or would not be with the fault.
func (s *seen) suspect(f *brief.CompiledFault) suspect {
	x := suspect{fault: f}
	for r := range s.words {
		for i := range s.words[r] {
			expected, shown := s.compare(r, i, s.expected(r, i)), s.compare(r, i, at(f.Grid, cell{r, i}))
			switch {
			case expected == other && shown == same:
				x.fits = append(x.fits, cell{r, i})
			case shown == other:
				x.against = append(x.against, cell{r, i})
			}
		}
	}
	return x
}

// beside finds the fault that shows the most of the wrong cells that are left, the one with less against it where two show
// as many: a second fault at once hides some of what the first does, so what speaks against it is said and does not rule it
// out.
func beside(suspects []suspect, left []cell) (best suspect, ok bool) {
	most := 0
	for _, x := range suspects {
		n := len(left) - len(remaining(left, []suspect{x}))
		if n > most || n == most && n > 0 && len(x.against) < len(best.against) {
			best, most, ok = x, n, true
		}
	}
	return best, ok
}

// remaining are the cells that none of the suspects shows.
func remaining(cells []cell, suspects []suspect) []cell {
	shown := map[cell]bool{}
	for _, x := range suspects {
		for _, c := range x.fits {
			shown[c] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(cells), func(c cell) bool { return shown[c] })
}

// apart are the open cells in which faults that fit alike would show different things.
func (s *seen) apart(likely []suspect) (cells []cell) {
	for r := range s.words {
		for i, word := range s.words[r] {
			if word == "" && slices.ContainsFunc(likely, func(x suspect) bool { c := cell{r, i}; return at(x.fault.Grid, c) != at(likely[0].fault.Grid, c) }) {
				cells = append(cells, cell{r, i})
			}
		}
	}
	return cells
}

// at is a cell of a grid; "" where it has none.
func at(grid [][]string, c cell) string {
	if c.row < len(grid) && c.check < len(grid[c.row]) {
		return grid[c.row][c.check]
	}
	return ""
}

func (s *seen) parts(cells []cell) []string {
	var out []string
	for _, c := range cells {
		out = append(out, c.part(s.test))
	}
	return out
}

// places names cells as a printed grid does, "valve in row 9".
func (s *seen) places(cells []cell) []string {
	var out []string
	for _, c := range cells {
		out = append(out, fmt.Sprintf("%s in row %d", s.test.Checks[c.check].Title, c.row+1))
	}
	return out
}
