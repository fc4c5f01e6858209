package formula

import (
	"math"
	"slices"
)

// FamilyRows runs families over rows of values, a step at a time for all rows: what sixty programs share is worked out
// once a row, and the cost of choosing a step once for all of them. It holds the room that this takes, as much as the
// largest family that it ran, so it is for one goroutine; it may run any number of families in turn.
type FamilyRows struct {
	rows  int
	f     *Family
	slots [][]float64 // of the family that ran last
	fresh []bool      // of each slot: the last run worked it out anew
	room  []float64
	args  []float64
}

// NewFamilyRows makes one for at most so many rows a run; 128 keeps the values of sixty programs near the processor.
func NewFamilyRows(rows int) *FamilyRows { return &FamilyRows{rows: max(rows, 1)} }

// Rows is how many rows a run may have.
func (r *FamilyRows) Rows() int { return r.rows }

// Eval works out all programs of f over n rows: columns holds the values of each name in the order of f.Names, in SI base
// units, NaN where one is not known. The results are Family.Eval's, row by row and bit for bit. Nothing is allocated once
// the largest family has run, but the errors of functions called outside their range, which are dropped.
//
// It panics where columns are missing or too short, as a loop over them would.
func (r *FamilyRows) Eval(f *Family, columns [][]float64, n int) {
	r.place(f, columns, n)
	r.run()
}

// Again works out once more what rests on the columns that are given, those of names whose values do not change being nil:
// the family and the number of rows are the last Eval's. Changed says which programs
// that touched.
func (r *FamilyRows) Again(columns [][]float64) {
	for i := range r.f.names {
		if r.fresh[i] = columns[i] != nil; r.fresh[i] {
			r.slots[i] = columns[i][:len(r.slots[i])]
		}
	}
	for i := range r.f.consts {
		r.fresh[len(r.f.names)+i] = false
	}
	r.run()
}

// Changed reports whether the last run worked out the program at place i: Eval all of them, Again those that rest on the
// columns that it was given.
func (r *FamilyRows) Changed(i int) bool {
	return r.f.results[i] != noResult && r.fresh[r.f.results[i]]
}

// run does the steps that rest on anything fresh.
func (r *FamilyRows) run() {
	at := len(r.f.names) + len(r.f.consts)
	for _, s := range r.f.steps {
		dst := r.slots[at]
		if s.op == opCall {
			c := &r.f.calls[s.a]
			r.fresh[at] = slices.ContainsFunc(c.args, func(a uint16) bool { return r.fresh[a] })
			if r.fresh[at] {
				r.call(c, dst)
			}
		} else if r.fresh[at] = r.fresh[s.a] || r.fresh[s.b]; r.fresh[at] {
			s.op.rows(dst, r.slots[s.a], r.slots[s.b])
		}
		at++
	}
}

// place lays out the values: columns as they are, then constants, then room for each step.
func (r *FamilyRows) place(f *Family, columns [][]float64, n int) {
	r.f = f
	if need := (len(f.consts) + len(f.steps)) * r.rows; len(r.room) < need {
		r.room = make([]float64, need)
	}
	if len(r.args) < f.widest {
		r.args = make([]float64, f.widest)
	}
	r.slots, r.fresh = r.slots[:0], r.fresh[:0]
	for range len(f.names) + len(f.consts) + len(f.steps) {
		r.fresh = append(r.fresh, true)
	}
	for i := range f.names {
		r.slots = append(r.slots, columns[i][:n])
	}
	for i := range len(f.consts) + len(f.steps) {
		slot := r.room[i*r.rows:][:n]
		if i < len(f.consts) {
			fill(slot, f.consts[i])
		}
		r.slots = append(r.slots, slot)
	}
}

// call is familyCall.eval for every row.
func (r *FamilyRows) call(c *familyCall, dst []float64) {
	args := r.args[:len(c.args)]
	for row := range dst {
		sum := 0.0
		for i, a := range c.args {
			args[i] = r.slots[a][row]
			sum += float64(args[i] * 0) // NaN where one is not finite
		}
		v := math.NaN()
		if sum == 0 {
			if x, err := c.fn(args); err == nil {
				v = x
			}
		}
		dst[row] = v
	}
}

// Column gives the values of the program at place i after Eval, a row at each index, until the next Eval; nil where the
// family had no room for it. A value is a result where its size is at most quantity.MaxMagnitude, which NaN is not.
func (r *FamilyRows) Column(i int) []float64 {
	if r.f.results[i] == noResult {
		return nil
	}
	return r.slots[r.f.results[i]]
}
