package picture

import (
	"fmt"
	"image/color"
	"math/rand/v2"
)

// color3 is a translucent colour, a from 0 to 255.
func color3(hex uint32, a uint8) color.RGBA {
	k := func(v uint32) uint8 { return uint8(v & 255 * uint32(a) / 255) }
	return color.RGBA{k(hex >> 16), k(hex >> 8), k(hex), a}
}

// cores are the colours of conductors as the wiring centre has them.
func cores() []color.RGBA {
	return []color.RGBA{rgb(0x7a4a2b), rgb(0x2f63a8), rgb(0x4f9b45), rgb(0x8a8d90), rgb(0xe9e7e0), rgb(0xd9772b), rgb(0x1d1d1f)}
}

func (c *canvas) cables(y float64) {
	for i := range 5 {
		x := 330 + float64(i)*155
		c.lead(rgb(0xd8d6cf), 34, pt(x, y), pt(x+20-10*float64(i), 1010), 40)
		c.fill(rgb(0x34373a), rounded(x-32, y-26, 64, 52, 8))
		c.plate(x+6, y+104, 15, []string{"spur", "boiler", "pump", "valve", "stats"}[i])
	}
}

func (c *canvas) centreShut(_ Shot, r *rand.Rand) {
	c.cables(640)
	c.box(rgb(0xdedcd5), 240, 210, 790, 420, 14)
	for _, p := range []point{{275, 245}, {995, 245}, {275, 595}, {995, 595}} {
		c.fill(rgb(0x9a978f), circle(p.x, p.y, 11))
		c.line(rgb(0x55534d), 3, pt(p.x-7, p.y), pt(p.x+7, p.y))
	}
	c.text(rgb(0x3a3c3f), 40, true, 635, 360, "WIRING CENTRE")
	c.text(rgb(0x3a3c3f), 26, false, 635, 420, "Bay 7, 230 V")
	c.fill(yellow, []point{{635, 470}, {685, 556}, {585, 556}})
	c.text(black, 46, true, 635, 528, "!")
	if r.IntN(2) == 0 {
		c.plate(905, 180, 18, "checked before use")
	}
}

// terminals is the strip, its clamps numbered from 1.
func (c *canvas) terminals(x, y float64, n int) {
	for i := range n {
		tx := x + float64(i)*66
		c.box(rgb(0xcfd2d4), tx, y, 58, 120, 5)
		for _, dy := range []float64{26, 94} {
			c.fill(rgb(0x6d7073), circle(tx+29, y+dy, 15))
			c.line(rgb(0x2f3133), 4, pt(tx+20, y+dy), pt(tx+38, y+dy))
		}
		c.text(black, 24, true, tx+29, y+60, fmt.Sprint(i+1))
	}
}

func (c *canvas) centreOpen(s Shot, r *rand.Rand) {
	c.cables(800)
	c.box(rgb(0xc8c6bf), 150, 90, 970, 710, 16)
	c.fill(rgb(0xb2b0a9), rounded(175, 115, 920, 660, 10))
	c.terminals(215, 360, 13)
	cs := cores()
	for i := range 13 {
		x := 244 + float64(i)*66
		k := r.IntN(5)
		from := pt(330+float64(k)*155, 775)
		ps := curve(from, pt(from.x, 640), pt(x, 640), pt(x, 470))
		col := cs[(i+k)%len(cs)]
		c.fill(shade(50), stroke(13, shift(ps, 4, 6)...)...)
		c.fill(tone(col, 0.75), stroke(12, ps...)...)
		c.fill(tone(col, 1.05), stroke(6, ps...)...)
	}
	for i := range 6 {
		a, b := 244+float64(i*2)*66, 244+float64((i*2+3)%13)*66
		ps := curve(pt(a, 375), pt(a, 190+float64(i)*18), pt(b, 190+float64(i)*18), pt(b, 375))
		col := cs[(i*2+s.Number)%len(cs)]
		c.fill(tone(col, 0.75), stroke(12, ps...)...)
		c.fill(tone(col, 1.05), stroke(6, ps...)...)
		if i%3 == 1 { // sleeved at both ends against its colour
			c.fill(rgb(0x7a4a2b), stroke(15, ps[:4]...)...)
			c.fill(rgb(0x7a4a2b), stroke(15, ps[len(ps)-4:]...)...)
		}
	}
	c.plate(640, 150, 22, "dead, proved "+s.Date)
}

func shift(ps []point, dx, dy float64) []point {
	out := make([]point, len(ps))
	for i, p := range ps {
		out[i] = pt(p.x+dx, p.y+dy)
	}
	return out
}

func (c *canvas) tester(s Shot, _ *rand.Rand) {
	digits := ">999"
	if len(s.Values) > 0 {
		digits = fmt.Sprintf("%.4g", s.Values[0])
	}
	c.display(rgb(0xc8452f), 420, 90, 440, 780, digits, "MΩ", "INSULATION, 250 V")
	c.lead(red, 18, pt(530, 830), pt(180, 1000), 120)
	c.lead(rgb(0x2b2b2d), 18, pt(640, 830), pt(300, 1000), 160)
	c.tag(950, 240, 250, 240, rgb(0xe4f0e2), "CALIBRATED", "no. 7-014", "due in 5 months")
}

