package pdfcheck

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"witnessmark/internal/pdfread"
)

// font is a font in use, with the codes that are shown with it. Codes are two
// bytes wide: others are not judged.
type font struct {
	ref   pdfread.Ref
	dict  pdfread.Dict
	codes map[uint16]bool
	odd   bool // a string had half a code at its end
}

func (t *font) use(text string) {
	for ; len(text) >= 2; text = text[2:] {
		t.codes[uint16(text[0])<<8|uint16(text[1])] = true
	}
	t.odd = t.odd || text != ""
}

// checkFonts looks at every font that the pages use.
func (c *checker) checkFonts() {
	for _, n := range slices.Sorted(maps.Keys(c.fonts)) {
		t := c.fonts[n]
		where := fmt.Sprintf("object %d", n)
		child := c.f.Dict(first(c.f.Array(t.dict["DescendantFonts"])))
		if kind, inner := c.f.Name(t.dict["Subtype"]), c.f.Name(child["Subtype"]); kind != "Type0" || inner != "CIDFontType2" {
			c.say("judged", where, "the font is %s %s", kind, inner)
			continue
		}
		if t.odd {
			c.say("reads", where, "text of this font ends within a code")
		}
		c.checkSystem(where, t, child)
		c.checkUnicode(where, t)
		c.checkNames(where, t, child)
		c.checkGlyphs(where, t, child)
	}
}

func first(list pdfread.Array) pdfread.Value {
	if len(list) == 0 {
		return pdfread.Null{}
	}
	return list[0]
}

func (c *checker) checkSystem(where string, t *font, child pdfread.Dict) {
	switch encoding := c.f.Resolve(t.dict["Encoding"]).(type) {
	case pdfread.Name:
		if encoding != "Identity-H" && encoding != "Identity-V" {
			c.say("system", where, "the codes are those of %s, which is not in the file", encoding)
		}
	default:
		c.say("judged", where, "the font has a character map of its own")
	}
	system := c.f.Dict(child["CIDSystemInfo"])
	if c.string(system["Registry"]) == "" || c.string(system["Ordering"]) == "" || system["Supplement"] == nil {
		c.say("system", where, "the font does not say which characters its codes are of")
	}
}

var subsetName = regexp.MustCompile(`\A[A-Z]{6}\+[^+]+\z`)

func (c *checker) checkNames(where string, t *font, child pdfread.Dict) {
	name, inner := c.f.Name(t.dict["BaseFont"]), c.f.Name(child["BaseFont"])
	described := c.f.Name(c.f.Dict(child["FontDescriptor"])["FontName"])
	if name == "" || inner != name || described != name {
		c.say("fontname", where, "the font is named %q, %q and %q", name, inner, described)
	}
	if strings.Contains(string(name), "+") && !subsetName.MatchString(string(name)) {
		c.say("fontname", where, "the name %q has no tag of six capitals", name)
	}
}

// checkGlyphs follows each code in use to its glyph in the program.
func (c *checker) checkGlyphs(where string, t *font, child pdfread.Dict) {
	descriptor := c.f.Dict(child["FontDescriptor"])
	if descriptor["CIDSet"] != nil {
		c.say("judged", where, "the font lists its glyphs (/CIDSet)")
	}
	s := c.f.Stream(descriptor["FontFile2"])
	if s == nil {
		c.say("embedded", where, "the font's program is not in the file")
		return
	}
	data, ok := c.data(where, s)
	if !ok {
		return
	}
	if n, _ := c.f.Integer(s.Dict["Length1"]); n != int64(len(data)) {
		c.say("embedded", where, "the font's program has %d bytes, /Length1 says %d", len(data), n)
	}
	face, err := readProgram(data)
	if err != nil {
		c.say("embedded", where, "the font's program is not sound: %v", err)
		return
	}
	glyph, ok := c.glyphMap(where, child)
	if !ok {
		return
	}
	width := c.widths(where, child, t.codes)
	for _, code := range slices.Sorted(maps.Keys(t.codes)) {
		g, ok := glyph(code)
		switch {
		case !ok:
			c.say("glyphs", where, "code %04X is shown, but not in the glyph map", code)
		case g == 0:
			c.say("notdef", where, "code %04X shows the glyph that stands for none", code)
		case int(g) >= face.glyphs:
			c.say("embedded", where, "code %04X shows glyph %d of a program with %d", code, g, face.glyphs)
		case math.Abs(width[code]-face.advance(g)) > 1:
			c.say("widths", where, "code %04X is %g wide, its glyph %g", code, width[code], face.advance(g))
		}
	}
}

// glyphMap is the font's map of codes to glyphs.
func (c *checker) glyphMap(where string, child pdfread.Dict) (func(uint16) (uint16, bool), bool) {
	switch m := c.f.Resolve(child["CIDToGIDMap"]).(type) {
	case pdfread.Name:
		if m == "Identity" {
			return func(code uint16) (uint16, bool) { return code, true }, true
		}
	case *pdfread.Stream:
		places, ok := c.data(where, m)
		if !ok {
			return nil, false
		}
		return func(code uint16) (uint16, bool) {
			at := 2 * int(code)
			if at+1 >= len(places) {
				return 0, false
			}
			return uint16(places[at])<<8 | uint16(places[at+1]), true
		}, true
	}
	c.say("glyphs", where, "the font has no /CIDToGIDMap that is a stream or Identity")
	return nil, false
}

// widths are the widths of the codes in use, in thousandths of the size
// (ISO 32000-1, 9.7.4.3).
func (c *checker) widths(where string, child pdfread.Dict, codes map[uint16]bool) map[uint16]float64 {
	usual, ok := pdfread.Number(c.f.Resolve(child["DW"]))
	if !ok {
		usual = 1000
	}
	width := map[uint16]float64{}
	for code := range codes {
		width[code] = usual
	}
	var steps ranges
	list := c.f.Array(child["W"])
	if !c.spend(where, 8*int64(len(list))) {
		return width
	}
	for len(list) >= 2 {
		from, _ := c.f.Integer(list[0])
		if each := c.f.Array(list[1]); each != nil {
			for i, v := range each {
				if n, ok := pdfread.Number(c.f.Resolve(v)); ok && from+int64(i) <= 0xFFFF {
					width[uint16(from+int64(i))] = n
				}
			}
			list = list[2:]
			continue
		}
		if len(list) < 3 {
			break
		}
		to, _ := c.f.Integer(list[1])
		n, _ := pdfread.Number(c.f.Resolve(list[2]))
		steps.each(from, to, func(code uint16) {
			if codes[code] {
				width[code] = n
			}
		})
		list = list[3:]
	}
	if steps.over() {
		c.say("judged", where, "the font's widths are more ranges than are looked at")
	}
	return width
}

// ranges goes through ranges of codes, and stops where a file has so many that
// they cover all codes again and again.
type ranges struct{ steps int64 }

const mostSteps = 1 << 22

func (r *ranges) over() bool { return r.steps > mostSteps }

func (r *ranges) each(from, to int64, does func(code uint16)) {
	from, to = max(from, 0), min(to, 0xFFFF)
	if r.steps += max(0, to-from) + 1; r.over() {
		return
	}
	for code := from; code <= to; code++ {
		does(uint16(code))
	}
}
