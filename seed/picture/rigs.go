package picture

import (
	"fmt"
	"math/rand/v2"
)

// scenes says how each scene is drawn. It is filled here and never changed.
var scenes = map[Scene]func(*canvas, Shot, *rand.Rand){
	RigBefore: (*canvas).rigBefore, RigAfter: (*canvas).rigAfter, RigSealed: (*canvas).rigSealed, Coil: (*canvas).coil,
	PumpClose: (*canvas).pumpClose, Lock: (*canvas).lock, Spur: (*canvas).spur, Sketch: (*canvas).sketch,
	Joints: (*canvas).joints, Arrangement: (*canvas).arrangement, Dials: (*canvas).dials, Cistern: (*canvas).cistern,
	Vessel: (*canvas).vessel, Gauge: (*canvas).gauge, HotGauge: (*canvas).hotGauge, Loop: (*canvas).loop,
	CentreShut: (*canvas).centreShut, CentreOpen: (*canvas).centreOpen, Tester: (*canvas).tester, Lamps: (*canvas).lamps,
	Sheet: (*canvas).sheet,
}

// frame is the rig's uprights, its deck and its number.
func (c *canvas) frame() {
	for _, x := range []float64{70, 1190} {
		c.fill(shade(60), rect(x+8, 40, 26, 880))
		c.column(rgb(0x5b6066), x, 40, 26, 880)
	}
	c.box(rgb(0x5b6066), 60, 214, 1165, 18, 2)
	c.box(rgb(0x5b6066), 60, 884, 1165, 20, 2)
	c.plate(640, 80, 34, "BAY 7")
}

// boiler is the electric boiler with its controls.
func (c *canvas) boiler(x, y float64) {
	c.box(white, x, y, 170, 250, 10)
	c.fill(rgb(0x2f3337), rounded(x+25, y+165, 120, 46, 6))
	c.fill(rgb(0x77c08a), circle(x+45, y+188, 6))
	c.text(white, 15, false, x+98, y+188, "9 kW")
	c.text(rgb(0x55595d), 17, true, x+85, y+110, "boiler")
}

// radiators are the rig's three with their mains in the given tube.
func (c *canvas) radiators(width float64) {
	c.run(width, pt(465, 345), pt(465, 845))
	c.run(width, pt(500, 380), pt(500, 845), pt(465, 845))
	for i := range 3 {
		y := 325 + float64(i)*128
		c.radiator(560, y, 190, 92)
		c.tube(copper, 9, pt(465, y+78), pt(560, y+78))
		c.tube(copper, 9, pt(500, y+104), pt(720, y+104), pt(720, y+92))
		c.fill(rgb(0xf2f0ea), rounded(540, y+66, 22, 30, 6))
	}
}

func (c *canvas) tank(x, y float64) {
	c.box(rgb(0x2b2d2f), x, y, 190, 90, 8)
	c.box(rgb(0x3a3d40), x-8, y-14, 206, 22, 6)
	c.text(rgb(0xb8bbbd), 15, false, x+95, y+52, "feed and expansion")
}

func (c *canvas) hotStore(r *rand.Rand) {
	c.cylinder(mix(foam, rgb(0x3d6e94), r.Float64()), 900, 330, 200, 480)
	c.fill(rgb(0xf5f3ec), circle(1000, 590, 26))
	c.fill(rgb(0x303336), circle(1000, 590, 20))
	c.line(red, 3, pt(1000, 590), pt(1009, 577))
	c.plate(1000, 660, 14, "117 L")
}

func (c *canvas) rigBefore(_ Shot, r *rand.Rand) {
	c.frame()
	c.tank(690, 120)
	// Gravity circuit in 28 mm: flow rises to the coil, return falls back.
	c.run(22, pt(250, 560), pt(250, 430), pt(900, 430))
	c.run(22, pt(900, 740), pt(330, 740), pt(330, 690))
	c.run(13, pt(250, 430), pt(250, 150), pt(300, 110), pt(690, 128)) // open vent
	c.run(12, pt(720, 210), pt(720, 262), pt(380, 262), pt(380, 740)) // cold feed
	c.radiators(15)
	c.run(15, pt(290, 560), pt(290, 500), pt(465, 500))
	c.run(15, pt(350, 690), pt(350, 845), pt(465, 845))
	c.pump(405, 500, 30, false)
	c.cock(15, 352, 500, false, true)
	c.cock(15, 448, 500, false, true)
	c.boiler(190, 560)
	c.hotStore(r)
	c.plate(800, 402, 16, "28 mm gravity flow")
	c.plate(640, 768, 16, "28 mm gravity return")
}

