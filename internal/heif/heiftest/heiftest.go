// Package heiftest has HEIC pictures for tests, and what must be seen on them.
package heiftest

import (
	_ "embed"
	"image"
	"image/color"
	"image/draw"
	"time"
)

//go:generate go run ./draw

// The drawing, held upright, is Width × Height pixels: a quarter of each colour and a black square in the upper left corner,
// so that no turn and no mirror leaves it as it was. Both pictures show it.
const Width, Height = 240, 160

// What the camera of both pictures, which never was, says.
var TakenAt = time.Date(2026, 5, 4, 9, 12, 30, 0, time.FixedZone("", 3600))

// Make and Model are that camera's.
const Make, Model = "Bay camera", "H 1"

// Upright is stored as it is seen, and tells where it was taken. Turned is stored on its side: the file turns it, and its EXIF
// says the same once more, as phones do.
var (
	//go:embed upright.heic
	Upright []byte
	//go:embed turned.heic
	Turned []byte
)

// Seen is a colour that must be seen at a point of the upright picture, both its sides from 0 to 1.
type Seen struct {
	X, Y   float64
	Colour color.RGBA
}

// Points are in the middles of the quarters and in the black corner.
var Points = []Seen{
	{.05, .05, color.RGBA{0, 0, 0, 255}},
	{.30, .30, color.RGBA{200, 30, 30, 255}},
	{.75, .25, color.RGBA{30, 160, 60, 255}},
	{.25, .75, color.RGBA{30, 60, 190, 255}},
	{.75, .75, color.RGBA{230, 210, 40, 255}},
}

// Drawing draws it.
func Drawing() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, Width, Height))
	fill := func(x0, y0, x1, y1 int, c color.RGBA) {
		draw.Draw(img, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Src)
	}
	fill(0, 0, Width/2, Height/2, Points[1].Colour)
	fill(Width/2, 0, Width, Height/2, Points[2].Colour)
	fill(0, Height/2, Width/2, Height, Points[3].Colour)
	fill(Width/2, Height/2, Width, Height, Points[4].Colour)
	fill(0, 0, Width/8, Width/8, Points[0].Colour)
	return img
}

// Differs says where a picture of any size does not show the drawing: at which point it is off by more than within in one of
// its colours, and what is there instead.
func Differs(img image.Image, within int) (at Seen, got color.RGBA, differs bool) {
	size := img.Bounds().Size()
	for _, p := range Points {
		r, g, b, a := img.At(img.Bounds().Min.X+int(p.X*float64(size.X)), img.Bounds().Min.Y+int(p.Y*float64(size.Y))).RGBA()
		got = color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), uint8(a >> 8)}
		for _, d := range []int{int(got.R) - int(p.Colour.R), int(got.G) - int(p.Colour.G), int(got.B) - int(p.Colour.B)} {
			if max(d, -d) > within {
				return p, got, true
			}
		}
	}
	return Seen{}, color.RGBA{}, false
}
