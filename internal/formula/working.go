package formula

import (
	"strings"

	"witnessmark/internal/quantity"
)

// Working is one line of a trainee's written calculation: Q = 0.28 × 4.19 × (70 − 50) = 23.464 = 23.5 kW.
type Working struct {
	source string
	// Label is what stands before the first = or : where that is a name alone, such as Q; empty where there is none.
	Label string
	// Segments are the formulas between the signs of equality, in order. Segments before the last are working, the last
	// is what is stated.
	Segments []Segment
	// Notes are what was forgiven while reading, as sentences for the trainee.
	Notes []string
}

// Segment is one side of an equality.
type Segment struct {
	Expr *Expr
	// Approximate says that the sign before the segment was ≈.
	Approximate bool
	// Pos and End are its byte offsets in the line.
	Pos, End int
}

// Source gives the line as typed.
func (w *Working) Source() string { return w.source }

// maxSegments bounds the signs of equality in a line.
const maxSegments = 20

// Reader reads and evaluates lines of working one after another and keeps its room between them: once it has met the
// units that occur, a line that is in order allocates nothing. What it gives is good until it reads the next line. The
// zero value is ready; a Reader is for one goroutine at a time.
type Reader struct {
	p      parser
	w      Working
	exprs  [maxSegments]Expr
	c      compiler
	values []SegmentValue
}

// ParseWorking reads one line. The error is an *Error; one with quantity.ErrAmbiguous is for the tutor to read.
func ParseWorking(line string) (*Working, error) { return new(Reader).Read(line) }

// Read reads one line as ParseWorking does.
func (r *Reader) Read(line string) (*Working, error) {
	p, w := &r.p, &r.w
	if p.units == nil {
		p.units = unitCache{}
	}
	if err := p.begin(line, MaxLine); err != nil {
		return nil, err
	}
	p.working = true
	*w = Working{source: line, Label: p.label(), Segments: w.Segments[:0]}
	approximate := false
	for {
		p.space()
		start := p.pos
		p.timesX, p.fraction = 0, nil
		if p.pos == len(p.s) && len(w.Segments) > 0 {
			return nil, p.fail(p.pos, "Nothing stands behind the last equals sign.")
		}
		x, err := p.sum()
		if err != nil {
			return nil, err
		}
		n := len(w.Segments)
		if n == maxSegments {
			return nil, p.fail(start, "A line has at most %d equals signs: begin a new line.", maxSegments)
		}
		r.exprs[n] = Expr{source: line, root: x, timesX: p.timesX, fraction: p.fraction}
		w.Segments = append(w.Segments, Segment{Expr: &r.exprs[n], Approximate: approximate, Pos: p.offsets.At(start), End: p.offsets.At(p.pos)})
		p.space()
		switch {
		case p.take("="):
			approximate = false
		case p.take("≈"), p.take("~="), p.take("≅"):
			approximate = true
		case p.pos == len(p.s):
			w.Notes = p.notes
			return w, nil
		default:
			return nil, p.unexpected()
		}
	}
}

// label reads what a line begins with and is no calculation: a number of a list, and a name before a colon or an equals
// sign.
func (p *parser) label() string {
	p.steps += 2 * len(p.s)
	label := p.colonLabel()
	if label == "" {
		label = p.nameLabel()
	}
	return label
}

// colonLabel reads "heat output:" before the calculation.
func (p *parser) colonLabel() string {
	i := strings.IndexByte(p.s, ':')
	if i < 0 {
		return ""
	}
	label := strings.TrimSpace(p.s[:i])
	for _, r := range label {
		if !nameRune(r) && r != ' ' && r != '-' {
			return ""
		}
	}
	p.pos = i + 1
	return label
}

// nameLabel reads "Q =" or "heat output =" where more follows.
func (p *parser) nameLabel() string {
	i := strings.IndexByte(p.s, '=')
	if i < 0 || strings.TrimSpace(p.s[i+1:]) == "" {
		return ""
	}
	label := strings.TrimSpace(p.s[:i])
	for j, r := range label {
		if j == 0 && !nameStart(r) || !nameRune(r) && r != ' ' {
			return ""
		}
	}
	if label == "" || reserved(label) {
		return ""
	}
	p.pos = i + 1
	return label
}

// Stated gives the line's result: the last segment, where it is a number alone, with the unit it was given; ok is false
// where the line ends in a calculation.
func (w *Working) Stated() (n quantity.Number, u quantity.Unit, hasUnit, ok bool) {
	last := w.Segments[len(w.Segments)-1]
	x := last.Expr.root
	if x.Kind == NodeMul || x.Kind == NodeNeg { // perhaps 1.2 × 10³ W, which is one number
		if q, err := quantity.ParseQuantity(w.source[last.Pos:last.End]); err == nil {
			return q.Number, q.Unit, q.UnitText != "", true
		}
	}
	neg := false
	if x.Kind == NodeNeg {
		x, neg = x.Args[0], true
	}
	if x.Kind != NodeNumber {
		return quantity.Number{}, quantity.One, false, false
	}
	n = x.Number
	if neg {
		n = n.Neg()
	}
	return n, x.Unit, x.HasUnit, true
}
