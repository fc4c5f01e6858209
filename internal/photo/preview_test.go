package photo

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/fault"
)

func preview(t testing.TB, b []byte, maxSide int) []byte {
	t.Helper()
	info, err := check(b)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Preview(bytes.NewReader(b), info, maxSide)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func decoded(t testing.TB, b []byte) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// near says whether a pixel has the colour but for what JPEG loses.
func near(got color.Color, want color.RGBA) bool {
	r, g, b, _ := got.RGBA()
	off := func(have uint32, want uint8) bool { d := int(have>>8) - int(want); return d > 30 || d < -30 }
	return !off(r, want.R) && !off(g, want.G) && !off(b, want.B)
}

var (
	red    = color.RGBA{200, 30, 30, 255}
	green  = color.RGBA{30, 160, 40, 255}
	blue   = color.RGBA{40, 50, 190, 255}
	yellow = color.RGBA{220, 210, 50, 255}
)

// corners is a picture with another colour in each quarter: red top left, green top right, blue bottom left, yellow
// bottom right.
func corners(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i, c := range []color.RGBA{red, green, blue, yellow} {
		x, y := i%2*w/2, i/2*h/2
		draw.Draw(img, image.Rect(x, y, x+w/2, y+h/2), image.NewUniform(c), image.Point{}, draw.Src)
	}
	return img
}

// TestEveryOrientationEndsUpright stores one upright picture in the eight ways of Exif 2.32, 4.6.4 (tag 0x0112), whose
// table says on which visual side the stored 0th row and 0th column lie. The table is copied here as words, from memory,
// and pixels are placed by it alone.
func TestEveryOrientationEndsUpright(t *testing.T) {
	table := [][2]string{1: {"top", "left"}, {"top", "right"}, {"bottom", "right"}, {"bottom", "left"},
		{"left", "top"}, {"right", "top"}, {"right", "bottom"}, {"left", "bottom"}}
	const w, h = 96, 64
	seen := corners(w, h)
	for orientation := 1; orientation <= 8; orientation++ {
		sides := table[orientation]
		stored := image.NewRGBA(image.Rect(0, 0, w, h))
		if sides[0] == "left" || sides[0] == "right" {
			stored = image.NewRGBA(image.Rect(0, 0, h, w))
		}
		for row := range stored.Rect.Dy() {
			for col := range stored.Rect.Dx() {
				at := image.Point{}
				for _, step := range []struct {
					side string
					n    int
				}{{sides[0], row}, {sides[1], col}} {
					switch step.side {
					case "top":
						at.Y = step.n
					case "bottom":
						at.Y = h - 1 - step.n
					case "left":
						at.X = step.n
					case "right":
						at.X = w - 1 - step.n
					}
				}
				stored.Set(col, row, seen.At(at.X, at.Y))
			}
		}
		b := withEXIF(t, encodeJPEG(t, stored, 95), EXIF{Orientation: orientation})
		info, err := check(b)
		if err != nil || info.Width != w || info.Height != h || info.Orientation != orientation {
			t.Errorf("orientation %d: %+v, %v; want %d × %d", orientation, info, err, w, h)
		}
		for _, side := range []int{48, 96} {
			got := decoded(t, preview(t, b, side))
			pw, ph := got.Bounds().Dx(), got.Bounds().Dy()
			if pw != side || ph != side*2/3 {
				t.Errorf("orientation %d: preview %d × %d; want %d × %d", orientation, pw, ph, side, side*2/3)
			}
			for i, want := range []color.RGBA{red, green, blue, yellow} {
				x, y := pw/4+i%2*pw/2, ph/4+i/2*ph/2
				if !near(got.At(x, y), want) {
					t.Errorf("orientation %d: at %d, %d: %v; want %v", orientation, x, y, got.At(x, y), want)
				}
			}
		}
	}
}

// TestPreviewKinds holds previews of Go's own test pictures, among them CMYK, RGB and progressive ones, against the
// decoded PNG of the same picture.
func TestPreviewKinds(t *testing.T) {
	pngs := goPictures(t, "testdata/video-001*.png")
	rgb := decoded(t, preview(t, pngs["video-001.png"], 150))
	cmyk := decoded(t, preview(t, pngs["video-001.cmyk.png"], 150)) // inks without a profile are another picture
	for name, b := range goPictures(t, "testdata/video-001*.jpeg") {
		if strings.Contains(name, "truncated") {
			continue // its last scans are missing, so it looks coarser
		}
		want := rgb
		if strings.Contains(name, "cmyk") {
			want = cmyk
		}
		got := decoded(t, preview(t, b, 150))
		if d := difference(got, want); d > 8 {
			t.Errorf("%s: mean difference %.1f of 255; want 8 or less", name, d)
		}
	}
}

func difference(a, b image.Image) float64 {
	ga, gb := greys(a, 50, 34), greys(b, 50, 34)
	sum := 0.0
	for i := range ga {
		sum += max(ga[i]-gb[i], gb[i]-ga[i])
	}
	return sum / float64(len(ga))
}

func TestPreviewSays(t *testing.T) {
	b := withEXIF(t, encodeJPEG(t, scene(3, 300, 200), 90), EXIF{TakenAt: time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC),
		Make: "Kiln", Model: "Seven", Orientation: 6, GPS: &GPS{52.2, 0.1}})
	out := preview(t, append(b, "<html>tail"...), 120)
	for _, word := range []string{"Exif", "Kiln", "2026", "tail"} {
		if bytes.Contains(out, []byte(word)) {
			t.Errorf("the preview still says %q", word)
		}
	}
	if info, err := check(out); err != nil || info != (Info{Media: JPEG, Width: 80, Height: 120, Orientation: 1}) {
		t.Errorf("preview is %+v, %v", info, err)
	}
}

