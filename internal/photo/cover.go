package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"io"
	"math"
)

// coverQuality is the JPEG quality of covered copies, which stand in for the original at its full size.
const coverQuality = 92

// coverInk is the flat colour that covers are painted in: nothing of what lies under them is mixed into it.
var coverInk = color.RGBA{24, 33, 29, 255}

// Rect is a part of the upright picture, from its upper left corner: all four in parts of its sides, 0 to 1.
type Rect struct{ X, Y, W, H float64 }

// Cover draws the picture that Check has described as a JPEG: upright, at its full size, with every rectangle painted over,
// transparent parts white, without a word of what the original says about itself. Rectangles grow to whole pixels, and what
// reaches past the picture is cut off. Without rectangles it is the picture without its words.
//
// It takes up to 500 MB for the largest pictures, so run one at a time. Its errors are Preview's.
func Cover(r io.ReadSeeker, info Info, rects []Rect) ([]byte, error) {
	img, err := decode(r, info)
	if err != nil {
		return nil, err
	}
	size := img.Bounds().Size()
	whole := upright(resize(img, size, nil), info.Orientation)
	for _, c := range rects {
		draw.Draw(whole, c.pixels(whole.Rect), image.NewUniform(coverInk), image.Point{}, draw.Src)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, whole, &jpeg.Options{Quality: coverQuality}); err != nil {
		return nil, fmt.Errorf("writing a covered copy: %w", err)
	}
	return out.Bytes(), nil
}

// pixels is the rectangle in whole pixels of the picture: every pixel that it touches.
func (c Rect) pixels(whole image.Rectangle) image.Rectangle {
	w, h := float64(whole.Dx()), float64(whole.Dy())
	// A part that was worked out from pixels comes back a hair off them, and takes no further pixel for that.
	const hair = 1e-6
	return image.Rect(
		int(math.Floor(c.X*w+hair)), int(math.Floor(c.Y*h+hair)),
		int(math.Ceil((c.X+c.W)*w-hair)), int(math.Ceil((c.Y+c.H)*h-hair)),
	).Intersect(whole)
}
