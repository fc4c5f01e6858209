package pdf

import (
	"math"

	"witnessmark/internal/formula"
)

// mathBox is a piece of a formula that has been measured: how wide it is, how far it reaches above and below its baseline,
// and how it is drawn with its baseline at x, y.
type mathBox struct {
	wide, up, down float64
	draw           func(x, y float64)
}

// Measures of the faces, in ems: how far letters reach, and how high above the baseline the middle of a sign lies, where
// the bar of a fraction belongs.
const (
	letterUp   = 0.76
	letterDown = 0.22
	axis       = 0.314
	smaller    = 0.74 // of what is raised or lowered
	smallest   = 5.6  // points
	barWeight  = 0.55
)

// mathSet measures a formula set at size points.
func (f *flow) mathSet(s formula.Set, size float64) mathBox {
	switch s.Kind {
	case formula.SetRow:
		return f.mathRow(s.Parts, size)
	case formula.SetNumber, formula.SetUpright:
		return f.mathWord(s.Text, sans, size, 0)
	case formula.SetName:
		return f.mathWord(s.Text, oblique, size, 0.04*size)
	case formula.SetUnit:
		return beside(space(0.17*size), f.mathWord(s.Text, sans, size, 0))
	case formula.SetSign:
		return beside(space(0.26*size), f.mathWord(s.Text, sans, size, 0.26*size))
	case formula.SetMinus:
		return f.mathWord("−", sans, size, 0.04*size)
	case formula.SetComma:
		return f.mathWord(",", sans, size, 0.25*size)
	case formula.SetBrackets:
		return f.mathBrackets(f.mathSet(s.Parts[0], size), size)
	case formula.SetFraction:
		return f.mathFraction(s, size)
	case formula.SetRaised:
		base, up := f.mathSet(s.Parts[0], size), f.mathSet(s.Parts[1], max(smaller*size, min(size, smallest)))
		return beside(base, shifted(up, max(base.up-0.4*size, 0.33*size)))
	case formula.SetLowered:
		base, low := f.mathSet(s.Parts[0], size), f.mathSet(s.Parts[1], max(smaller*size, min(size, smallest)))
		return beside(base, shifted(low, -0.18*size))
	case formula.SetRoot:
		return f.mathRoot(f.mathSet(s.Parts[0], size), size)
	}
	return mathBox{}
}

func space(wide float64) mathBox { return mathBox{wide: wide, draw: func(float64, float64) {}} }

// mathWord is text of one face with room behind it.
func (f *flow) mathWord(text string, face int, size, after float64) mathBox {
	text = clean(text)
	l := line{pieces: f.byFace(nil, text, 0, len(text), style{face: face, size: size, tone: Ink})}
	for _, p := range l.pieces {
		l.wide += p.wide
	}
	return mathBox{wide: l.wide + after, up: letterUp * size, down: letterDown * size, draw: func(x, y float64) { f.text(x, y, l) }}
}

func (f *flow) mathRow(parts []formula.Set, size float64) mathBox {
	boxes := make([]mathBox, len(parts))
	for i, p := range parts {
		boxes[i] = f.mathSet(p, size)
	}
	return beside(boxes...)
}

// beside sets boxes on one baseline.
func beside(boxes ...mathBox) mathBox {
	var out mathBox
	for _, b := range boxes {
		out.wide += b.wide
		out.up, out.down = max(out.up, b.up), max(out.down, b.down)
	}
	out.draw = func(x, y float64) {
		for _, b := range boxes {
			b.draw(x, y)
			x += b.wide
		}
	}
	return out
}

// shifted sets a box up from the baseline, or down where up is negative.
func shifted(b mathBox, up float64) mathBox {
	return mathBox{wide: b.wide, up: b.up + up, down: b.down - up, draw: func(x, y float64) { b.draw(x, y-up) }}
}

// mathFraction is two boxes over one another, the bar at the height of a minus.
func (f *flow) mathFraction(s formula.Set, size float64) mathBox {
	top, bottom := f.mathSet(s.Parts[0], size), f.mathSet(s.Parts[1], size)
	gap, over := 0.16*size, 0.1*size
	wide := max(top.wide, bottom.wide) + 2*over
	lift, drop := axis*size+gap+top.down, bottom.up+gap-axis*size
	return mathBox{wide: wide + 2*over, up: lift + top.up, down: drop + bottom.down, draw: func(x, y float64) {
		x += over
		f.stroke(x, y-axis*size, x+wide, y-axis*size, barWeight, Ink)
		top.draw(x+(wide-top.wide)/2, y-lift)
		bottom.draw(x+(wide-bottom.wide)/2, y+drop)
	}}
}

// mathBrackets are letters around what is no taller than letters, and drawn around what is.
func (f *flow) mathBrackets(in mathBox, size float64) mathBox {
	if in.up <= 1.05*size && in.down <= 0.4*size {
		return beside(f.mathWord("(", sans, size, 0), in, f.mathWord(")", sans, size, 0))
	}
	wide, up, down := 0.42*size, in.up+0.06*size, in.down+0.06*size
	return mathBox{wide: in.wide + 2*wide, up: up, down: down, draw: func(x, y float64) {
		f.bow(x+wide*0.8, y-up, y+down, -wide*0.55)
		in.draw(x+wide, y)
		f.bow(x+wide*1.2+in.wide, y-up, y+down, wide*0.55)
	}}
}

// bow draws a bracket from top to bottom, its ends at x, bent towards the side that bend points to.
func (f *flow) bow(x, top, bottom, bend float64) {
	const steps = 12
	at := func(i int) (float64, float64) {
		t := float64(i) / steps
		return x + bend*(1-math.Pow(2*t-1, 2)), top + t*(bottom-top)
	}
	for i := range steps {
		x1, y1 := at(i)
		x2, y2 := at(i + 1)
		f.stroke(x1, y1, x2, y2, 0.75, Ink)
	}
}

// mathRoot draws the sign of a root around a box.
func (f *flow) mathRoot(in mathBox, size float64) mathBox {
	sign, gap := 0.72*size, 0.14*size
	up, down := in.up+gap+barWeight, in.down
	return mathBox{wide: sign + in.wide + 0.15*size, up: up, down: down, draw: func(x, y float64) {
		foot, head := y+down*0.9, y-up+barWeight/2
		middle := (foot + head) / 2
		f.stroke(x+0.08*size, middle+0.1*size, x+0.2*size, middle, 0.5, Ink)
		f.stroke(x+0.2*size, middle, x+0.4*size, foot, 0.9, Ink)
		f.stroke(x+0.4*size, foot, x+sign-0.06*size, head, 0.5, Ink)
		f.stroke(x+sign-0.06*size, head, x+sign+in.wide+0.1*size, head, barWeight, Ink)
		in.draw(x+sign, y)
	}}
}
