package pdfcheck

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// program is what a TrueType program says of its glyphs (OpenType
// specification, tables head, hhea, hmtx, loca, maxp).
type program struct {
	glyphs int
	perEm  float64
	hmtx   []byte
	long   int // glyphs with a width of their own; the rest have the last one's
}

// advance is a glyph's width in thousandths of the size.
func (p *program) advance(g uint16) float64 {
	i := min(int(g), p.long-1)
	return float64(binary.BigEndian.Uint16(p.hmtx[4*i:])) * 1000 / p.perEm
}

// readProgram reads a TrueType program and says whether its tables are whole.
func readProgram(b []byte) (*program, error) {
	if len(b) < 12 {
		return nil, errors.New("it is shorter than its head")
	}
	if v := binary.BigEndian.Uint32(b); v != 0x00010000 && v != 0x74727565 {
		return nil, errors.New("it is not TrueType")
	}
	tables := map[string][]byte{}
	count := int(binary.BigEndian.Uint16(b[4:]))
	if len(b) < 12+16*count {
		return nil, errors.New("its list of tables is cut short")
	}
	for i := range count {
		entry := b[12+16*i:]
		at, size := uint64(binary.BigEndian.Uint32(entry[8:])), uint64(binary.BigEndian.Uint32(entry[12:]))
		if at+size > uint64(len(b)) {
			return nil, fmt.Errorf("its table %q lies outside it", entry[:4])
		}
		tables[string(entry[:4])] = b[at : at+size]
	}
	for name, least := range map[string]int{"head": 54, "hhea": 36, "maxp": 6, "hmtx": 4, "loca": 4, "glyf": 0} {
		if t, ok := tables[name]; !ok || len(t) < least {
			return nil, fmt.Errorf("its table %q is absent or cut short", name)
		}
	}
	p := &program{glyphs: int(binary.BigEndian.Uint16(tables["maxp"][4:])), perEm: float64(binary.BigEndian.Uint16(tables["head"][18:])),
		hmtx: tables["hmtx"], long: int(binary.BigEndian.Uint16(tables["hhea"][34:]))}
	if p.perEm == 0 || p.long == 0 || p.long > p.glyphs || len(p.hmtx) < 4*p.long+2*(p.glyphs-p.long) {
		return nil, errors.New("its widths do not fit its glyphs")
	}
	return p, checkOutlines(tables["loca"], len(tables["glyf"]), p.glyphs, binary.BigEndian.Uint16(tables["head"][50:]) != 0)
}

// checkOutlines looks at where each glyph's outline lies.
func checkOutlines(loca []byte, size, glyphs int, long bool) error {
	each := 2
	if long {
		each = 4
	}
	if len(loca) < each*(glyphs+1) {
		return errors.New("its table \"loca\" is cut short")
	}
	before := 0
	for i := range glyphs + 1 {
		at := 2 * int(binary.BigEndian.Uint16(loca[2*i:]))
		if long {
			at = int(binary.BigEndian.Uint32(loca[4*i:]))
		}
		if at < before || at > size {
			return fmt.Errorf("the outline of glyph %d lies outside its table", max(0, i-1))
		}
		before = at
	}
	return nil
}
