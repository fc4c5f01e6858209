package picture

import (
	"bytes"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
)

// TestEveryScene draws every scene. WITNESSMARK_PICTURES names a folder to leave them in, to be looked at.
func TestEveryScene(t *testing.T) {
	dir := os.Getenv("WITNESSMARK_PICTURES")
	blank := Draw(Shot{Scene: "none", Number: 1})
	for _, s := range Scenes() {
		t.Run(string(s), func(t *testing.T) {
			img := Draw(Shot{Scene: s, Number: 1, Name: "Łukasz Wiśniorek", Date: "3 Nov, 10:20"})
			if bytes.Equal(img.Pix, blank.Pix) {
				t.Error("nothing is drawn on the board")
			}
			if dir == "" {
				return
			}
			var out bytes.Buffer
			if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 88}); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, string(s)+".jpg"), out.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		})
	}
}

func TestSameShotSamePixels(t *testing.T) {
	shot := Shot{Scene: Gauge, Number: 1, Values: []float64{4.6}}
	a := Draw(shot)
	if !bytes.Equal(a.Pix, Draw(shot).Pix) {
		t.Error("the same shot gave two pictures")
	}
	other := shot
	other.Number = 2
	if bytes.Equal(a.Pix, Draw(other).Pix) {
		t.Error("another number gave the same picture")
	}
	other = shot
	other.Values = []float64{4.4}
	if bytes.Equal(a.Pix, Draw(other).Pix) {
		t.Error("the needle does not move")
	}
}

func BenchmarkDraw(b *testing.B) {
	for b.Loop() {
		Draw(Shot{Scene: RigAfter, Number: 3})
	}
}
