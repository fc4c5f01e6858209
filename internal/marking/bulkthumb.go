package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// thumbSearch is the memory of one row's search for a rule of thumb.
type thumbSearch struct{ in, slots []float64 }

// byThumb gives a figure's wrong rows the benefit of a rule of thumb: marker.byThumb over a column. Few figures have one,
// so the rows are looked at one by one.
func (b *Bulk) byThumb(f *bulkFigure, stated []float64, written []Written, codes []Code) {
	if len(f.thumbs.Ways) == 0 {
		return
	}
	limit, safety := Limit(f.it.Limit), f.it.Item.Figure.Safety
	for i, c := range codes {
		if c != Code(outcomeOutside) || limit.Set() && !limit.Keeps(b.fromGiven[i]) && limit.Keeps(stated[i]) {
			continue
		}
		switch {
		case b.thumb(f, b.given, stated, written, i) && safety:
			codes[i] = Code(outcomeThumbRead)
		case b.thumb(f, b.given, stated, written, i):
			codes[i] = Code(outcomeThumb)
		case !safety && b.thumb(f, b.own, stated, written, i):
			codes[i] = Code(outcomeThumbOwn)
		}
	}
}

// thumb reports whether a rule of thumb leads to what stands in row i.
func (b *Bulk) thumb(f *bulkFigure, from [][]float64, stated []float64, written []Written, i int) bool {
	t, w := &b.thumbs, f.thumbs
	t.in = t.in[:0]
	for _, need := range w.Needs {
		t.in = append(t.in, from[need][i])
	}
	t.slots = w.Family.Eval(t.in, t.slots)
	return firstRight(f.it, w, t.slots, stated[i], int(written[i].Most)) >= 0
}

// thumbWithin is how far, as a share, a figure may lie from a rule of thumb's own value: what rounding on the way comes
// to. The tolerance does not come on top, or it would be twice as wide for everybody.
const thumbWithin = 0.005

// firstRight is the place of the first rule of thumb that a stated figure is worked by; -1 where there is none. It has its
// value to the digits stated, or nearly, and lies inside the tolerance around it.
func firstRight(it *brief.CompiledItem, w *brief.Wrongs, slots []float64, stated float64, digits int) int {
	for way := range w.Ways {
		si, ok := w.Family.Result(slots, way)
		if !ok {
			continue
		}
		x := it.Unit.FromSI(si)
		near := math.Abs(stated-x) <= thumbWithin*math.Abs(x) || digits > 0 && quantity.RoundFigures(x, digits) == quantity.RoundFigures(stated, digits)
		if near && Tolerance(it.Tolerance).Accepts(x, stated, digits) {
			return way
		}
	}
	return -1
}
