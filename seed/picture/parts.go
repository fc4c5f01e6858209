package picture

import (
	"image/color"
	"math"
	"strconv"
)

// The colours of things at the rig.
var (
	copper = rgb(0xb8692f)
	brass  = rgb(0xc9a64b)
	steel  = rgb(0xaab0b6)
	cast   = rgb(0x3c5a48)
	white  = rgb(0xeceae4)
	black  = rgb(0x1e1f22)
	red    = rgb(0xb5302a)
	foam   = rgb(0x4f7d7a)
	paper  = rgb(0xf4f1e4)
	yellow = rgb(0xf0c632)
	ink    = rgb(0x23314f)
)

// tube draws a run of tube with its shadow on the board behind it.
func (c *canvas) tube(col color.RGBA, width float64, ps ...point) {
	shadow := make([]point, len(ps))
	for i, p := range ps {
		shadow[i] = pt(p.x+width*0.45, p.y+width*0.6)
	}
	c.fill(shade(70), stroke(width, shadow...)...)
	for _, s := range []struct{ k, w, off float64 }{{0.45, 1, 0}, {0.72, 0.86, -0.02}, {0.95, 0.62, -0.06}, {1.12, 0.38, -0.1}, {1.35, 0.14, -0.14}} {
		moved := make([]point, len(ps))
		for i, p := range ps {
			moved[i] = pt(p.x+s.off*width, p.y+s.off*width)
		}
		c.fill(tone(col, s.k), stroke(width*s.w, moved...)...)
	}
}

// sleeve is a fitting on a tube that runs through (x, y), along the x axis or along the y axis.
func (c *canvas) sleeve(col color.RGBA, width, x, y float64, upright bool) {
	l := width * 0.55
	a, b := pt(x-l, y), pt(x+l, y)
	if upright {
		a, b = pt(x, y-l), pt(x, y+l)
	}
	c.tube(col, width*1.3, a, b)
}

// run is a tube with fittings at its corners.
func (c *canvas) run(width float64, ps ...point) {
	c.tube(copper, width, ps...)
	for i := 1; i < len(ps)-1; i++ {
		p := ps[i]
		c.tube(tone(copper, 0.92), width*1.28, toward(p, ps[i-1], width), p, toward(p, ps[i+1], width))
	}
}

// toward is the place at the distance d from p on the way to q.
func toward(p, q point, d float64) point {
	l := math.Hypot(q.x-p.x, q.y-p.y)
	if l == 0 {
		return p
	}
	d = min(d, l)
	return pt(p.x+(q.x-p.x)/l*d, p.y+(q.y-p.y)/l*d)
}

// clip holds a tube to the board.
func (c *canvas) clip(width, x, y float64, upright bool) {
	if upright {
		c.fill(shade(60), rect(x-width*0.85+3, y-width*0.3+5, width*1.7, width*0.7))
		c.fill(rgb(0xd8d5cc), rounded(x-width*0.85, y-width*0.35, width*1.7, width*0.7, 4))
	} else {
		c.fill(shade(60), rect(x-width*0.3+3, y-width*0.85+5, width*0.7, width*1.7))
		c.fill(rgb(0xd8d5cc), rounded(x-width*0.35, y-width*0.85, width*0.7, width*1.7, 4))
	}
	c.fill(rgb(0x8c8a84), circle(x, y, width*0.16))
}

// plate is a label fixed to the board.
func (c *canvas) plate(x, y float64, size int, s string) {
	w := float64(size)*0.64*float64(len([]rune(s))) + float64(size)
	h := float64(size) * 1.7
	c.fill(shade(70), rect(x-w/2+3, y-h/2+4, w, h))
	c.fill(rgb(0xf7f5ee), rounded(x-w/2, y-h/2, w, h, 4))
	c.text(black, size, true, x, y, s)
}

// pump is a circulator with its head towards us; the arrow on the body points up or right.
func (c *canvas) pump(x, y, r float64, upright bool) {
	c.fill(shade(80), circle(x+r*0.12, y+r*0.2, r*1.06))
	c.fill(tone(cast, 0.8), circle(x, y, r*1.05))
	c.fill(cast, circle(x-r*0.03, y-r*0.03, r))
	c.fill(rgb(0x22262a), circle(x, y, r*0.78))
	for i := range 4 {
		k := float64(i) / 4
		c.fill(mix(rgb(0x2f353b), rgb(0x5b646d), k), circle(x-r*0.1*k, y-r*0.12*k, r*(0.72-0.16*k)))
	}
	c.fill(rgb(0xd7dadc), circle(x, y, r*0.2))
	c.fill(rgb(0x8b9095), rect(x-r*0.16, y-r*0.03, r*0.32, r*0.06))
	if upright {
		c.arrow(white, r*0.09, pt(x+r*0.9, y+r*0.32), pt(x+r*0.9, y-r*0.32))
	} else {
		c.arrow(white, r*0.09, pt(x-r*0.32, y+r*0.9), pt(x+r*0.32, y+r*0.9))
	}
}

