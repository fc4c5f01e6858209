package writer

import (
	"bytes"
	"fmt"
	"io"
)

// Image is a picture in the file, ready to be drawn on any page.
type Image struct {
	ref         Ref
	name        string
	orientation int
	wide, high  int
}

// Upright is the picture's width and height in pixels once it stands upright.
func (m *Image) Upright() (wide, high int) {
	if m.orientation >= 5 {
		return m.high, m.wide
	}
	return m.wide, m.high
}

// Image returns the picture known by key, such as a digest, that was written
// earlier, so that a picture shown twice is stored once.
func (f *File) Image(key string) (*Image, bool) {
	m, ok := f.images[key]
	return m, ok
}

// AddJPEG copies a JPEG into the file byte for byte as r gives it, in bounded
// memory, and remembers it under key (empty: not remembered). Orientation is
// the EXIF value, 1 to 8; anything else counts as 1. What the picture is (its
// size and colours) is read from its own first bytes. ErrPicture means that
// nothing was written and the file is still good; after any other error the
// file is spoilt and Close returns it.
func (f *File) AddJPEG(key string, r io.Reader, orientation int) (*Image, error) {
	if f.err != nil {
		return nil, f.err
	}
	head, held, err := readFrame(r)
	if err != nil {
		return nil, err
	}
	if orientation < 1 || orientation > 8 {
		orientation = 1
	}
	m := &Image{ref: f.reserve(), orientation: orientation,
		wide: head.wide, high: head.high}
	m.name = fmt.Sprintf("P%d", m.ref)
	space := "DeviceRGB"
	if head.parts == 1 {
		space = "DeviceGray"
	}
	dict := fmt.Sprintf("/Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /%s /BitsPerComponent 8 /Filter /DCTDecode",
		head.wide, head.high, space)
	if err := f.through(m.ref, dict, io.MultiReader(bytes.NewReader(held), r)); err != nil {
		f.fail(fmt.Errorf("copy picture: %w", err))
		return nil, f.err
	}
	if key != "" {
		f.images[key] = m
	}
	return m, nil
}

// upright is the matrix that draws a stored picture, a unit square with its
// first row at the top, upright in the box (EXIF 2.32, tag Orientation).
func upright(orientation int, x, y, w, h float64) []float64 {
	switch orientation {
	case 2: // mirrored left to right
		return []float64{-w, 0, 0, h, x + w, y}
	case 3: // turned by half
		return []float64{-w, 0, 0, -h, x + w, y + h}
	case 4: // mirrored top to bottom
		return []float64{w, 0, 0, -h, x, y + h}
	case 5: // first row at the left, first column on top
		return []float64{0, -h, -w, 0, x + w, y + h}
	case 6: // first row at the right, first column on top
		return []float64{0, -h, w, 0, x, y + h}
	case 7: // first row at the right, first column at the bottom
		return []float64{0, h, w, 0, x, y}
	case 8: // first row at the left, first column at the bottom
		return []float64{0, h, -w, 0, x + w, y}
	default:
		return []float64{w, 0, 0, h, x, y}
	}
}
