package writer

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/internal/pdf/typeface"
)

// Font is a face in use in one file. Each rune has a code of its own, even
// where two share a glyph or the face has none, so that copying text out of
// the file gives back exactly what was written.
type Font struct {
	file   *File
	face   *typeface.Face
	ref    Ref
	name   string
	codes  map[rune]uint16
	glyphs map[uint16]uint16 // glyph of the face → glyph of the subset
	cut    []uint16          // glyph of the subset → glyph of the face
	used   []use             // by code; code 0 is "not defined"
	lacks  []rune
}

type use struct {
	r       rune
	glyph   uint16 // in the subset
	advance int    // in face units
}

// Missing lists the runes set so far that the face lacks, in order of first
// use.
func (t *Font) Missing() []rune { return slices.Clone(t.lacks) }

// encode gives s as hexadecimal two-byte codes.
func (t *Font) encode(s string) string {
	const digits = "0123456789ABCDEF"
	b := make([]byte, 0, 4*len(s))
	for _, r := range s {
		c := t.code(r)
		b = append(b, digits[c>>12], digits[c>>8&15], digits[c>>4&15], digits[c&15])
	}
	return string(b)
}

func (t *Font) code(r rune) uint16 {
	if c, ok := t.codes[r]; ok {
		return c
	}
	g, advance, has := t.face.Glyph(r)
	if !has {
		t.lacks = append(t.lacks, r)
	}
	if len(t.used) > 0xFFFE { // more runes than codes: all the rest show alike
		return 0xFFFE
	}
	to, ok := t.glyphs[g]
	if !ok {
		to = uint16(len(t.cut))
		t.glyphs[g] = to
		t.cut = append(t.cut, g)
	}
	c := uint16(len(t.used))
	t.used = append(t.used, use{r, to, advance})
	t.codes[r] = c
	return c
}

// write embeds what was used (ISO 32000-1, 9.7: a composite font with a
// TrueType descendant, codes two bytes wide).
func (t *Font) write() {
	f := t.file
	cut, err := t.face.Subset(t.cut)
	if err != nil {
		f.fail(fmt.Errorf("embed face: %w", err))
		return
	}
	name := t.tag(cut) + "+" + t.face.Name()
	program, toUnicode, toGlyph := f.reserve(), f.reserve(), f.reserve()
	f.stream(program, fmt.Sprintf("/Length1 %d", len(cut)), cut)
	f.stream(toUnicode, "", t.unicodeMap())
	var places []byte
	for _, u := range t.used {
		places = binary.BigEndian.AppendUint16(places, u.glyph)
	}
	f.stream(toGlyph, "", places)

	m := t.face.Metrics()
	flags, weight := 4, 80 // 4: symbolic, as every composite font is
	if m.Fixed {
		flags |= 1
	}
	if m.Bold {
		weight = 140
	}
	descriptor := f.add(fmt.Sprintf("<< /Type /FontDescriptor /FontName /%s /Flags %d /FontBBox [%d %d %d %d] /ItalicAngle 0 /Ascent %d /Descent %d /CapHeight %d /StemV %d /FontFile2 %d 0 R >>",
		name, flags, m.Box[0], m.Box[1], m.Box[2], m.Box[3], m.Ascent, m.Descent, m.CapHeight, weight, program))
	child := f.add(fmt.Sprintf("<< /Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> /FontDescriptor %d 0 R /CIDToGIDMap %d 0 R /DW 0 /W [0 [%s]] >>",
		name, descriptor, toGlyph, t.widths()))
	f.object(t.ref, fmt.Sprintf("<< /Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R >>",
		name, child, toUnicode))
}

func (t *Font) widths() string {
	_, none, _ := t.face.Glyph(-1)
	t.used[0].advance = none
	out := make([]string, len(t.used))
	for i, u := range t.used {
		out[i] = num(float64(u.advance) * 1000 / float64(t.face.UnitsPerEm()))
	}
	return strings.Join(out, " ")
}

// tag is the six capitals before a subset's name, which must differ between
// subsets of one face (ISO 32000-1, 9.6.4): taken from the subset's digest.
func (t *Font) tag(cut []byte) string {
	sum := sha256.Sum256(cut)
	tag := make([]byte, 6)
	for i := range tag {
		tag[i] = 'A' + sum[i]%26
	}
	return string(tag)
}

// unicodeMap is the CMap that gives text back as Unicode (ISO 32000-1,
// 9.10.3); a block holds at most 100 lines.
func (t *Font) unicodeMap() []byte {
	var b strings.Builder
	b.WriteString("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n" +
		"/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n" +
		"/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n" +
		"1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n")
	code := 1
	for block := range slices.Chunk(t.used[1:], 100) {
		fmt.Fprintf(&b, "%d beginbfchar\n", len(block))
		for _, u := range block {
			fmt.Fprintf(&b, "<%04X> <%s>\n", code, utf16Hex(string(mapped(u.r))))
			code++
		}
		b.WriteString("endbfchar\n")
	}
	b.WriteString("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n")
	return []byte(b.String())
}

// mapped keeps values out of a Unicode map that archival profiles refuse
// there (0, U+FEFF, U+FFFE, and what has a private meaning; ISO 19005-3,
// 6.2.11.7.2 and 6.2.11.7.3).
func mapped(r rune) rune {
	if r == 0 || r == 0xFEFF || r == 0xFFFE || unicode.Is(unicode.Co, r) || !utf8.ValidRune(r) {
		return utf8.RuneError
	}
	return r
}
