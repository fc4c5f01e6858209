package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
)

// Bulk marks the figures of many submissions under one brief, from decoded values and without sentences: what re-marking
// a year asks first, before the few that change are marked in full. Its codes are Mark's verdicts (a test holds the two
// together); choices, grids, readings and working are Mark's alone.
//
// It works on columns: each formula runs over all rows of a block before the next one does, and each slip over the wrong
// rows alone, pushed together. Its memory is what NewBulk takes, whatever passes through. A Bulk is used by one goroutine
// at a time.
type Bulk struct {
	c         *brief.Compiled
	rows      int
	figures   []bulkFigure
	given     [][]float64 // by index into Compiled.Names, SI, NaN where unknown: from the given and measured values
	own       [][]float64 // the same from the trainee's own figures; one column with given where the two cannot differ
	half      [][]float64 // half the unit of the last digit that own was stated with, SI; nil for what is no figure
	inputs    [][]float64 // the columns that one formula takes
	fromGiven []float64   // the figure's references in the asked unit; NaN where there is none
	fromOwn   []float64
	slips     slipSearch
	thumbs    thumbSearch
	rounder   rounder
}

// bulkFigure is one figure with its program ready to run over a block.
type bulkFigure struct {
	it           *brief.CompiledItem
	formula      *formula.Batch
	follows      bool // the formula rests on earlier figures, so that given and own can differ
	wrongs       *brief.Wrongs
	wrongsFollow bool // the same of its wrong ways of working
	thumbs       *brief.Wrongs
}

// NewBulk prepares a run over blocks of at most so many rows; 1024 keeps a block's columns in the processor's caches.
func NewBulk(c *brief.Compiled, rows int) *Bulk {
	b := &Bulk{
		c: c, rows: rows, given: make([][]float64, len(c.Names)), own: make([][]float64, len(c.Names)),
		half: make([][]float64, len(c.Names)), fromGiven: make([]float64, rows), fromOwn: make([]float64, rows),
	}
	most, mostWrong := 0, 0
	for i := range c.Items {
		it := &c.Items[i]
		if it.Item.Figure == nil {
			continue
		}
		w := it.Wrongs()
		b.figures = append(b.figures, bulkFigure{
			it: it, formula: it.Formula.Program.NewBatch(rows), follows: b.rests(it.Formula.Needs), wrongs: w, wrongsFollow: b.rests(w.Needs), thumbs: it.Thumbs(),
		})
		b.given[it.Name], b.own[it.Name], b.half[it.Name] = make([]float64, rows), make([]float64, rows), make([]float64, rows)
		most, mostWrong = max(most, len(it.Formula.Needs)), max(mostWrong, len(w.Needs))
	}
	b.inputs, b.slips = make([][]float64, most), newSlipSearch(mostWrong)
	return b
}

// rests reports whether any of needs is a figure.
func (b *Bulk) rests(needs []int) bool {
	for _, n := range needs {
		if b.isFigure(n) {
			return true
		}
	}
	return false
}

// Figures lists the items whose figures a run marks, in the order of its columns.
func (b *Bulk) Figures() []*brief.CompiledItem {
	var items []*brief.CompiledItem
	for i := range b.figures {
		items = append(items, b.figures[i].it)
	}
	return items
}

// NewCodes makes room for a block's codes: a column for each figure.
func (b *Bulk) NewCodes() [][]Code {
	codes := make([][]Code, len(b.figures))
	for i := range codes {
		codes[i] = make([]Code, b.rows)
	}
	return codes
}

// Mark fills in the codes of a block's rows. It allocates nothing.
func (b *Bulk) Mark(k *Block, codes [][]Code) {
	for i, column := range k.Known {
		if column != nil {
			b.given[i], b.own[i] = column, column
		}
	}
	for i := range b.figures {
		f := &b.figures[i]
		stated, written, out := k.Stated[i][:k.Rows], k.Written[i][:k.Rows], codes[i][:k.Rows]
		b.refer(f, k.Rows)
		b.compare(f, stated, written, out)
		b.byThumb(f, stated, written, out)
		b.matchSlips(f, written, out)
		b.remember(f, stated, written, out)
	}
}

// refer works out a figure's references: its own column in SI, and both in the asked unit.
func (b *Bulk) refer(f *bulkFigure, rows int) {
	run := func(from [][]float64, si, asked []float64) {
		needs := f.it.Formula.Needs
		in := b.inputs[:len(needs)]
		for i, n := range needs {
			in[i] = from[n][:rows]
		}
		f.formula.Eval(in, si)
		for i, x := range si {
			asked[i] = f.it.Unit.FromSI(x)
		}
	}
	run(b.given, b.given[f.it.Name][:rows], b.fromGiven[:rows])
	if f.follows {
		run(b.own, b.own[f.it.Name][:rows], b.fromOwn[:rows])
	} else {
		copy(b.fromOwn[:rows], b.fromGiven[:rows])
	}
}

