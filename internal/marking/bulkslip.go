package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// slipRows is how many wrong rows are looked at together.
const slipRows = 128

// slipSearch looks for slips in the wrong rows of a block, pushed together. It is marker.matchSlips over columns.
type slipSearch struct {
	rows      []int32     // the places in the block of the rows that are looked at
	room      [][]float64 // for the columns that the ways of working take
	columns   [][]float64
	low, high []float64 // what each stated figure may have been rounded from, in SI
	digits    []uint8   // stated at most
	family    *formula.FamilyRows
	first     []int32 // of each row among fits; -1 where there is none
	fits      []fit
}

// fit is a way of working that leads to what stands in a row.
type fit struct {
	way, next int32 // next fit of the same row, -1 at the end
	si        float64
}

func newSlipSearch(names int) slipSearch {
	s := slipSearch{
		rows: make([]int32, 0, slipRows), low: make([]float64, slipRows), high: make([]float64, slipRows), digits: make([]uint8, slipRows),
		family: formula.NewFamilyRows(slipRows), first: make([]int32, slipRows), columns: make([][]float64, names),
	}
	for range names {
		s.room = append(s.room, make([]float64, slipRows))
	}
	return s
}

// matchSlips puts into the codes of a figure's wrong rows which slip fits.
func (b *Bulk) matchSlips(f *bulkFigure, written []Written, codes []Code) {
	s := &b.slips
	s.rows = s.rows[:0]
	for i, c := range codes {
		if outcome(uint8(c)) != outcomeOutside || c.UnitLabel() {
			continue
		}
		if s.rows = append(s.rows, int32(i)); len(s.rows) == slipRows {
			b.searchSlips(f, written, codes)
			s.rows = s.rows[:0]
		}
	}
	if len(s.rows) > 0 {
		b.searchSlips(f, written, codes)
	}
}

// searchSlips tries every way of working on the rows that are collected: from the given values, then from the trainee's
// own where those can differ.
func (b *Bulk) searchSlips(f *bulkFigure, written []Written, codes []Code) {
	s := &b.slips
	s.fits = s.fits[:0]
	for j, i := range s.rows {
		s.first[j] = -1
		p := written[i].span(f.it.Unit)
		s.low[j], s.high[j], s.digits[j] = p.low, p.high, written[i].Most
	}
	b.push(f, b.given, false)
	s.family.Eval(f.wrongs.Family, s.columns, len(s.rows))
	b.look(f, written)
	if f.wrongsFollow {
		b.push(f, b.own, true)
		s.family.Again(s.columns)
		b.look(f, written)
	}
	for j, i := range s.rows {
		if s.first[j] >= 0 {
			codes[i] = codes[i].withSlip(s.named(f.wrongs, s.first[j], written[i].lastPlace(f.it.Unit)))
		}
	}
}

// push fills the columns with the rows' values; with figures alone those of givens and readings, which a trainee's own
// earlier answers do not change, are left out.
func (b *Bulk) push(f *bulkFigure, from [][]float64, figures bool) {
	s := &b.slips
	for k, need := range f.wrongs.Needs {
		if s.columns[k] = s.room[k][:len(s.rows)]; figures && !b.isFigure(need) {
			s.columns[k] = nil
			continue
		}
		for j, i := range s.rows {
			s.columns[k][j] = from[need][i]
		}
	}
}

// look compares what each way of working leads to with what stands in the rows.
func (b *Bulk) look(f *bulkFigure, written []Written) {
	s := &b.slips
	for way := range f.wrongs.Ways {
		if !s.family.Changed(way) {
			continue
		}
		leads := s.family.Column(way)
		low, high := s.low[:len(leads)], s.high[:len(leads)]
		for j, si := range leads {
			if si >= low[j] && si <= high[j] { // NaN, no result, is neither
				b.closely(f, way, j, si, &written[s.rows[j]])
			}
		}
	}
}

// closely looks at one way of working that leads near what stands in a row.
func (b *Bulk) closely(f *bulkFigure, way, j int, si float64, w *Written) {
	s := &b.slips
	made := f.wrongs.Ways[way].Made
	if made && s.digits[j] < leastFigures || !(math.Abs(si) <= quantity.MaxMagnitude) {
		return
	}
	for k := s.first[j]; k >= 0; k = s.fits[k].next {
		if int(s.fits[k].way) == way {
			return
		}
	}
	x := f.it.Unit.FromSI(si)
	if w.shows(x, f.it.Unit, fewest(made)) && !inside(Tolerance(f.it.Tolerance), b.fromGiven[s.rows[j]], x) {
		s.fits = append(s.fits, fit{way: int32(way), next: s.first[j], si: si})
		s.first[j] = int32(len(s.fits) - 1)
	}
}

// inside reports whether a slip's value lies within the tolerance, as Mark compares it: with the reference as it is stored.
// Rounding that is costly, and needless where the value lies far outside.
func inside(t Tolerance, ref, x float64) bool {
	if t.Figures == 0 && !t.AtLeast && !t.AtMost && math.Abs(x-ref) > float64(1.001*math.Max(t.Absolute, t.Relative*math.Abs(ref)))+float64(1e-6*math.Max(math.Abs(x), math.Abs(ref))) {
		return false
	}
	return t.Accepts(quantity.Stored(ref), x, keptDigits)
}

// named is the place of the way of working that alone fits, after those have given way that giveWay leaves out;
// severalSlips where the fits have more than one key.
func (s *slipSearch) named(w *brief.Wrongs, first int32, place float64) int {
	way := int32(severalSlips)
	for k := first; k >= 0; k = s.fits[k].next {
		f := &s.fits[k]
		switch {
		case w.Ways[f.way].Made && s.declared(w, first, f.si, place):
		case way == severalSlips || w.Ways[f.way].Key == w.Ways[way].Key:
			way = min(way, f.way)
		default:
			return severalSlips
		}
	}
	return int(way)
}

// declared reports whether a declared way of working fits that the stated digits do not tell from a value.
func (s *slipSearch) declared(w *brief.Wrongs, first int32, si, place float64) bool {
	for k := first; k >= 0; k = s.fits[k].next {
		if !w.Ways[s.fits[k].way].Made && withinPlace(s.fits[k].si, si, place) {
			return true
		}
	}
	return false
}

// unit is the unit that was typed.
func (w *Written) unit(asked quantity.Unit) quantity.Unit {
	if w.Unit != nil {
		return *w.Unit
	}
	return asked
}

// span is spanOf on a decoded number.
func (w *Written) span(asked quantity.Unit) span {
	half := w.Half
	if w.Least < w.Most && w.Least >= 2 {
		half *= math.Pow10(int(w.Most - w.Least))
	}
	half += float64(slack * math.Abs(w.Read))
	u := w.unit(asked)
	return span{low: u.ToSI(w.Read - half), high: u.ToSI(w.Read + half)}
}

// lastPlace is typed.lastPlace of a decoded number.
func (w *Written) lastPlace(asked quantity.Unit) float64 {
	return w.unit(asked).Difference().ToSI(2 * w.Half)
}

// shows is statedAs on a decoded number.
func (w *Written) shows(x float64, asked quantity.Unit, fewest int) bool {
	x, err := quantity.Convert(x, asked, w.unit(asked))
	if err != nil {
		return false
	}
	if math.Abs(x-w.Read) <= w.Half+float64(slack*math.Max(math.Abs(x), math.Abs(w.Read))) {
		return true
	}
	return w.Least < w.Most && int(w.Least) >= fewest && quantity.RoundFigures(x, int(w.Least)) == quantity.RoundFigures(w.Read, int(w.Least))
}
