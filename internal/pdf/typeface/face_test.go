package typeface_test

import (
	"testing"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansmono"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"witnessmark/internal/pdf/typeface"
)

func parse(t *testing.T, data []byte) *typeface.Face {
	t.Helper()
	f, err := typeface.Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestGlyph(t *testing.T) {
	f := parse(t, dejavusans.TTF)
	for _, c := range []struct {
		name string
		r    rune
		has  bool
	}{
		{"latin", 'A', true}, {"accented", 'é', true}, {"greek", 'Δ', true}, {"cyrillic", 'Ж', true},
		{"minus", '−', true}, {"thin space", '\u2009', true}, {"han", '水', false}, {"pipe emoji", '🪠', false},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, a, has := f.Glyph(c.r)
			if has != c.has {
				t.Errorf("%q: has %v, want %v", c.r, has, c.has)
			}
			if g == 0 || a == 0 {
				t.Errorf("%q: glyph %d, advance %d; something must show", c.r, g, a)
			}
		})
	}
}

// The digits of a job sheet stand in columns, so they must be equally wide.
func TestDigitsAreTabular(t *testing.T) {
	f := parse(t, dejavusans.TTF)
	want := f.Width("0", 10)
	for _, d := range "123456789" {
		if got := f.Width(string(d), 10); got != want {
			t.Errorf("%c is %v wide, want %v", d, got, want)
		}
	}
}

// A subset is read back by an independent reader, and each outline compared
// with the outline in the whole face; é is a composite in DejaVu.
func TestSubsetKeepsOutlines(t *testing.T) {
	for name, data := range map[string][]byte{"sans": dejavusans.TTF, "mono": dejavusansmono.TTF} {
		t.Run(name, func(t *testing.T) {
			f := parse(t, data)
			const text = "Ré 12,½°CΔЖ"
			glyphs := []uint16{0}
			for _, r := range text {
				g, _, _ := f.Glyph(r)
				glyphs = append(glyphs, g)
			}
			cut, err := f.Subset(glyphs)
			if err != nil {
				t.Fatal(err)
			}
			if len(cut) > len(data)/4 {
				t.Errorf("subset is %d bytes of %d", len(cut), len(data))
			}
			// sfnt needs name, cmap, post and OS/2 to parse: compare the
			// outlines through the face's own reader by grafting them on.
			whole, err := sfnt.Parse(data)
			if err != nil {
				t.Fatal(err)
			}
			part, err := sfnt.Parse(graft(t, cut, data))
			if err != nil {
				t.Fatal(err)
			}
			var a, b sfnt.Buffer
			for i, g := range glyphs {
				want, err := whole.LoadGlyph(&a, sfnt.GlyphIndex(g), fixed.I(2048), nil)
				if err != nil {
					t.Fatal(err)
				}
				got, err := part.LoadGlyph(&b, sfnt.GlyphIndex(i), fixed.I(2048), nil)
				if err != nil {
					t.Fatalf("glyph %d of the subset: %v", i, err)
				}
				if len(got) != len(want) {
					t.Fatalf("glyph %d: %d segments, want %d", i, len(got), len(want))
				}
				for k := range want {
					if got[k] != want[k] {
						t.Fatalf("glyph %d, segment %d: got %v, want %v", i, k, got[k], want[k])
					}
				}
			}
		})
	}
}

func TestSubsetRefuses(t *testing.T) {
	f := parse(t, dejavusans.TTF)
	for name, glyphs := range map[string][]uint16{"none": nil, "no glyph 0": {5}, "beyond the face": {0, 65535}} {
		t.Run(name, func(t *testing.T) {
			if _, err := f.Subset(glyphs); err == nil {
				t.Error("got no refusal")
			}
		})
	}
}

// Whatever the bytes, Parse answers and never panics.
func FuzzParse(f *testing.F) {
	f.Add([]byte{})
	f.Add(dejavusansmono.TTF[:400])
	f.Fuzz(func(t *testing.T, data []byte) {
		face, err := typeface.Parse(data)
		if (face == nil) == (err == nil) {
			t.Errorf("face %v with err %v", face, err)
		}
	})
}
