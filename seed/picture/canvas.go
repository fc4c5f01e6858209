// Package picture draws what a trainee would photograph at a practice rig: the rig from afar, a pump, a gauge with its
// needle, a lock with its tag, an open wiring centre. They are drawings, made so that the demonstration has pictures of
// its own to show; none of them is taken from anywhere.
//
// The same shot always gives the same pixels.
package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Width and Height are those of every picture, in pixels, before it is turned. A million of them is enough to read a
// label by, and drawn in a moment.
const (
	Width  = 1120
	Height = 840
)

// Scenes are laid out on a sheet of 1280 by 960, which scale brings to the picture's size.
const scale = Width / 1280.0

// point is a place on the sheet.
type point struct{ x, y float64 }

func pt(x, y float64) point { return point{x, y} }

// canvas is a picture that is being drawn. Shapes are opaque unless their colour is not.
type canvas struct {
	img *image.RGBA
	dx  float64 // everything is shifted, as no two people stand at the same place
	dy  float64
}

func newCanvas() *canvas { return &canvas{img: image.NewRGBA(image.Rect(0, 0, Width, Height))} }

// pixel is where a point of the sheet lies in the picture.
func (c *canvas) pixel(p point) (x, y float64) { return (p.x + c.dx) * scale, (p.y + c.dy) * scale }

func rgb(hex uint32) color.RGBA {
	return color.RGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

// shade is black of the given strength, 0 to 255.
func shade(a uint8) color.RGBA { return color.RGBA{0, 0, 0, a} }

// light is white of the given strength, 0 to 255.
func light(a uint8) color.RGBA { return color.RGBA{a, a, a, a} }

// mix goes from a to b as t goes from 0 to 1.
func mix(a, b color.RGBA, t float64) color.RGBA {
	f := func(x, y uint8) uint8 { return uint8(float64(x) + (float64(y)-float64(x))*t) }
	return color.RGBA{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B), 255}
}

