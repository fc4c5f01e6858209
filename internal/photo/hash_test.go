package photo

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	scale "golang.org/x/image/draw"
)

func hashOf(t testing.TB, jpeg []byte) VisualHash {
	t.Helper()
	h, err := Hash(preview(t, jpeg, 256))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func resized(img image.Image, w, h int) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	scale.BiLinear.Scale(dst, dst.Bounds(), img, img.Bounds(), scale.Src, nil)
	return dst
}

func brighter(img *image.RGBA, factor float64) *image.RGBA {
	out := image.NewRGBA(img.Rect)
	for i, v := range img.Pix {
		out.Pix[i] = uint8(min(255, float64(v)*factor))
	}
	return out
}

// TestHashDistances: the bars are the distances at which two pictures are worth a look, 6 and 4, for the changes that a
// trial on 160 drawn scenes with another implementation of the same hashes found within them nearly always.
func TestHashDistances(t *testing.T) {
	const n = 12
	var hashes []VisualHash
	for seed := range uint64(n) {
		img := scene(seed, 400, 300)
		base := hashOf(t, encodeJPEG(t, img, 90))
		hashes = append(hashes, base)
		others := map[string][]byte{
			"re-encoded at quality 30": encodeJPEG(t, img, 30),
			"smaller, quality 60":      encodeJPEG(t, resized(img, 150, 112), 60),
		}
		if seed%4 == 0 {
			others["three quarters"] = encodeJPEG(t, resized(img, 300, 225), 90)
			others["as PNG"] = encodePNG(t, img)
			others["stored lying down"] = withEXIF(t, encodeJPEG(t, turned(img), 90), EXIF{Orientation: 8})
		}
		for name, other := range others {
			if p, d := base.Distance(hashOf(t, other)); p > 6 || d > 4 {
				t.Errorf("scene %d %s: distances %d and %d; want at most 6 and 4", seed, name, p, d)
			}
		}
		if p, _ := base.Distance(hashOf(t, encodeJPEG(t, brighter(img, 1.1), 90))); p > 10 {
			t.Errorf("scene %d brighter: distance %d; want at most 10", seed, p)
		}
	}
	sum := 0
	for i, a := range hashes {
		for j, b := range hashes[:i] {
			p, d := a.Distance(b)
			sum += p
			if p <= 6 || d <= 4 {
				t.Errorf("scenes %d and %d: distances %d and %d; want them apart", i, j, p, d)
			}
		}
	}
	if mean := float64(sum) / (n * (n - 1) / 2); mean < 24 || mean > 36 {
		t.Errorf("unrelated scenes lie %.1f apart on average; want about half of 64", mean)
	}
}

// turned stores the picture a quarter turn clockwise, which orientation 8 (left, bottom) turns back.
func turned(img *image.RGBA) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := image.NewRGBA(image.Rect(0, 0, h, w))
	for y := range h {
		for x := range w {
			out.Set(h-1-y, x, img.At(x, y))
		}
	}
	return out
}

// TestEdgeHashByHand: a picture growing brighter to the right is all ones, its mirror image all noughts, and one that
// grows brighter up to its middle is 1111 0000 in every row.
func TestEdgeHashByHand(t *testing.T) {
	grey := func(f func(x int) float64) []float64 {
		var out []float64
		for range 8 {
			for x := range 9 {
				out = append(out, f(x))
			}
		}
		return out
	}
	tests := []struct {
		name string
		f    func(int) float64
		want uint64
	}{
		{"to the right", func(x int) float64 { return 10 * float64(x) }, math.MaxUint64},
		{"to the left", func(x int) float64 { return -10 * float64(x) }, 0},
		{"to the middle", func(x int) float64 { return -10 * math.Abs(float64(x)-4) }, 0xf0f0f0f0f0f0f0f0},
		{"flat", func(int) float64 { return 7 }, 0},
	}
	for _, tt := range tests {
		if got := edgeHash(grey(tt.f)); got != tt.want {
			t.Errorf("%s: %016x; want %016x", tt.name, got, tt.want)
		}
	}
}

// TestPatternHashByHand builds pictures of cosines whose frequencies are known: a DCT-II gives back exactly those, so
// exactly those bits are above the median of the other noughts.
func TestPatternHashByHand(t *testing.T) {
	wave := func(u, x int) float64 { return math.Cos(math.Pi * (float64(x) + 0.5) * float64(u) / patternSide) }
	var grey []float64
	for y := range patternSide {
		for x := range patternSide {
			v := 40.0
			// 40 of the 64 frequencies, so that the median lies among the weak ones and rounding decides nothing.
			for i := range 40 {
				amplitude := 1.0
				if i < 32 {
					amplitude = 5
				}
				v += amplitude * wave(i%8, x) * wave(i/8, y)
			}
			for i := 40; i < 64; i++ {
				v -= wave(i%8, x) * wave(i/8, y)
			}
			grey = append(grey, v)
		}
	}
	if got, want := patternHash(grey), uint64(0xffffffff00000000); got != want {
		t.Errorf("got %016x; want the 32 strong frequencies %016x", got, want)
	}
}

func TestGreys(t *testing.T) {
	img := image.NewGray(image.Rect(10, 20, 14, 22)) // not at the origin
	copy(img.Pix, []uint8{10, 20, 30, 40, 30, 40, 50, 60})
	if got := greys(img, 2, 1); got[0] != 25 || got[1] != 45 {
		t.Errorf("means = %v; want 25 and 45", got)
	}
	wide := image.NewRGBA(image.Rect(0, 0, 1, 1))
	draw.Draw(wide, wide.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
	for _, v := range greys(wide, 9, 8) { // fewer pixels than cells
		if math.Abs(v-255) > 1e-9 {
			t.Errorf("white is %v; want 255", v)
		}
	}
}

func TestHashOfWhatIsNoPicture(t *testing.T) {
	if h, err := Hash([]byte("no picture")); err == nil {
		t.Errorf("Hash = %v; want an error", h)
	}
}