// pumped is the pipework after the change; top draws what hangs above it.
func (c *canvas) pumped(r *rand.Rand, top func()) {
	c.frame()
	top()
	c.run(17, pt(250, 560), pt(250, 300), pt(560, 300))
	c.run(15, pt(560, 300), pt(820, 300), pt(820, 430), pt(905, 430))
	c.run(15, pt(500, 300), pt(465, 330), pt(465, 520))
	c.radiators(15)
	c.run(17, pt(905, 740), pt(330, 740), pt(330, 690))
	c.run(15, pt(465, 845), pt(400, 845), pt(400, 740))
	c.pump(345, 300, 32, false)
	c.cock(17, 290, 300, false, true)
	c.cock(17, 400, 300, false, true)
	c.midValve(520, 300, 36)
	c.boiler(190, 560)
	c.hotStore(r)
	for _, x := range []float64{620, 740} {
		c.clip(15, x, 300, false)
	}
	for _, x := range []float64{480, 600, 720, 840} {
		c.clip(17, x, 740, false)
	}
	c.plate(690, 275, 14, "hot water flow")
	c.plate(650, 768, 14, "return, cylinder last")
	c.plate(300, 345, 14, "flow")
}

func (c *canvas) rigAfter(s Shot, r *rand.Rand) {
	c.pumped(r, func() {
		c.tank(690, 120)
		c.run(13, pt(250, 330), pt(250, 150), pt(300, 110), pt(690, 128))
		c.run(12, pt(720, 210), pt(720, 250), pt(268, 250), pt(268, 300))
	})
	if s.Number%3 == 0 { // some leave their tape on the deck
		c.box(yellow, 1010, 180, 56, 34, 8)
	}
}

func (c *canvas) rigSealed(_ Shot, r *rand.Rand) {
	c.pumped(r, func() {})
	c.run(13, pt(195, 700), pt(150, 700), pt(150, 480))
	c.fill(shade(80), ellipse(156, 408, 58, 84))
	c.fill(tone(red, 0.8), ellipse(150, 400, 58, 84))
	c.fill(red, ellipse(148, 396, 52, 78))
	c.fill(light(40), ellipse(132, 370, 16, 34))
	c.dial(150, 590, 40, 4, 1, 3, 1.2, "bar")
}

func (c *canvas) coil(_ Shot, r *rand.Rand) {
	col := mix(foam, rgb(0x3d6e94), r.Float64())
	c.cylinder(col, 560, 40, 560, 900)
	for i, y := range []float64{330, 690} {
		c.run(54, pt(20, y), pt(420, y), pt(590, y))
		c.sleeve(brass, 62, 540, y, false)
		c.clip(54, 200, y, false)
		c.plate(240, y-80, 26, []string{"coil flow, 28 mm", "coil return, 28 mm"}[i])
	}
	c.box(white, 780, 470, 150, 100, 10)
	c.text(black, 24, true, 855, 505, fmt.Sprintf("%d °C", 55+r.IntN(8)))
	c.text(rgb(0x666666), 17, false, 855, 545, "cylinder stat")
}

func (c *canvas) cistern(_ Shot, r *rand.Rand) {
	c.box(rgb(0x2b2d2f), 330, 260, 560, 350, 14)
	c.box(rgb(0x3a3d40), 305, 215, 610, 60, 12)
	c.text(rgb(0xc8cacc), 30, true, 610, 430, "feed and expansion")
	c.text(rgb(0xa8aaac), 22, false, 610, 480, fmt.Sprintf("%d L", 18+r.IntN(3)))
	c.run(34, pt(180, 960), pt(180, 120), pt(430, 120), pt(430, 215))
	c.plate(180, 330, 26, "open vent")
	c.run(28, pt(790, 610), pt(790, 960))
	c.plate(930, 800, 26, "cold feed")
	c.run(22, pt(1280, 360), pt(890, 360))
	c.cock(22, 1060, 360, false, false)
	c.clip(34, 180, 560, true)
	c.clip(28, 790, 720, true)
}