func (c *canvas) arrow(col color.RGBA, width float64, a, b point) {
	c.line(col, width, a, b)
	l := math.Hypot(b.x-a.x, b.y-a.y)
	ux, uy := (b.x-a.x)/l, (b.y-a.y)/l
	h := width * 2.6
	c.fill(col, []point{{b.x + ux*h, b.y + uy*h}, {b.x - uy*h*0.7, b.y + ux*h*0.7}, {b.x + uy*h*0.7, b.y - ux*h*0.7}})
}

// cock is an isolating valve; open says which way its lever lies.
func (c *canvas) cock(width, x, y float64, upright, open bool) {
	c.sleeve(brass, width*1.15, x, y, upright)
	a, b := pt(x, y), pt(x+width*1.7, y)
	if upright == open {
		b = pt(x, y-width*1.7)
	}
	c.line(shade(70), width*0.42, pt(a.x+4, a.y+6), pt(b.x+4, b.y+6))
	c.line(red, width*0.4, a, b)
	c.fill(tone(brass, 0.7), circle(x, y, width*0.3))
}

// midValve is a three-way valve with its head; the letters of its ports are on the body.
func (c *canvas) midValve(x, y, s float64) {
	c.tube(brass, s*0.5, pt(x-s, y), pt(x+s, y))
	c.tube(brass, s*0.5, pt(x, y), pt(x, y+s*0.9))
	c.box(rgb(0xd9d6cd), x-s*0.7, y-s*1.25, s*1.4, s*1.15, 8)
	c.fill(rgb(0x3a6ea5), rounded(x-s*0.5, y-s*1.1, s, s*0.22, 3))
	c.fill(rgb(0x33363a), rounded(x+s*0.62, y-s*0.7, s*0.2, s*0.16, 3))
	size := int(s * 0.3)
	c.text(black, size, true, x-s*0.85, y, "A")
	c.text(black, size, true, x+s*0.85, y, "B")
	c.text(black, size, true, x, y+s*0.62, "AB")
}

// box is an enclosure with its shadow, a lit upper edge and a dark lower one.
func (c *canvas) box(col color.RGBA, x, y, w, h, r float64) {
	c.fill(shade(75), rounded(x+8, y+12, w, h, r))
	c.fill(tone(col, 0.78), rounded(x, y, w, h, r))
	c.fill(tone(col, 1.15), rounded(x, y, w-2, h-3, r))
	c.fill(tone(col, 1.04), rounded(x+2, y+2, w-4, h-5, r))
	const n = 10
	for i := range n {
		t := float64(i) / n
		c.fill(tone(col, 1.06-0.13*t), rect(x+2, y+2+r+(h-5-2*r)*t, w-4, (h-5-2*r)/n+1))
	}
	c.fill(tone(col, 1.06-0.13), rounded(x+2, y+h-3-2*r, w-4, 2*r, r))
	c.fill(tone(col, 1.06-0.13), rect(x+2, y+h-3-2*r, w-4, r))
}

// cylinder stands on y+h and is lagged in foam.
func (c *canvas) cylinder(col color.RGBA, x, y, w, h float64) {
	c.fill(shade(80), rounded(x+w*0.08, y+14, w, h, w*0.3))
	c.fill(tone(col, 0.8), ellipse(x+w/2, y+w*0.2, w/2, w*0.2))
	c.column(col, x, y+w*0.2, w, h-w*0.2)
	c.fill(tone(col, 1.1), ellipse(x+w*0.46, y+w*0.17, w*0.34, w*0.1))
	for i := range 3 {
		yy := y + h*(0.3+0.25*float64(i))
		c.fill(shade(60), rect(x, yy, w, 5))
		c.fill(light(26), rect(x, yy+5, w, 3))
	}
}

// radiator is a panel with its columns.
func (c *canvas) radiator(x, y, w, h float64) {
	c.box(white, x, y, w, h, 6)
	for i := 1; i*22 < int(w)-8; i++ {
		xx := x + float64(i)*22
		c.fill(shade(28), rounded(xx, y+10, 6, h-20, 3))
		c.fill(light(90), rounded(xx+6, y+10, 4, h-20, 2))
	}
}