// fill fills closed outlines, all wound the same way, as one shape.
func (c *canvas) fill(col color.RGBA, outlines ...[]point) {
	if col.A == 255 && len(outlines) > 1 {
		for _, o := range outlines { // opaque paint may go over itself, and each part has a small box of its own
			c.fill(col, o)
		}
		return
	}
	if len(outlines) == 1 && upright(outlines[0]) {
		// A rectangle along the pixels needs no rasteriser; the fraction of a pixel at its edges is not seen.
		x0, y0 := c.pixel(outlines[0][0])
		x1, y1 := c.pixel(outlines[0][2])
		box := image.Rect(int(math.Round(x0)), int(math.Round(y0)), int(math.Round(x1)), int(math.Round(y1)))
		draw.Draw(c.img, box, image.NewUniform(col), image.Point{}, draw.Over)
		return
	}
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, o := range outlines {
		for _, p := range o {
			x, y := c.pixel(p)
			minX, maxX = min(minX, x), max(maxX, x)
			minY, maxY = min(minY, y), max(maxY, y)
		}
	}
	box := image.Rect(int(minX)-1, int(minY)-1, int(maxX)+2, int(maxY)+2)
	if box.Empty() || box.Dx() > 8*Width || box.Dy() > 8*Height {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, o := range outlines {
		for i, p := range o {
			px, py := c.pixel(p)
			x, y := float32(px-float64(box.Min.X)), float32(py-float64(box.Min.Y))
			if i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	part := box.Intersect(c.img.Bounds())
	if part != box { // the rasteriser wants its whole box
		tmp := image.NewRGBA(box)
		draw.Draw(tmp, part, c.img, part.Min, draw.Src)
		r.Draw(tmp, box, image.NewUniform(col), image.Point{})
		draw.Draw(c.img, part, tmp, part.Min, draw.Src)
		return
	}
	r.Draw(c.img, box, image.NewUniform(col), image.Point{})
}

// upright says whether an outline is a rectangle as rect makes it, at least a pixel each way.
func upright(o []point) bool {
	return len(o) == 4 && o[0].y == o[1].y && o[1].x == o[2].x && o[2].y == o[3].y && o[3].x == o[0].x && o[2].x-o[0].x >= 2 && o[2].y-o[0].y >= 2
}

func rect(x, y, w, h float64) []point {
	return []point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// rounded is a rectangle with corners of radius r.
func rounded(x, y, w, h, r float64) []point {
	r = min(r, w/2, h/2)
	var ps []point
	for i, corner := range []point{{x + w - r, y + r}, {x + w - r, y + h - r}, {x + r, y + h - r}, {x + r, y + r}} {
		for k := range 7 {
			a := (float64(i)-1)*math.Pi/2 + float64(k)/6*math.Pi/2
			ps = append(ps, point{corner.x + r*math.Cos(a), corner.y + r*math.Sin(a)})
		}
	}
	return ps
}

func ellipse(x, y, rx, ry float64) []point {
	n := int(min(max(12, rx+ry), 90))
	ps := make([]point, n)
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		ps[i] = point{x + rx*math.Cos(a), y + ry*math.Sin(a)}
	}
	return ps
}

func circle(x, y, r float64) []point { return ellipse(x, y, r, r) }

// stroke is the outline of a line of the given width through the points, with round joins.
func stroke(width float64, ps ...point) [][]point {
	var out [][]point
	h := width / 2
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		l := math.Hypot(b.x-a.x, b.y-a.y)
		if l == 0 {
			continue
		}
		nx, ny := -(b.y-a.y)/l*h, (b.x-a.x)/l*h
		// The same way round as ellipse, so that the parts add up and do not cancel.
		out = append(out, []point{{a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}, {a.x + nx, a.y + ny}})
	}
	for _, p := range ps {
		out = append(out, circle(p.x, p.y, h))
	}
	return out
}

func (c *canvas) line(col color.RGBA, width float64, ps ...point) {
	c.fill(col, stroke(width, ps...)...)
}

// curve is points on the cubic from a to b with its two handles.
func curve(a, ha, hb, b point) []point {
	const n = 24
	ps := make([]point, n+1)
	for i := range n + 1 {
		t := float64(i) / n
		u := 1 - t
		k0, k1, k2, k3 := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		ps[i] = point{k0*a.x + k1*ha.x + k2*hb.x + k3*b.x, k0*a.y + k1*ha.y + k2*hb.y + k3*b.y}
	}
	return ps
}

// column fills a box with a horizontal run of tones, dark at the sides, like a round thing standing in side light.
func (c *canvas) column(col color.RGBA, x, y, w, h float64) {
	const n = 24
	for i := range n {
		t := (float64(i) + 0.5) / n
		k := math.Sin(math.Pi*t)*0.85 + 0.25*math.Exp(-math.Pow((t-0.33)/0.1, 2))
		c.fill(tone(col, 0.5+0.55*k), rect(x+w*float64(i)/n, y, w/n+0.6, h))
	}
}

// tone makes a colour darker (below 1) or lighter (above).
func tone(col color.RGBA, k float64) color.RGBA {
	if k > 1 {
		return mix(col, rgb(0xffffff), min((k-1)*1.2, 1))
	}
	return mix(rgb(0x000000), col, max(k, 0))
}

var fontData = sync.OnceValues(func() (map[bool]*opentype.Font, error) {
	regular, err := opentype.Parse(dejavusans.TTF)
	if err != nil {
		return nil, fmt.Errorf("read the labels' font: %w", err)
	}
	bold, err := opentype.Parse(dejavusansbold.TTF)
	if err != nil {
		return nil, fmt.Errorf("read the labels' font: %w", err)
	}
	return map[bool]*opentype.Font{false: regular, true: bold}, nil
})

// text writes s with its middle at (x, y), size pixels high.
func (c *canvas) text(col color.RGBA, size int, bold bool, x, y float64, s string) {
	c.fit(col, size, bold, x, y, 1280, s)
}

// fit is text that is written smaller where it would be wider than w.
func (c *canvas) fit(col color.RGBA, size int, bold bool, x, y, w float64, s string) {
	fonts, err := fontData()
	if err != nil {
		return // the embedded fonts are tested; a label less is no reason to draw nothing
	}
	for {
		face, err := opentype.NewFace(fonts[bold], &opentype.FaceOptions{Size: float64(size) * scale, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			return
		}
		d := font.Drawer{Dst: c.img, Src: image.NewUniform(col), Face: face}
		wide := d.MeasureString(s)
		if full := float64(wide) / 64 / scale; full > w && size > 6 {
			size = min(int(float64(size)*w/full), size-1)
			continue
		}
		px, py := c.pixel(pt(x, y+float64(size)*0.36))
		d.Dot = fixed.Point26_6{X: fixed.Int26_6(px*64) - wide/2, Y: fixed.Int26_6(py * 64)}
		d.DrawString(s)
		return
	}
}
