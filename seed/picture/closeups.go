package picture

import (
	"fmt"
	"math/rand/v2"
)

func (c *canvas) pumpClose(s Shot, r *rand.Rand) {
	c.run(56, pt(640, 970), pt(640, -20))
	c.cock(56, 640, 860, true, true)
	c.cock(56, 640, 130, true, true)
	c.tube(brass, 92, pt(640, 700), pt(640, 745))
	c.tube(brass, 92, pt(640, 250), pt(640, 295))
	c.pump(640, 495, 205, true)
	c.text(white, 30, true, 640, 585, fmt.Sprintf("setting %d", 1+r.IntN(3)))
	c.plate(240, 480, 30, "pump, "+[]string{"45 W", "42 W", "38 W"}[s.Number%3])
	c.clip(56, 640, 40, true)
}

// plateSpur is a fused spur on its back box; off has its carrier out.
func (c *canvas) plateSpur(x, y, s float64, off bool) {
	c.box(white, x, y, s, s, s*0.05)
	for _, dx := range []float64{0.08, 0.92} {
		c.fill(rgb(0xb9b6ae), circle(x+s*dx, y+s*0.5, s*0.03))
		c.line(rgb(0x77746d), s*0.008, pt(x+s*(dx-0.02), y+s*0.5), pt(x+s*(dx+0.02), y+s*0.5))
	}
	c.fill(rgb(0xcfccc4), rounded(x+s*0.2, y+s*0.3, s*0.26, s*0.4, 6))
	if off {
		c.fill(rgb(0xe8e5de), rounded(x+s*0.22, y+s*0.5, s*0.22, s*0.18, 5))
		c.fill(rgb(0x1d1d1d), rounded(x+s*0.58, y+s*0.36, s*0.26, s*0.28, 4))
	} else {
		c.fill(rgb(0xf4f2ec), rounded(x+s*0.22, y+s*0.32, s*0.22, s*0.18, 5))
		c.fill(rgb(0xcf3a32), rect(x+s*0.27, y+s*0.51, s*0.12, s*0.03))
		c.fill(rgb(0xe3e0d8), rounded(x+s*0.58, y+s*0.36, s*0.26, s*0.28, 4))
		c.text(black, int(s*0.07), true, x+s*0.71, y+s*0.5, "FUSE")
	}
	c.text(rgb(0x55524c), int(s*0.055), true, x+s*0.5, y+s*0.88, "BAY 7 CONTROLS")
}

func (c *canvas) spur(_ Shot, r *rand.Rand) {
	c.lead(rgb(0xd9d7d0), 30, pt(640, 700), pt(660, 1000), 60)
	c.plateSpur(420, 230, 440, false)
	c.plate(640, 170, 26, []string{"fuse found: 13 A", "fuse found: 5 A", "fuse found: 13 A"}[r.IntN(3)])
}

func (c *canvas) lock(s Shot, _ *rand.Rand) {
	c.plateSpur(300, 180, 440, true)
	// The hasp that keeps the switch down, the lock through it, the tag on the lock.
	c.box(rgb(0x33373b), 360, 420, 150, 34, 6)
	c.padlock(440, 420, 92)
	c.lead(rgb(0xd9d2b8), 6, pt(470, 560), pt(880, 330), 120)
	name := s.Name
	if name == "" {
		name = "tag"
	}
	c.tag(800, 300, 330, 430, yellow, "DO NOT SWITCH ON", name, "Bay 7, spur", s.Date)
	c.box(rgb(0xe3e0d8), 560, 740, 150, 90, 10)
	c.text(black, 20, true, 635, 785, "carrier")
}

func (c *canvas) joints(_ Shot, r *rand.Rand) {
	y := 470.0
	c.run(84, pt(-40, y), pt(640, y), pt(1320, y))
	c.run(84, pt(640, y), pt(640, 1000))
	c.tube(tone(copper, 0.95), 110, pt(540, y), pt(740, y))
	c.tube(tone(copper, 0.95), 110, pt(640, y), pt(640, y+110))
	ring := rgb(0xd7d9db)
	for _, p := range []point{{530, y}, {750, y}} {
		c.line(tone(ring, 0.8), 12, pt(p.x, p.y-52), pt(p.x, p.y+52))
		c.line(ring, 6, pt(p.x-2, p.y-52), pt(p.x-2, p.y+40))
	}
	c.line(tone(ring, 0.8), 12, pt(588, y+122), pt(692, y+122))
	c.line(ring, 6, pt(588, y+119), pt(680, y+119))
	c.clip(84, 250, y, false)
	c.clip(84, 1040, y, false)
	// A little flux stain where somebody wiped late.
	if r.IntN(3) == 0 {
		c.fill(color3(0x5d8f6a, 90), ellipse(800, y+50, 40, 16))
	}
	c.plate(640, 240, 28, "tee to the valve, port AB")
}

func (c *canvas) arrangement(s Shot, _ *rand.Rand) {
	c.run(44, pt(-20, 560), pt(1300, 560))
	c.run(34, pt(200, 560), pt(200, -20))
	c.run(30, pt(200+gap(s), 560), pt(200+gap(s), -20))
	c.plate(110, 150, 24, "vent")
	c.plate(330+gap(s), 150, 24, "cold feed")
	// The tape, every ten millimetres a line: 2.2 pixels are a millimetre.
	c.box(yellow, 180, 640, 480, 44, 4)
	for i := range 22 {
		x := 200 + float64(i)*22
		h := 12.0
		if i%5 == 0 {
			h = 24
			c.text(black, 17, false, x, 674, fmt.Sprint(i*10))
		}
		c.line(black, 2, pt(x, 642), pt(x, 642+h))
	}
	c.pump(790, 560, 92, false)
	c.cock(44, 650, 560, false, true)
	c.midValve(1060, 560, 84)
	c.clip(44, 60, 560, false)
}

