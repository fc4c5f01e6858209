package formula

import "math"

// FamilyRows runs families over rows of values, a step at a time for all rows: what sixty programs share is worked out
// once a row, and the cost of choosing a step once for all of them. It holds the room that this takes, as much as the
// largest family that it ran, so it is for one goroutine; it may run any number of families in turn.
type FamilyRows struct {
	rows  int
	f     *Family
	slots [][]float64 // of the family that ran last
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
	at := len(f.names) + len(f.consts)
	for _, s := range f.steps {
		if dst := r.slots[at]; s.op == opCall {
			r.call(&f.calls[s.a], dst)
		} else {
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
	r.slots = r.slots[:0]
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
			sum += args[i] * 0 // NaN where one is not finite
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