// compare gives every row its verdict. Most are plainly right, and only the others are looked at in full.
func (b *Bulk) compare(f *bulkFigure, stated []float64, written []Written, out []Code) {
	tolerance, limit := Tolerance(f.it.Tolerance), Limit(f.it.Limit)
	plain := !limit.Set() && tolerance.Figures == 0 && !tolerance.AtLeast && !tolerance.AtMost
	given, own := b.fromGiven[:len(out)], b.fromOwn[:len(out)]
	for i, x := range stated {
		g, o := given[i], own[i]
		// Without the slack of arithmetic: what lies at the very edge is left to Accepts.
		if plain && written[i].told == 0 && math.Abs(x-g) <= math.Max(tolerance.Absolute, tolerance.Relative*math.Abs(g)) &&
			math.Abs(x-o) <= math.Max(tolerance.Absolute, tolerance.Relative*math.Abs(o)) {
			out[i] = Code(outcomeCorrect)
			continue
		}
		w := &written[i]
		out[i] = f.decide(tolerance, limit, g, o, x, w)
		// What stands apart from the trainee's own figures may do so by their rounding.
		if f.follows && w.told == 0 && (out[i].Inconsistent() || outcome(out[i]) == outcomeOutside) && o == o {
			if moved := b.withRounding(f, i, o, x, int(w.Most)); moved != o {
				out[i] = f.decide(tolerance, limit, g, moved, x, w)
			}
		}
	}
}

// withRounding is marker.withRounding of one row.
func (b *Bulk) withRounding(f *bulkFigure, row int, own, x float64, digits int) float64 {
	values := b.rounder.begin(f.it.Formula)
	for i, n := range f.it.Formula.Needs {
		half := 0.0
		if b.half[n] != nil {
			half = b.half[n][row]
		}
		values[i] = carry(b.given[n][row], b.own[n][row], half)
	}
	return b.rounder.moved(f.it, own, x, digits)
}

// decide is marker.compare on decoded values; NaN stands for a reference that is not known.
func (f *bulkFigure) decide(t Tolerance, limit Limit, given, own, x float64, w *Written) Code {
	accepts := func(ref, x float64) bool { return t.Accepts(ref, x, int(w.Most)) }
	switch {
	case w.told != 0:
		c := Code(w.told)
		if outcomes[w.told].verdict == UnitWrong && !math.IsNaN(x) && (accepts(given, w.Read) || accepts(own, w.Read)) {
			c |= codeUnitLabel
		}
		return c
	case math.IsNaN(given):
		return Code(outcomeNoReference)
	case accepts(given, x):
		if limit.Set() && !limit.Keeps(given) && limit.Keeps(x) && t.Figures == 0 {
			return Code(outcomeLimitSide)
		}
		if !math.IsNaN(own) && !accepts(own, x) {
			return Code(outcomeCorrect) | codeInconsistent
		}
		return Code(outcomeCorrect)
	case accepts(own, x):
		if f.it.Item.Figure.Safety {
			return Code(outcomeTrueDecides)
		}
		return Code(outcomeFollows)
	case w.Unit != nil && (accepts(given, w.Read) || accepts(own, w.Read)):
		return Code(outcomeOutside) | codeUnitLabel
	}
	return Code(outcomeOutside)
}

// remember keeps what a trainee stated for the figures after it, as marker.remember does: where nothing usable is stated
// the reference stands in, and digits that are right under another unit go on in the asked one.
func (b *Bulk) remember(f *bulkFigure, stated []float64, written []Written, codes []Code) {
	given, own, half := b.given[f.it.Name], b.own[f.it.Name], b.half[f.it.Name]
	unit, difference := f.it.Unit, f.it.Unit.Difference()
	for i, x := range stated {
		w := &written[i]
		switch {
		case math.IsNaN(x):
			own[i], half[i] = given[i], 0
			continue
		case codes[i].UnitLabel():
			own[i], half[i] = unit.ToSI(w.Read), difference.ToSI(w.Half)
		case w.Unit != nil && w.told == 0:
			own[i], half[i] = unit.ToSI(x), w.Unit.Difference().ToSI(w.Half)
		default:
			own[i], half[i] = unit.ToSI(x), difference.ToSI(w.Half)
		}
	}
}
