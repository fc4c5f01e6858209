package pdf

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/pdf/writer"
)

// Steps is a calculation, typeset line by line with what it belongs to above it. A line that is too wide goes on below,
// further in, before a sign; nothing runs off the page.
type Steps struct {
	Label string
	Lines []Step
}

// Step is one line of Steps. The note stands behind it in soft ink; Apart leaves room above it.
type Step struct {
	Line  formula.Line
	Note  string
	Apart bool
}

const (
	mathSize  = 9.0
	stepPad   = 2.0  // above and below a line
	stepIn    = 12.0 // from the stroke beside the steps
	stepNext  = 16.0 // how far a line goes on further in
	stepApart = 4.0
	noteSpace = 10.0
)

// mathLine is boxes set side by side.
type mathLine struct {
	boxes []mathBox
	in    float64
	above float64
	note  line
}

func (l mathLine) box() mathBox { return beside(l.boxes...) }

func (l mathLine) high() float64 {
	b := l.box()
	return max(b.up, letterUp*mathSize) + max(b.down, letterDown*mathSize) + 2*stepPad + l.above
}

// set breaks a step into lines. One with a piece that would have to be too small is set as plain text.
func (s Step) set(f *flow, wide float64) []mathLine {
	out := []mathLine{{}}
	free := wide
	for _, p := range s.Line.Pieces() {
		b, ok := f.fitted(p, wide-stepNext)
		if !ok {
			out, free = s.plain(f, wide), 0
			break
		}
		if now := &out[len(out)-1]; len(now.boxes) > 0 && b.wide > free {
			out = append(out, mathLine{in: stepNext})
			free = wide - stepNext
		}
		out[len(out)-1].boxes = append(out[len(out)-1].boxes, b)
		free -= b.wide
	}
	if s.Apart {
		out[0].above = stepApart
	}
	if s.Note != "" {
		return s.noted(f, out, free, wide)
	}
	return out
}

func (s Step) plain(f *flow, wide float64) []mathLine {
	var out []mathLine
	for _, l := range f.set(Plain(s.Line.Text()), body, wide-stepNext) {
		out = append(out, mathLine{in: stepNext, note: l})
	}
	out[0].in = 0
	return out
}

// noted sets the note behind the last line, or below it where there is no room.
func (s Step) noted(f *flow, ls []mathLine, free, wide float64) []mathLine {
	if note := f.set(Quiet(s.Note), label, 1e6)[0]; note.wide+noteSpace <= free {
		ls[len(ls)-1].note = note
		return ls
	}
	above := 0.0
	if len(ls[0].boxes) == 0 && len(s.Line) == 0 { // a note alone begins where it stands
		above, ls = ls[0].above, nil
	}
	for _, l := range f.set(Quiet(s.Note), label, wide-stepNext) {
		ls = append(ls, mathLine{in: stepNext, note: l})
	}
	ls[0].above += above
	return ls
}

// fitted is a piece set at the usual size, or smaller where it would be wider than a line; ok is false where it would have
// to be too small to be read.
func (f *flow) fitted(s formula.Set, wide float64) (b mathBox, ok bool) {
	size := mathSize
	for b = f.mathSet(s, size); b.wide > wide && size >= smallest; b = f.mathSet(s, size) {
		size *= min(0.97, wide/b.wide)
	}
	return b, size >= smallest
}

func (s Steps) set(f *flow) []mathLine {
	var ls []mathLine
	for _, step := range s.Lines {
		ls = append(ls, step.set(f, f.wide()-stepIn)...)
	}
	return ls
}

func (s Steps) least(f *flow) float64 {
	h := 0.0
	if s.Label != "" {
		h = label.lead
	}
	for i, l := range s.set(f) {
		if i == 3 {
			break
		}
		h += l.high()
	}
	return h + 3
}

func (s Steps) place(f *flow) {
	if s.Label != "" {
		f.para(func() { f.lines(f.left, f.set(Plain(s.Label), label, f.wide()), label.lead) })
	}
	f.y += 2
	for _, step := range s.Lines {
		f.para(func() { step.place(f) })
	}
	f.y += 6
}

// place draws one step: a formula, said in words to those who hear it, then its
// note.
func (s Step) place(f *flow) {
	var in *writer.Element
	if len(s.Line) > 0 {
		in = f.open(writer.FormulaTag, writer.Attributes{Alt: s.Line.Words()})
	}
	for _, l := range s.set(f, f.wide()-stepIn) {
		if f.err != nil {
			return
		}
		high := l.high()
		f.need(high)
		f.stroke(f.left+0.25, f.y, f.left+0.25, f.y+high, 0.5, Soft)
		b := l.box()
		base := f.y + l.above + stepPad + max(b.up, letterUp*mathSize)
		f.typeset(in, func() { b.draw(f.left+stepIn+l.in, base) })
		x := f.left + stepIn + l.in + b.wide
		if len(l.boxes) > 0 {
			x += noteSpace
		}
		f.text(x, base, l.note)
		f.y += high
	}
	in.Close()
}

// typeset draws a piece of a formula, letters and strokes alike.
func (f *flow) typeset(in *writer.Element, draw func()) {
	f.formula = in
	f.inside(in, draw)
	f.formula = nil
}
