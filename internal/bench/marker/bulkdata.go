package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
)

// bulkRows is a block, and bulkBlocks how many different ones there are: submissions stream through in that many, again
// and again, so that the data of a million submissions need not lie in memory.
const (
	bulkRows   = 1024
	bulkBlocks = 16
)

// bulkData is decoded submissions, and the same columns by name as a native loop takes them.
type bulkData struct {
	compiled *brief.Compiled
	blocks   []*marking.Block
	columns  []map[string][]float64
	made     map[string][]float64 // room for what a native loop works out
}

// data draws the blocks. About a fifth of the figures is wrong: half of them by one of the ways that the marker tries,
// half by something else.
func (z bulkSize) data(c *brief.Compiled, run *marking.Bulk) (*bulkData, error) {
	d := &bulkData{compiled: c, made: map[string][]float64{}}
	for _, f := range bulkFigures {
		d.made[f.key] = make([]float64, bulkRows)
		for n := range z.copies {
			d.made[copyOf(f.key, n)] = d.made[f.key]
		}
	}
	random := rand.New(rand.NewPCG(12, 60))
	for range bulkBlocks {
		k := run.NewBlock()
		k.Rows = bulkRows
		columns := map[string][]float64{}
		for i, n := range c.Names {
			if k.Known[i] == nil {
				continue
			}
			in := bulkInputs[i]
			for row := range k.Known[i] {
				k.Known[i][row] = n.Unit.ToSI(in.from + (in.to-in.from)*random.Float64())
			}
			columns[n.Name] = k.Known[i]
		}
		d.blocks, d.columns = append(d.blocks, k), append(d.columns, columns)
		d.native(columns, bulkRows)
		if err := d.state(k, columns, random); err != nil {
			return nil, err
		}
	}
	return d, nil
}

// native works all figures out as a Go programmer would.
func (d *bulkData) native(columns map[string][]float64, rows int) {
	for i := range bulkFigures {
		f := &bulkFigures[i]
		f.native(columns, d.made, d.made[f.key][:rows])
	}
}

// state fills in what the trainees of a block state, to four figures.
func (d *bulkData) state(k *marking.Block, columns map[string][]float64, random *rand.Rand) error {
	at, figure := map[string][]float64{}, 0
	for name, column := range columns {
		at[name] = column
	}
	for i := range d.compiled.Items {
		it := &d.compiled.Items[i]
		if it.Item.Figure == nil {
			continue
		}
		own, w := make([]float64, bulkRows), it.Wrongs()
		in, slots := make([]float64, len(w.Needs)), []float64(nil)
		for row := range bulkRows {
			x := d.made[it.Item.Key][row]
			switch draw := random.Float64(); {
			case draw < 0.11: // some of them come to the right answer within its tolerance
				for j, n := range w.Needs {
					in[j] = at[d.compiled.Names[n].Name][row]
				}
				slots = w.Family.Eval(in, slots)
				if si, ok := w.Family.Result(slots, random.IntN(len(w.Ways))); ok {
					x = si
				}
			case draw < 0.21:
				x *= 1.02 + 2*random.Float64()
			}
			text := strconv.FormatFloat(it.Unit.FromSI(x), 'g', 4, 64)
			number, err := quantity.ParseNumber(text)
			if err != nil {
				return fmt.Errorf("state %s: %w", text, err)
			}
			least, most := number.SignificantFigures()
			k.Stated[figure][row] = number.Value()
			k.Written[figure][row] = marking.Written{Read: number.Value(), Half: number.HalfUnit(), Least: uint8(least), Most: uint8(most)}
			own[row] = it.Unit.ToSI(number.Value())
		}
		at[it.Item.Key] = own
		figure++
	}
	return nil
}

// agrees holds the native loops to the brief's own formulas, so that both sides do the same work.
func (d *bulkData) agrees() error {
	for block, columns := range d.columns {
		d.native(columns, bulkRows)
		for i := range d.compiled.Items {
			it := &d.compiled.Items[i]
			if it.Item.Figure == nil {
				continue
			}
			in := make([]float64, len(it.Formula.Needs))
			for row := range bulkRows {
				for j, n := range it.Formula.Needs {
					name := d.compiled.Names[n].Name
					column, given := columns[name]
					if !given {
						column = d.made[name]
					}
					in[j] = column[row]
				}
				want, err := it.Formula.Program.Eval(in)
				if got := d.made[it.Item.Key][row]; err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
					return fmt.Errorf("block %d, row %d: the native loop makes %s %v, the formula %v (%v)", block, row, it.Item.Key, got, want, err)
				}
			}
		}
	}
	return nil
}