// gap is the distance between vent and feed in pixels.
func gap(s Shot) float64 { return s.value(0, 120) * 2.2 }

func (c *canvas) dials(s Shot, _ *rand.Rand) {
	c.run(60, pt(250, 1000), pt(250, -20))
	c.box(rgb(0xd5d9dc), 160, 150, 190, 640, 16)
	c.fill(rgb(0xeef4f6), rounded(205, 190, 100, 560, 30))
	q := s.value(0, 9.2)
	at := func(v float64) float64 { return 730 - v/20*520 }
	for i := range 21 {
		y := at(float64(i))
		w := 18.0
		if i%5 == 0 {
			w = 34
			c.text(black, 24, true, 378, y, fmt.Sprint(i))
		}
		c.line(black, 2, pt(352-w, y), pt(350, y))
	}
	c.text(black, 22, true, 255, 815, "L/min")
	c.fill(rgb(0x9fb9c6), rounded(238, at(q), 34, 750-at(q)-10, 10))
	c.fill(red, []point{{226, at(q) - 16}, {284, at(q) - 16}, {255, at(q) + 22}})
	c.display(rgb(0xd98b2b), 520, 230, 230, 420, fmt.Sprintf("%.1f", s.value(1, 68.5)), "°C", "FLOW")
	c.display(rgb(0x2f6f9f), 860, 230, 230, 420, fmt.Sprintf("%.1f", s.value(2, 56.0)), "°C", "RETURN")
	c.lead(black, 10, pt(635, 645), pt(560, 1000), 80)
	c.lead(black, 10, pt(975, 645), pt(1040, 1000), 80)
	c.plate(800, 760, 28, fmt.Sprintf("pump: setting %.0f", s.value(3, 2)))
}

func (c *canvas) vessel(s Shot, _ *rand.Rand) {
	c.run(46, pt(-20, 760), pt(1300, 760))
	c.run(34, pt(340, 760), pt(340, 560))
	c.fill(shade(90), ellipse(355, 330, 205, 255))
	for i := range 14 {
		k := float64(i) / 14
		c.fill(mix(tone(red, 0.65), tone(red, 1.25), k), ellipse(340-30*k, 310-40*k, 205*(1-k*0.75), 255*(1-k*0.75)))
	}
	c.line(tone(red, 0.5), 7, pt(137, 325), pt(543, 325))
	c.box(rgb(0xe8e6df), 250, 380, 180, 96, 6)
	c.text(black, 24, true, 340, 410, fmt.Sprintf("%.0f L", s.value(0, 12)))
	c.text(black, 17, false, 340, 445, "max 3 bar, 90 °C")
	c.run(34, pt(720, 760), pt(720, 590))
	c.dial(720, 430, 140, 4, 1, 3, s.value(1, 0), "bar")
	c.run(34, pt(1020, 760), pt(1020, 600))
	c.box(brass, 975, 500, 90, 130, 12)
	c.box(red, 960, 420, 120, 84, 16)
	c.text(white, 24, true, 1020, 462, "3 bar")
	c.run(30, pt(1065, 590), pt(1170, 620), pt(1170, 760))
	c.fill(rgb(0xe9e9e4), []point{{1130, 770}, {1210, 770}, {1185, 850}, {1155, 850}})
	c.run(30, pt(1170, 850), pt(1170, 1000))
	c.clip(46, 560, 760, false)
}

func (c *canvas) gauge(s Shot, _ *rand.Rand) {
	c.run(54, pt(640, 1000), pt(640, 740))
	c.sleeve(brass, 62, 640, 830, true)
	c.dial(640, 420, 330, 10, 1, 6, s.value(0, 4.6), "bar")
	if s.Name != "" {
		c.tag(1010, 520, 230, 300, paper, s.Name, "Bay 7", s.Date, "30 min")
	}
}

func (c *canvas) hotGauge(s Shot, _ *rand.Rand) {
	c.run(54, pt(420, 1000), pt(420, 700))
	c.dial(420, 430, 270, 4, 1, 3, s.value(0, 1.6), "bar")
	c.display(rgb(0xd98b2b), 870, 220, 270, 490, fmt.Sprintf("%.1f", s.value(1, 79.5)), "°C", "FLOW")
	c.lead(black, 11, pt(1005, 700), pt(900, 1000), 90)
}

func (c *canvas) loop(s Shot, _ *rand.Rand) {
	c.run(40, pt(-20, 330), pt(420, 330))
	c.run(40, pt(1300, 330), pt(860, 330))
	for i, x := range []float64{330, 950} {
		c.cock(40, x, 330, false, false)
		c.sleeve(rgb(0x2b2d30), 46, x+90-180*float64(i), 330, false)
	}
	// The braided hose hangs coiled from its hook.
	ps := curve(pt(560, 520), pt(480, 900), pt(900, 900), pt(740, 510))
	c.fill(shade(70), stroke(36, ps...)...)
	c.fill(tone(steel, 0.65), stroke(34, ps...)...)
	for i, p := range ps {
		if i%2 == 0 {
			c.fill(tone(steel, 1.15), circle(p.x-3, p.y-3, 11))
		}
	}
	c.sleeve(brass, 40, 560, 510, true)
	c.sleeve(brass, 40, 740, 500, true)
	c.tag(930, 520, 280, 330, paper, "INHIBITOR", fmt.Sprintf("%.0f × 0.5 L", s.value(0, 1)), s.Name, s.Date)
}
