package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/draw"
)

// previewQuality is the JPEG quality of previews: labels on fittings stay legible, a 1,600-pixel preview is some 300 kB.
const previewQuality = 82

// ErrNoPreview says that a file is shown as a file: only JPEG and PNG are drawn here.
var ErrNoPreview = errors.New("no preview for this kind of file")

// Preview draws the picture that Check has described as a JPEG: upright, at most maxSide pixels along its longer side
// (never enlarged), transparent parts white, without a word of what the original says about itself.
//
// It takes up to 400 MB for the largest pictures, so run one at a time. HEIC and PDF are ErrNoPreview; a picture whose
// pixels turn out damaged is a fault of kind Invalid on the field "file"; neither gets better by trying again.
func Preview(r io.ReadSeeker, info Info, maxSide int) ([]byte, error) {
	if maxSide < 1 {
		return nil, fmt.Errorf("drawing a preview: a side of %d pixels", maxSide)
	}
	img, err := decode(r, info)
	if err != nil {
		return nil, err
	}
	small := upright(shrink(img, maxSide), info.Orientation)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: previewQuality}); err != nil {
		return nil, fmt.Errorf("writing a preview: %w", err)
	}
	return out.Bytes(), nil
}

// decode reads the pixels of a picture that Check has described.
func decode(r io.ReadSeeker, info Info) (image.Image, error) {
	if info.Media != JPEG && info.Media != PNG {
		return nil, fmt.Errorf("%w: %s", ErrNoPreview, info.Media)
	}
	// Again, as the bytes may be others than those checked: nothing is decoded on trust.
	config, err := decodeConfig(r, info.Media)
	if err != nil {
		return nil, err
	}
	if err := (header{width: config.Width, height: config.Height}).withinLimits(); err != nil {
		return nil, err
	}
	if err := rewind(r); err != nil {
		return nil, err
	}
	read := jpeg.Decode
	if info.Media == PNG {
		read = png.Decode
	}
	img, err := read(r)
	if err != nil {
		return nil, refuse("This picture is damaged inside and cannot be shown. Take it again.")
	}
	return img, nil
}

// shrink draws the picture on white within a square of maxSide pixels. A quick first step down to twice the size wanted,
// where the picture is far larger, halves the time of the careful last one and cannot be seen.
func shrink(img image.Image, maxSide int) *image.RGBA {
	size := img.Bounds().Size()
	if long := max(size.X, size.Y); long > 4*maxSide {
		img = resize(img, scaled(size, 2*maxSide, long), draw.ApproxBiLinear)
	}
	return resize(img, scaled(size, min(maxSide, max(size.X, size.Y)), max(size.X, size.Y)), draw.CatmullRom)
}

// scaled is size × num / den, with neither side under one pixel.
func scaled(size image.Point, num, den int) image.Point {
	return image.Pt(max(1, (size.X*num+den/2)/den), max(1, (size.Y*num+den/2)/den))
}

func resize(img image.Image, size image.Point, scaler draw.Scaler) *image.RGBA {
	dst := image.NewRGBA(image.Rectangle{Max: size})
	draw.Draw(dst, dst.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	if size == img.Bounds().Size() {
		draw.Draw(dst, dst.Bounds(), img, img.Bounds().Min, draw.Over)
	} else {
		scaler.Scale(dst, dst.Bounds(), img, img.Bounds(), draw.Over, nil)
	}
	return dst
}

// upright turns and mirrors a stored picture as its EXIF orientation asks. Exif 2.32, 4.6.4, says where the stored rows
// and columns begin: the 0th row at the top, bottom, left or right, the 0th column at one of the other two.
func upright(src *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 || orientation > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			px, py := x, y
			switch orientation {
			case 2: // top, right
				px = w - 1 - x
			case 3: // bottom, right
				px, py = w-1-x, h-1-y
			case 4: // bottom, left
				py = h - 1 - y
			case 5: // left, top
				px, py = y, x
			case 6: // right, top
				px, py = h-1-y, x
			case 7: // right, bottom
				px, py = h-1-y, w-1-x
			case 8: // left, bottom
				px, py = y, w-1-x
			}
			copy(dst.Pix[dst.PixOffset(px, py):][:4], src.Pix[src.PixOffset(x, y):][:4])
		}
	}
	return dst
}
