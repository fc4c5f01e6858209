package picture

import (
	"hash/fnv"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
)

// Scene names what is in a picture.
type Scene string

// The scenes.
const (
	RigBefore   Scene = "rig-before"  // gravity hot water, cistern above
	RigAfter    Scene = "rig-after"   // fully pumped
	RigSealed   Scene = "rig-sealed"  // cistern gone, vessel on the return
	Coil        Scene = "coil"        // the cylinder's connections
	PumpClose   Scene = "pump"        // pump between its isolating valves
	Lock        Scene = "lock"        // spur off, locked, tagged
	Spur        Scene = "spur"        // spur as found
	Sketch      Scene = "sketch"      // the trainee's sketch
	Joints      Scene = "joints"      // soldered joints close up
	Arrangement Scene = "arrangement" // vent, feed, pump and valve
	Dials       Scene = "dials"       // flow meter and two thermometers
	Cistern     Scene = "cistern"     // feed and expansion cistern
	Vessel      Scene = "vessel"      // vessel, gauge, safety valve
	Gauge       Scene = "gauge"       // one gauge, its needle at Value bar
	HotGauge    Scene = "hot-gauge"   // gauge and thermometer
	Loop        Scene = "loop"        // filling loop off
	CentreShut  Scene = "centre-shut" // wiring centre, cover on
	CentreOpen  Scene = "centre-open" // wiring centre, cover off
	Tester      Scene = "tester"      // insulation tester
	Lamps       Scene = "lamps"       // test lamps and valve
	Sheet       Scene = "sheet"       // wiring sheet
)

// Scenes lists every scene.
func Scenes() []Scene {
	return []Scene{RigBefore, RigAfter, RigSealed, Coil, PumpClose, Lock, Spur, Sketch, Joints, Arrangement, Dials, Cistern,
		Vessel, Gauge, HotGauge, Loop, CentreShut, CentreOpen, Tester, Lamps, Sheet}
}

// Shot is one picture to be drawn.
type Shot struct {
	Scene  Scene
	Number int       // another number is another trainee's rig, light and place to stand
	Values []float64 // what needles and displays show, in the scene's order; missing ones are invented
	Name   string    // on the tag or sheet
	Date   string    // on the tag or sheet, as it is written there
}

// value is the i-th value, or fallback.
func (s Shot) value(i int, fallback float64) float64 {
	if i < len(s.Values) {
		return s.Values[i]
	}
	return fallback
}

// Draw draws a shot, Width by Height pixels.
func Draw(s Shot) *image.RGBA {
	h := fnv.New64a()
	h.Write([]byte(s.Scene)) // never fails
	r := rand.New(rand.NewPCG(h.Sum64(), uint64(s.Number)+1))
	c := newCanvas()
	c.background(s.Scene, r)
	c.dx, c.dy = float64(r.IntN(61)-30), float64(r.IntN(41)-20)
	if draw, ok := scenes[s.Scene]; ok {
		draw(c, s, r)
	}
	c.finish(r)
	return c.img
}

// background is the plywood board of the rig, or the bench for what lies on it.
func (c *canvas) background(s Scene, r *rand.Rand) {
	base := []color.RGBA{rgb(0xc9a877), rgb(0xbf9c6c), rgb(0xd2b287)}[r.IntN(3)]
	along := 0.0022
	switch s {
	case Sketch, Sheet, Tester:
		base = rgb(0x7b7f82) // the bench's steel top
		along = 0.004
	case RigBefore, RigAfter, RigSealed, Cistern:
		base = mix(base, rgb(0xe6dfd2), 0.45) // seen from further away
	}
	offset := r.Float64() * 100
	rows := make([][4]uint8, Height) // the grain's colours, from one edge of the board to the other
	for y := range rows {
		v := 7*math.Sin(float64(y)*0.021+offset) + 5*math.Sin(float64(y)*0.13+offset*2) + 4*math.Sin(float64(y)*0.71+offset*3)
		rows[y] = [4]uint8{clamp(float64(base.R) + v), clamp(float64(base.G) + v*0.95), clamp(float64(base.B) + v*0.8), 255}
	}
	bend := make([]int, Width) // it wanders: the row that is looked up bends along the board
	for x := range bend {
		bend[x] = Height + int(26*math.Sin(float64(x)*along+offset)+9*math.Sin(float64(x)*along*3.7))
	}
	for y := range Height {
		line := c.img.Pix[y*c.img.Stride : y*c.img.Stride+4*Width]
		for x := range Width {
			at := y + bend[x]
			for at >= Height {
				at -= Height
			}
			copy(line[4*x:4*x+4], rows[at][:])
		}
	}
}

func clamp(v float64) uint8 {
	return uint8(min(max(v, 0), 255))
}

// finish lays light, the lens's fall-off and a sensor's grain over the drawing.
func (c *canvas) finish(r *rand.Rand) {
	warm, bright := r.Float64()*0.1-0.05, 0.94+r.Float64()*0.12
	side := r.Float64()*0.16 - 0.08 // which side the lamp stands on
	state := r.Uint32() | 1
	columns := make([]float64, Width)
	for x := range columns {
		u := float64(x)/Width - 0.5
		columns[x] = (bright*(1+side*u*2) - 0.28*u*u) * 4096
	}
	red, blue := int32(4096*(1+warm)), int32(4096*(1-warm))
	for y := range Height {
		u := float64(y)/Height - 0.5
		fall := 1 - 0.26*u*u - 0.05*u
		line := c.img.Pix[y*c.img.Stride : y*c.img.Stride+4*Width]
		for x := range Width {
			k := int32(columns[x] * fall) // of 4096
			state ^= state << 13
			state ^= state >> 17
			state ^= state << 5
			grain := (int32(state&15) - 8 + int32(state>>8&7) - 4) / 2
			p := line[4*x : 4*x+3 : 4*x+3]
			p[0] = bounded((int32(p[0])*(k*red>>12))>>12 + grain)
			p[1] = bounded((int32(p[1])*k)>>12 + grain)
			p[2] = bounded((int32(p[2])*(k*blue>>12))>>12 + grain)
		}
	}
}

func bounded(v int32) uint8 { return uint8(min(max(v, 0), 255)) }