// dial is a gauge from 0 to top with a mark every step; the needle stands at value. redFrom marks the end of the scale.
func (c *canvas) dial(x, y, r, top, step, redFrom, value float64, unit string) {
	c.fill(shade(90), circle(x+r*0.05, y+r*0.09, r*1.08))
	c.fill(rgb(0x5e6368), circle(x, y, r*1.08))
	c.fill(rgb(0xc2c6ca), circle(x-r*0.02, y-r*0.02, r*1.04))
	c.fill(rgb(0xfaf9f4), circle(x, y, r*0.97))
	at := func(v, k float64) point {
		a := (225 - 270*v/top) * math.Pi / 180
		return pt(x+r*k*math.Cos(a), y-r*k*math.Sin(a))
	}
	var arc []point
	for i := range 31 {
		arc = append(arc, at(redFrom+(top-redFrom)*float64(i)/30, 0.88))
	}
	c.line(rgb(0xcf3a32), r*0.05, arc...)
	for i := 0; float64(i)*step/5 <= top+1e-9; i++ {
		v := float64(i) * step / 5
		inner, w := 0.82, r*0.012
		if i%5 == 0 {
			inner, w = 0.74, r*0.025
			p := at(v, 0.6)
			c.text(black, int(r*0.15), false, p.x, p.y, strconv.FormatFloat(v, 'f', -1, 64))
		}
		c.line(black, w, at(v, inner), at(v, 0.9))
	}
	c.text(black, int(r*0.16), true, x, y+r*0.42, unit)
	c.text(rgb(0x6a6d70), int(r*0.08), false, x, y+r*0.62, "class 1.6")
	tip, tail := at(value, 0.8), at(value, -0.2)
	c.line(shade(60), r*0.04, pt(tail.x+r*0.03, tail.y+r*0.05), pt(tip.x+r*0.03, tip.y+r*0.05))
	c.line(black, r*0.035, tail, tip)
	c.fill(rgb(0x303336), circle(x, y, r*0.08))
	c.fill(light(30), ellipse(x-r*0.25, y-r*0.4, r*0.5, r*0.3))
}

// display is a hand-held instrument with digits and a unit.
func (c *canvas) display(col color.RGBA, x, y, w, h float64, digits, unit, name string) {
	c.box(col, x, y, w, h, w*0.09)
	c.box(rgb(0x2b2e31), x+w*0.08, y+h*0.08, w*0.84, h*0.34, w*0.04)
	c.fill(rgb(0xb9c7ae), rounded(x+w*0.12, y+h*0.11, w*0.76, h*0.27, 6))
	c.fit(rgb(0x1c241c), int(h*0.19), true, x+w*0.42, y+h*0.25, w*0.54, digits)
	c.fit(rgb(0x1c241c), int(h*0.075), true, x+w*0.78, y+h*0.33, w*0.17, unit)
	c.fit(white, int(h*0.05), true, x+w*0.5, y+h*0.47, w*0.85, name)
	cx, cy := x+w*0.5, y+h*0.69
	c.fill(rgb(0x202326), circle(cx, cy, w*0.25))
	c.fill(rgb(0x3d4246), circle(cx, cy, w*0.21))
	c.line(white, w*0.03, pt(cx, cy), pt(cx-w*0.1, cy-w*0.16))
	for i := range 7 {
		a := (210 - 40*float64(i)) * math.Pi / 180
		c.fill(white, circle(cx+w*0.3*math.Cos(a), cy-w*0.3*math.Sin(a), w*0.014))
	}
	for i := range 3 {
		px, py := x+w*(0.25+0.25*float64(i)), y+h*0.93
		c.fill(black, circle(px, py, w*0.055))
		c.fill([]color.RGBA{red, rgb(0x555555), rgb(0x2d6b3c)}[i], circle(px, py, w*0.035))
	}
}

// lead is a test lead from a to b that hangs through.
func (c *canvas) lead(col color.RGBA, width float64, a, b point, sag float64) {
	ps := curve(a, pt(a.x, a.y+sag), pt(b.x, b.y+sag), b)
	moved := make([]point, len(ps))
	for i, p := range ps {
		moved[i] = pt(p.x+width*0.6, p.y+width)
	}
	c.fill(shade(60), stroke(width, moved...)...)
	c.fill(tone(col, 0.7), stroke(width, ps...)...)
	c.fill(tone(col, 1.05), stroke(width*0.5, ps...)...)
}

// tag is a paper tag on a string with up to four lines in a hand.
func (c *canvas) tag(x, y, w, h float64, col color.RGBA, lines ...string) {
	c.fill(shade(80), rounded(x+6, y+9, w, h, 10))
	c.fill(col, rounded(x, y, w, h, 10))
	c.fill(rgb(0x6b665a), circle(x+w/2, y+h*0.08, h*0.045))
	for i, s := range lines {
		size := int(h * 0.115)
		if i == 0 {
			size = int(h * 0.14)
		}
		c.fit(ink, size, i == 0, x+w/2, y+h*(0.26+0.19*float64(i)), w*0.88, s)
	}
}

// padlock hangs from (x, y).
func (c *canvas) padlock(x, y, s float64) {
	ps := curve(pt(x-s*0.32, y+s*0.7), pt(x-s*0.4, y-s*0.25), pt(x+s*0.4, y-s*0.25), pt(x+s*0.32, y+s*0.7))
	c.fill(tone(steel, 0.6), stroke(s*0.17, ps...)...)
	c.fill(tone(steel, 1.1), stroke(s*0.08, ps...)...)
	c.box(red, x-s*0.6, y+s*0.55, s*1.2, s*0.95, s*0.12)
	c.fill(tone(brass, 0.9), circle(x, y+s*0.98, s*0.13))
	c.fill(black, rect(x-s*0.025, y+s*0.95, s*0.05, s*0.18))
}
