package photo

import (
	"bytes"
	"image"
	"image/color"
	"testing"
	"time"
)

func cover(t *testing.T, b []byte, rects ...Rect) []byte {
	t.Helper()
	info, err := check(b)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Cover(bytes.NewReader(b), info, rects)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// stored is the picture as a camera held in one of the eight ways stores it, so that turned upright it is seen again. What
// turns pictures upright is held against Exif's own table in TestEveryOrientationEndsUpright.
func stored(seen *image.RGBA, orientation int) *image.RGBA {
	back := map[int]int{6: 8, 8: 6} // the quarter turns undo each other; the others undo themselves
	if b, ok := back[orientation]; ok {
		orientation = b
	}
	return upright(seen, orientation)
}

// Covers lie on the upright picture, whichever way the camera was held: the lower right quarter is hidden in all eight, and
// nothing else is.
func TestCoversLieOnTheUprightPicture(t *testing.T) {
	const w, h = 96, 64
	for orientation := 1; orientation <= 8; orientation++ {
		b := withEXIF(t, encodeJPEG(t, stored(corners(w, h), orientation), 95), EXIF{Orientation: orientation})
		got := decoded(t, cover(t, b, Rect{0.5, 0.5, 0.5, 0.5}))
		if size := got.Bounds().Size(); size != image.Pt(w, h) {
			t.Errorf("orientation %d: the copy has %v; want %d × %d", orientation, size, w, h)
			continue
		}
		for i, want := range []color.RGBA{red, green, blue, coverInk} {
			if at := got.At(w/4+i%2*w/2, h/4+i/2*h/2); !near(at, want) {
				t.Errorf("orientation %d: quarter %d is %v; want %v", orientation, i, at, want)
			}
		}
	}
}

// What lies under a cover is gone to the last pixel of it, up to what a JPEG blurs between neighbours.
func TestNothingShowsThroughACover(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 160, 120))
	for y := range 120 {
		for x := range 160 {
			img.Set(x, y, color.RGBA{uint8(x), uint8(y), 128, 255})
		}
	}
	same := func(under color.RGBA) []byte {
		for y := 40; y < 72; y++ {
			for x := 48; x < 96; x++ {
				img.Set(x, y, under)
			}
		}
		return cover(t, encodePNG(t, img), Rect{48. / 160, 40. / 120, 48. / 160, 32. / 120})
	}
	if a, b := same(color.RGBA{255, 255, 255, 255}), same(color.RGBA{200, 0, 0, 255}); !bytes.Equal(a, b) {
		t.Error("the copy tells what lay under the cover")
	}
}

func TestCoversGrowToWholePixels(t *testing.T) {
	whole := image.Rect(0, 0, 100, 50)
	for _, test := range []struct {
		name string
		rect Rect
		want image.Rectangle
	}{
		{"pixels", Rect{0.1, 0.2, 0.3, 0.4}, image.Rect(10, 10, 40, 30)},
		{"parts of pixels", Rect{0.105, 0.21, 0.3, 0.4}, image.Rect(10, 10, 41, 31)},
		{"everything", Rect{0, 0, 1, 1}, whole},
		{"past the edge", Rect{0.9, 0.9, 0.5, 0.5}, image.Rect(90, 45, 100, 50)},
		{"a third", Rect{0, 0, 1. / 3, 1. / 3}, image.Rect(0, 0, 34, 17)},
	} {
		if got := test.rect.pixels(whole); got != test.want {
			t.Errorf("%s: %v; want %v", test.name, got, test.want)
		}
	}
}

// What leaves the centre carries no word of where a picture was taken, or of anything else that the camera wrote.
func TestCopiesCarryNoWordOfTheCamera(t *testing.T) {
	b := withEXIF(t, encodeJPEG(t, scene(5, 320, 240), 90), EXIF{
		TakenAt: time.Date(2026, 3, 2, 9, 30, 0, 0, time.UTC), Make: "Phonemaker", Model: "Loft 9", Orientation: 6, GPS: &GPS{53.4794, -2.2453},
	})
	b = afterSOI(b, segment(0xfe, []byte("a comment")), segment(0xe2, []byte("ICC_PROFILE\x00a profile")))
	if info, err := check(b); err != nil || !info.HasLocation {
		t.Fatalf("the picture says %+v, %v; want a location", info, err)
	}
	for name, got := range map[string][]byte{"covered": cover(t, b, Rect{0, 0, 0.2, 0.2}), "without covers": cover(t, b), "preview": preview(t, b, 160)} {
		info, err := check(got)
		if err != nil || info.HasLocation || info.Make != "" || info.Model != "" || !info.TakenAt.IsZero() || info.Orientation != 1 {
			t.Errorf("%s says %+v, %v", name, info, err)
		}
		for _, word := range []string{"Exif", "Phonemaker", "GPS", "a comment", "a profile"} {
			if bytes.Contains(got, []byte(word)) {
				t.Errorf("%s holds %q", name, word)
			}
		}
	}
}

func TestCoverRefusesWhatPreviewRefuses(t *testing.T) {
	if _, err := Cover(bytes.NewReader(nil), Info{Media: HEIC}, nil); err == nil {
		t.Error("a HEIC is covered")
	}
	b := encodeJPEG(t, scene(1, 64, 48), 90)
	info, err := check(b)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Cover(bytes.NewReader(withSize(t, b, 30_000, 30_000)), info, nil); err == nil {
		t.Error("a picture whose size was forged after checking is decoded")
	}
}