func TestPreviewSizes(t *testing.T) {
	tests := []struct{ w, h, maxSide, wantW, wantH int }{
		{40, 30, 200, 40, 30}, // never enlarged
		{400, 300, 100, 100, 75},
		{3000, 10, 100, 100, 1},
		{10, 3000, 100, 1, 100},
		{1, 1, 1, 1, 1},
		{3000, 2000, 100, 100, 67}, // in two steps
	}
	for _, tt := range tests {
		got := decoded(t, preview(t, encodeJPEG(t, image.NewGray(image.Rect(0, 0, tt.w, tt.h)), 80), tt.maxSide)).Bounds().Size()
		if got != image.Pt(tt.wantW, tt.wantH) {
			t.Errorf("%d × %d within %d = %v; want %d × %d", tt.w, tt.h, tt.maxSide, got, tt.wantW, tt.wantH)
		}
	}
}

func TestPreviewOfTransparentPNGIsOnWhite(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 40))
	draw.Draw(img, image.Rect(0, 0, 20, 40), image.NewUniform(red), image.Point{}, draw.Src)
	for _, side := range []int{40, 20, 8} {
		got := decoded(t, preview(t, encodePNG(t, img), side))
		if !near(got.At(side/8, side/2), red) || !near(got.At(side-1, side/2), color.RGBA{255, 255, 255, 255}) {
			t.Errorf("side %d: %v and %v; want red and white", side, got.At(side/8, side/2), got.At(side-1, side/2))
		}
	}
}

func TestPreviewRefuses(t *testing.T) {
	for _, media := range []Media{PDF, HEIC} {
		if _, err := Preview(bytes.NewReader(nil), Info{Media: media}, 100); !errors.Is(err, ErrNoPreview) {
			t.Errorf("%s: %v; want ErrNoPreview", media, err)
		}
	}
	b := encodeJPEG(t, scene(1, 640, 480), 80)
	info, err := check(b)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Preview(bytes.NewReader(b), info, 0); err == nil || fault.KindOf(err) != fault.Internal {
		t.Errorf("side 0: %v; want an internal error", err)
	}
	_, err = Preview(bytes.NewReader(b[:len(b)/2]), info, 100)
	wantRefusal(t, err, "damaged")
	zlib := goPictures(t, "png/testdata/invalid-zlib.png")["invalid-zlib.png"]
	_, err = Preview(bytes.NewReader(zlib), Info{Media: PNG, Orientation: 1}, 100)
	wantRefusal(t, err, "damaged")
}