func (c *canvas) lamps(s Shot, _ *rand.Rand) {
	c.box(rgb(0x3b4045), 120, 140, 560, 520, 14)
	c.text(white, 30, true, 400, 190, "BAY 7 TEST LAMPS")
	names := []string{"white", "grey", "orange"}
	for i, name := range names {
		x := 220 + float64(i)*180
		on := i != 1
		if len(s.Values) == 3 {
			on = s.Values[i] > 0
		}
		c.fill(rgb(0x1b1d1f), circle(x, 360, 62))
		col := rgb(0x54483a)
		if on {
			col = rgb(0xffd980)
			c.fill(color3(0xffd980, 60), circle(x, 360, 95))
		}
		c.fill(col, circle(x, 360, 50))
		c.fill(light(70), ellipse(x-14, 342, 18, 12))
		c.text(white, 26, true, x, 470, name)
	}
	c.plate(400, 580, 24, "live, covers on")
	c.run(46, pt(700, 760), pt(1300, 760))
	c.run(46, pt(990, 760), pt(990, 1000))
	c.midValve(990, 760, 120)
	c.text(white, 22, true, 990, 641, "mid")
}

// sketch is a line drawing on squared paper.
func (c *canvas) sketch(s Shot, r *rand.Rand) {
	c.sheetOfPaper(true)
	d := func() float64 { return float64(r.IntN(9) - 4) } // a hand is not a ruler
	c.line(ink, 3, pt(260+d(), 760), pt(262, 300+d()), pt(400, 300), pt(560+d(), 298))
	c.fill(paper, circle(480, 300, 30))
	c.ring(480, 300, 30)
	c.line(ink, 3, pt(468, 286), pt(500, 300), pt(468, 314))
	c.line(ink, 3, pt(330, 300), pt(330+d(), 140))
	c.line(ink, 3, pt(390, 300), pt(390+d(), 140))
	for i, name := range []string{"vent", "feed"} {
		c.text(ink, 22, false, 325+70*float64(i), 120, name)
	}
	c.line(ink, 3, pt(560, 270), pt(560, 330), pt(620, 300), pt(560, 270))
	c.text(ink, 22, false, 545, 250, "AB")
	c.line(ink, 3, pt(620, 300), pt(820+d(), 300), pt(820, 470))
	c.line(ink, 3, pt(590, 316), pt(590, 500), pt(520, 500))
	c.text(ink, 22, false, 655, 280, "B")
	c.text(ink, 22, false, 610, 350, "A")
	c.line(ink, 3, pt(780, 470), pt(940, 470+d()), pt(940, 690), pt(780, 690), pt(780, 470))
	c.text(ink, 24, false, 860, 580, "cylinder")
	c.line(ink, 3, pt(400, 470), pt(520, 470+d()), pt(520, 560), pt(400, 560), pt(400, 470))
	c.text(ink, 24, false, 460, 520, "rads")
	c.line(ink, 3, pt(860, 690), pt(860, 790), pt(330+d(), 790))
	c.line(ink, 3, pt(460, 560), pt(460, 790))
	c.line(ink, 3, pt(210, 700), pt(330, 700), pt(330, 830+d()), pt(210, 830), pt(210, 700))
	c.text(ink, 24, false, 270, 765, "boiler")
	c.text(ink, 24, true, 700, 770, "return: cylinder last")
	size := "22"
	if s.value(0, 22) == 15 {
		size = "15"
	}
	c.text(ink, 24, true, 200, 500, size+" mm")
	c.fit(ink, 26, false, 980, 180, 300, s.Name)
	c.text(ink, 22, false, 980, 220, s.Date)
}

func (c *canvas) ring(x, y, r float64) {
	ps := circle(x, y, r)
	c.line(ink, 3, append(ps, ps[0])...)
}

// sheetOfPaper lies on the bench with its shadow; squared or ruled.
func (c *canvas) sheetOfPaper(squared bool) {
	c.fill(shade(90), rect(122, 62, 1050, 850))
	c.fill(paper, rect(110, 45, 1050, 850))
	rule := rgb(0xcfd8df)
	for y := 75.0; y < 880; y += 30 {
		c.fill(rule, rect(110, y, 1050, 1.5))
	}
	for x := 140.0; x < 1150 && squared; x += 30 {
		c.fill(rule, rect(x, 45, 1.5, 850))
	}
}

func (c *canvas) sheet(s Shot, r *rand.Rand) {
	c.sheetOfPaper(false)
	c.text(ink, 34, true, 430, 100, "Wiring sheet, Bay 7")
	c.fit(ink, 24, false, 930, 90, 320, s.Name)
	c.text(ink, 20, false, 930, 120, s.Date)
	heads := []string{"terminal", "colour", "from", "to"}
	xs := []float64{200, 400, 640, 920}
	rows := [][]string{
		{"1", "brown", "spur L", "programmer L"}, {"2", "blue", "spur N", "pump, valve N"}, {"3", "green/yellow", "spur E", "all metal"},
		{"4", "brown", "programmer HW on", "cyl. stat common"}, {"5", "white", "room stat", "valve white"},
		{"6", "grey", "HW off, cyl. stat sat.", "valve grey"}, {"7", "brown sl.", "programmer CH on", "room stat"},
		{"8", "orange", "valve orange", "boiler, pump L"}, {"9", "brown sl.", "cyl. stat call", "boiler, pump L"},
	}
	for i, h := range heads {
		c.text(ink, 24, true, xs[i], 190, h)
	}
	c.line(ink, 3, pt(130, 215), pt(1130, 215))
	for j, row := range rows {
		y := 255 + float64(j)*62
		for i, cell := range row {
			c.text(ink, 22, false, xs[i]+float64(r.IntN(9)-4), y+float64(r.IntN(7)-3), cell)
		}
		c.line(ink, 1.5, pt(130, y+31), pt(1130, y+31))
	}
	c.text(ink, 22, false, 420, 850, "checked against the diagram in the door")
}
