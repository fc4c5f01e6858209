package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// Block holds decoded values of up to so many submissions in columns, as a bulk run takes them.
type Block struct {
	// Rows is how many submissions are in it.
	Rows int
	// Known has a column for each of Compiled.Names that is a given or a reading, in SI; NaN where there is no value.
	// Figures have none.
	Known [][]float64
	// Stated has a column for each figure in the brief's order: the number in the asked unit, as later figures go on from
	// it. NaN where there is none.
	Stated [][]float64
	// Written has a column for each figure: how the number was written.
	Written [][]Written
}

// Written is how a stated number was written, which decides what digits count and which slips it shows.
type Written struct {
	Read  float64        // the number in the unit that was typed
	Half  float64        // half of its last stated place, in that unit
	Unit  *quantity.Unit // that was typed; nil for the asked one
	Least uint8          // significant figures that it has at least
	Most  uint8          // and at most
	// told is what is said of it before any comparison: blank, to be read, a unit that does not fit. 0 compares.
	told outcome
}

// NewBlock makes an empty block that b takes.
func (b *Bulk) NewBlock() *Block {
	k := &Block{Known: make([][]float64, len(b.c.Names))}
	for i := range b.c.Names {
		if !b.isFigure(i) {
			k.Known[i] = make([]float64, b.rows)
		}
	}
	for range b.figures {
		k.Stated = append(k.Stated, make([]float64, b.rows))
		k.Written = append(k.Written, make([]Written, b.rows))
	}
	return k
}

func (b *Bulk) isFigure(name int) bool {
	n := &b.c.Names[name]
	return n.Item >= 0 && b.c.Items[n.Item].Item.Figure != nil
}

// Add decodes a sheet into the next row of a block, which has to have room (Rows below the bulk run's rows). What was
// typed is read here once; a block can then be marked under any number of briefs with the same items.
func (b *Bulk) Add(k *Block, s Sheet) {
	row := k.Rows
	k.Rows++
	m := newMarker(b.c, s)
	for i := range b.c.Items {
		if it := &b.c.Items[i]; it.Item.Reading != nil {
			m.reading(it)
		}
	}
	for i, column := range k.Known {
		switch {
		case column == nil:
		case m.values[i].known:
			column[row] = m.values[i].given
		default:
			column[row] = math.NaN()
		}
	}
	for i := range b.figures {
		it := b.figures[i].it
		e, _ := m.entry(it, "", brief.NoPhase)
		k.Stated[i][row], k.Written[i][row] = decoded(it, readTyped(e.Text, e.Unit, it.Unit))
	}
}

// decoded is what a bulk run needs of a typed figure.
func decoded(it *brief.CompiledItem, t typed) (stated float64, w Written) {
	stated = math.NaN()
	if t.usable {
		stated = t.value
	}
	least, most := t.number.SignificantFigures()
	w = Written{Read: t.bare(), Half: t.number.HalfUnit(), Least: uint8(least), Most: uint8(most)}
	if t.hasNumber() && !t.unit.Equal(it.Unit) {
		w.Unit = &t.unit
	}
	switch {
	case t.verdict != "":
		w.told = outcomeOf(t.verdict, t.code)
	case it.Item.Figure.AskUnit && !t.unitSet && it.Unit.String() != "":
		w.told = outcomeOf(UnitMissing, codeUnitMissing)
	case t.number.Bound != quantity.Exactly:
		w.told = outcomeOf(ToRead, codeBound)
	}
	return stated, w
}
