// Package typeface measures a TrueType face and cuts out of it the part that
// a document has used, ready to be embedded.
//
// Its world is one face at a time, in the face's own units (UnitsPerEm to the
// em). A rune that the face lacks is never a fault: it stands as the face's
// replacement sign, and the caller is told so. A Face keeps a scratch buffer
// and a cache and so serves one goroutine at a time.
package typeface

import (
	"encoding/binary"
	"fmt"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is one parsed TrueType face.
type Face struct {
	name    string
	font    *sfnt.Font
	buf     sfnt.Buffer
	tables  map[string][]byte
	upem    int
	long    bool // loca holds 32-bit offsets
	metrics Metrics
	near    [nearRunes]entry // of the first runes, where most of them are
	cache   map[rune]entry
	spare   uint16 // glyph of the replacement sign
}

type entry struct {
	glyph   uint16
	advance int
	has     bool
	known   bool
}

// nearRunes takes in Latin, Greek and Cyrillic.
const nearRunes = 0x530

// Metrics are the measures a font descriptor states, in thousandths of an em.
type Metrics struct {
	Ascent, Descent, CapHeight int
	Box                        [4]int // left, bottom, right, top
	Fixed                      bool   // every glyph has one width
	Bold                       bool
}

// Parse reads the bytes of a TrueType file, which it keeps and never changes.
// The error tells that the bytes are not a TrueType face with outlines.
func Parse(data []byte) (*Face, error) {
	parsed, err := sfnt.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("parse face: %w", err)
	}
	tables, err := directory(data)
	if err != nil {
		return nil, fmt.Errorf("parse face: %w", err)
	}
	f := &Face{font: parsed, tables: tables, upem: int(parsed.UnitsPerEm()), cache: map[rune]entry{}}
	if f.name, err = parsed.Name(&f.buf, sfnt.NameIDPostScript); err != nil {
		return nil, fmt.Errorf("parse face: name: %w", err)
	}
	f.long = binary.BigEndian.Uint16(tables["head"][50:]) != 0
	f.readMetrics()
	for _, r := range []rune{'\uFFFD', '□', '?'} {
		if g, ok := f.index(r); ok {
			f.spare = g
			break
		}
	}
	return f, nil
}

// directory lists a TrueType file's tables by tag and refuses a file that
// lacks one that embedding needs (ISO 32000-1, 9.9).
func directory(data []byte) (map[string][]byte, error) {
	if len(data) < 12 {
		return nil, fmt.Errorf("%d bytes are no face", len(data))
	}
	tables := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint16(data[4:])) {
		at := 12 + 16*i
		if at+16 > len(data) {
			return nil, fmt.Errorf("table directory is cut off")
		}
		start := uint64(binary.BigEndian.Uint32(data[at+8:]))
		size := uint64(binary.BigEndian.Uint32(data[at+12:]))
		if start+size > uint64(len(data)) {
			return nil, fmt.Errorf("table %q lies outside the file", data[at:at+4])
		}
		tables[string(data[at:at+4])] = data[start : start+size]
	}
	least := map[string]int{"head": 54, "hhea": 36, "maxp": 6, "OS/2": 78, "hmtx": 4, "loca": 4, "glyf": 0, "post": 16}
	for tag, n := range least {
		if table, ok := tables[tag]; !ok || len(table) < n {
			return nil, fmt.Errorf("table %q is missing or short", tag)
		}
	}
	return tables, nil
}

func (f *Face) readMetrics() {
	head, hhea, os2 := f.tables["head"], f.tables["hhea"], f.tables["OS/2"]
	m := &f.metrics
	m.Ascent, m.Descent = f.thousandths(int16At(hhea, 4)), f.thousandths(int16At(hhea, 6))
	for i := range m.Box {
		m.Box[i] = f.thousandths(int16At(head, 36+2*i))
	}
	// Version 2 of OS/2 states the height of capitals; before that the usual
	// seven tenths of the ascent stands in.
	m.CapHeight = m.Ascent * 7 / 10
	if len(os2) >= 90 && binary.BigEndian.Uint16(os2) >= 2 {
		m.CapHeight = f.thousandths(int16At(os2, 88))
	}
	m.Bold = binary.BigEndian.Uint16(os2[4:]) >= 600
	m.Fixed = binary.BigEndian.Uint32(f.tables["post"][12:]) != 0
}

func int16At(b []byte, at int) int { return int(int16(binary.BigEndian.Uint16(b[at:]))) }

func (f *Face) thousandths(units int) int { return units * 1000 / f.upem }

// Name is the face's PostScript name, such as DejaVuSans-Bold.
func (f *Face) Name() string { return f.name }

// UnitsPerEm is the number of face units to an em.
func (f *Face) UnitsPerEm() int { return f.upem }

// Metrics are the face's measures.
func (f *Face) Metrics() Metrics { return f.metrics }

func (f *Face) index(r rune) (uint16, bool) {
	g, err := f.font.GlyphIndex(&f.buf, r)
	return uint16(g), err == nil && g != 0
}

// Glyph is the glyph drawn for r and its advance in face units. Where the
// face lacks r, has is false and the replacement sign is returned.
func (f *Face) Glyph(r rune) (glyph uint16, advance int, has bool) {
	if r >= 0 && r < nearRunes {
		e := &f.near[r]
		if !e.known {
			*e = f.look(r)
		}
		return e.glyph, e.advance, e.has
	}
	e, known := f.cache[r]
	if !known {
		e = f.look(r)
		f.cache[r] = e
	}
	return e.glyph, e.advance, e.has
}

func (f *Face) look(r rune) entry {
	e := entry{known: true}
	if e.glyph, e.has = f.index(r); !e.has {
		e.glyph = f.spare
	}
	e.advance = f.advance(e.glyph)
	return e
}

// advance asks at one pixel to the face unit, so that nothing is rounded. A
// glyph without a stated advance counts as none wide.
func (f *Face) advance(g uint16) int {
	a, err := f.font.GlyphAdvance(&f.buf, sfnt.GlyphIndex(g), fixed.I(f.upem), font.HintingNone)
	if err != nil {
		return 0
	}
	return a.Round()
}

// Width is the width of s set at size points, in points, without kerning.
func (f *Face) Width(s string, size float64) float64 {
	units := 0
	for _, r := range s {
		_, a, _ := f.Glyph(r)
		units += a
	}
	return float64(units) * size / float64(f.upem)
}
