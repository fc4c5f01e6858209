// Command draw makes the pictures of heiftest, and the one that the decoder is tried with, by libheif's heif-enc from our own drawing.
package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"

	"witnessmark/internal/heif/heiftest"
	"witnessmark/internal/photo"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run() error {
	camera := photo.EXIF{TakenAt: heiftest.TakenAt, ZoneStated: true, Make: heiftest.Make, Model: heiftest.Model, Orientation: 1}
	upright, turned := camera, camera
	upright.GPS = &photo.GPS{Latitude: 53.4794, Longitude: -2.2453}
	turned.Orientation = 6 // held upright by a quarter turn clockwise
	drawing := heiftest.Drawing()
	for path, make := range map[string]func() ([]byte, error){
		"upright.heic": func() ([]byte, error) { return encode(drawing, &upright) },
		"turned.heic": func() ([]byte, error) {
			b, err := encode(onItsSide(drawing), &turned)
			return clockwise(b), err
		},
		"../probe.heic": func() ([]byte, error) { return encode(image.NewGray(image.Rect(0, 0, 64, 64)), nil) },
	} {
		b, err := make()
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// onItsSide is the picture after a quarter turn anticlockwise.
func onItsSide(img *image.RGBA) image.Image {
	size := img.Bounds().Size()
	out := image.NewRGBA(image.Rect(0, 0, size.Y, size.X))
	for x := range size.X {
		for y := range size.Y {
			out.Set(y, size.X-1-x, color.RGBAModel.Convert(img.At(x, y)))
		}
	}
	return out
}

// encode writes a picture as a HEIC, with what its camera says.
func encode(img image.Image, says *photo.EXIF) ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		return nil, err
	}
	in := b.Bytes()
	if says != nil {
		var err error
		if in, err = photo.WithEXIF(in, *says); err != nil {
			return nil, err
		}
	}
	dir, err := os.MkdirTemp("", "")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir) // nothing of it is kept
	from, to := filepath.Join(dir, "a.jpg"), filepath.Join(dir, "a.heic")
	if err := os.WriteFile(from, in, 0o600); err != nil {
		return nil, err
	}
	if out, err := exec.Command("heif-enc", "-q", "60", from, "-o", to).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	return os.ReadFile(to)
}

// clockwise has the HEIC turned a quarter clockwise by whoever draws it, which Debian 12's heif-enc does not write: a property
// for that (ISO/IEC 23008-12, 6.5.10) becomes the fourth and last, and belongs to the first item. The boxes around it grow, and
// all after them lies further on. It knows nothing but what that heif-enc writes.
func clockwise(b []byte) []byte {
	turn := []byte("\x00\x00\x00\x09irot\x03") // three quarters anticlockwise
	properties := bytes.Index(b, []byte("ipco")) - 4
	uses := bytes.Index(b, []byte("ipma")) - 4
	if properties < 0 || uses < 0 {
		return b
	}
	by := uint32(len(turn) + 1)
	grow := func(at int, by uint32) { binary.BigEndian.PutUint32(b[at:], binary.BigEndian.Uint32(b[at:])+by) }
	grow(bytes.Index(b, []byte("meta"))-4, by)
	grow(bytes.Index(b, []byte("iprp"))-4, by)
	grow(properties, uint32(len(turn)))
	grow(uses, 1)
	items := bytes.Index(b, []byte("iloc")) + 12
	for i := range int(binary.BigEndian.Uint16(b[items-2:])) {
		grow(items+18*i+4, by)
	}
	number := uses + 18 // of the first item's properties
	end := uses + int(binary.BigEndian.Uint32(b[uses:])) - 1
	b[number]++
	return slices.Concat(b[:uses], turn, b[uses:end], []byte{0x80 | 4}, b[end:]) // it is essential
}
