package formula

import (
	"fmt"
	"math"

	"witnessmark/internal/quantity"
)

// blockRows is how many rows a step works on at a time: what a formula touches then stays in the nearest cache.
const blockRows = 256

// Batch runs one program over many rows of values, a step at a time for a block of them. It holds the room that this
// takes, so it is for one goroutine; any number of batches may run one program.
type Batch struct {
	p    *Program
	rows int // of a block
	// regs are the registers: names are columns of the caller's, constants are filled in once, results have room of
	// their own.
	regs [registers][]float64
	room [registers][]float64
	args []float64
}

// NewBatch makes room for runs of the given number of rows or any other: it only saves room where they are few.
func (p *Program) NewBatch(rows int) *Batch {
	rows = min(max(rows, 1), blockRows)
	b := &Batch{p: p, rows: rows}
	first, most := 0, 0
	if p.preloaded {
		first = len(p.names)
	}
	for _, c := range p.calls {
		most = max(most, c.argc)
	}
	b.args = make([]float64, most)
	all := make([]float64, (p.size-first)*rows)
	for r := first; r < p.size; r++ {
		b.room[r], all = all[:rows:rows], all[rows:]
		if c := r - first; p.preloaded && c < len(p.consts) {
			fill(b.room[r], p.consts[c])
		}
	}
	return b
}

// Eval works out rows: columns holds the values of each name in the order of Names, SI base units, a row at each index,
// and out gets len(out) results. A result is Eval's, bit for bit, or NaN where the row has none. Nothing is allocated
// but the errors of functions called outside their range, which are dropped.
//
// It panics where columns are missing or too short, as a loop over them would.
func (b *Batch) Eval(columns [][]float64, out []float64) {
	if len(columns) != len(b.p.names) {
		panic(fmt.Sprintf("formula %q: %d columns given for %d names", b.p.source, len(columns), len(b.p.names)))
	}
	for from := 0; from < len(out); from += b.rows {
		b.block(columns, from, out[from:min(from+b.rows, len(out))])
	}
}

func (b *Batch) block(columns [][]float64, from int, out []float64) {
	p, n := b.p, len(out)
	for r := range p.size {
		if p.preloaded && r < len(columns) {
			b.regs[r] = columns[r][from : from+n]
		} else {
			b.regs[r] = b.room[r][:n]
		}
	}
	for _, s := range p.code {
		dst := b.regs[s.dst]
		switch s.op {
		case opName:
			copy(dst, columns[s.a][from:from+n])
		case opConst:
			fill(dst, p.consts[s.a])
		case opCall:
			b.call(s, dst)
		case opTable:
			p.tables[s.b].rows(dst, b.regs[s.a])
		default:
			s.op.rows(dst, b.regs[s.a], b.regs[s.b])
		}
	}
	for i, v := range b.regs[p.result] {
		if !(math.Abs(v) <= quantity.MaxMagnitude) {
			v = math.NaN()
		}
		out[i] = v
	}
}

// call makes a call for each row whose arguments are finite.
func (b *Batch) call(s instr, dst []float64) {
	c := &b.p.calls[s.b]
	args := b.args[:c.argc]
	for i := range dst {
		sum := 0.0
		for k := range args {
			args[k] = b.regs[int(s.a)+k][i]
			sum += float64(args[k] * 0) // NaN where one is not finite
		}
		v := math.NaN()
		if sum == 0 {
			if r, err := c.fn(args); err == nil {
				v = r
			}
		}
		dst[i] = v
	}
}

func fill(dst []float64, v float64) {
	for i := range dst {
		dst[i] = v
	}
}

// rows is a step over rows. What Eval would stop at becomes NaN where it could hide in the steps that follow.
func (o op) rows(dst, a, b []float64) {
	a, b = a[:len(dst)], b[:len(dst)]
	switch o {
	case opMove:
		copy(dst, a)
	case opNeg:
		for i, x := range a {
			dst[i] = -x
		}
	case opAdd:
		for i, x := range a {
			dst[i] = x + b[i]
		}
	case opSub:
		for i, x := range a {
			dst[i] = x - b[i]
		}
	case opMul:
		for i, x := range a {
			dst[i] = x * b[i]
		}
	case opDiv:
		for i, x := range a {
			y := b[i]
			v := x / y
			if y == 0 || y-y != 0 {
				v = math.NaN()
			}
			dst[i] = v
		}
	case opMin:
		for i, x := range a {
			y := b[i]
			v := min(x, y)
			if x-x != 0 || y-y != 0 {
				v = math.NaN()
			}
			dst[i] = v
		}
	case opMax:
		for i, x := range a {
			y := b[i]
			v := max(x, y)
			if x-x != 0 || y-y != 0 {
				v = math.NaN()
			}
			dst[i] = v
		}
	case opPow:
		for i, x := range a {
			y := b[i]
			v := finite(power(x, y))
			if x-x != 0 || y-y != 0 { // the power 0 of anything is 1
				v = math.NaN()
			}
			dst[i] = v
		}
	case opSqrt:
		for i, x := range a {
			dst[i] = finite(math.Sqrt(x))
		}
	case opLog10:
		for i, x := range a {
			dst[i] = finite(log10(x))
		}
	default:
		for i, x := range a {
			v, ok := o.slow(x, b[i])
			if !ok {
				v = math.NaN()
			}
			dst[i] = v
		}
	}
}

// finite is v, or NaN where that is no finite number.
func finite(v float64) float64 {
	if v-v != 0 {
		return math.NaN()
	}
	return v
}

func (t *table) rows(dst, x []float64) {
	x = x[:len(dst)]
	for i := range dst {
		v, ok := t.at(x[i])
		if !ok {
			v = math.NaN()
		}
		dst[i] = v
	}
}
