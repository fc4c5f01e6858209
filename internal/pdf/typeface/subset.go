package typeface

import (
	"encoding/binary"
	"fmt"
	"slices"
)

// Flags of a composite glyph's parts (OpenType specification, table glyf).
const (
	argsAreWords = 0x0001
	haveScale    = 0x0008
	moreParts    = 0x0020
	haveXYScale  = 0x0040
	haveTwoByTwo = 0x0080
)

// Subset cuts a TrueType file in which glyph i is the face's glyph glyphs[i].
// glyphs[0] must be 0, the glyph for "not defined". Parts that composite
// glyphs are built from follow after the glyphs asked for. The file has the
// tables that ISO 32000-1, 9.9 asks of an embedded face and no others.
func (f *Face) Subset(glyphs []uint16) ([]byte, error) {
	if len(glyphs) == 0 || glyphs[0] != 0 {
		return nil, fmt.Errorf("subset of %s: glyph 0 must come first", f.name)
	}
	all := slices.Clone(glyphs)
	place := map[uint16]uint16{}
	for i, g := range all {
		if _, ok := place[g]; !ok {
			place[g] = uint16(i)
		}
	}
	var glyf, loca, hmtx []byte
	for i := 0; i < len(all); i++ { // all grows as parts are met
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		outline, err := f.outline(all[i])
		if err != nil {
			return nil, fmt.Errorf("subset of %s: %w", f.name, err)
		}
		outline = slices.Clone(outline)
		err = eachPart(outline, func(at int) {
			part := binary.BigEndian.Uint16(outline[at:])
			to, ok := place[part]
			if !ok {
				to = uint16(len(all))
				place[part] = to
				all = append(all, part)
			}
			binary.BigEndian.PutUint16(outline[at:], to)
		})
		if err != nil {
			return nil, fmt.Errorf("subset of %s: glyph %d: %w", f.name, all[i], err)
		}
		glyf = append(glyf, outline...)
		for len(glyf)%4 != 0 {
			glyf = append(glyf, 0)
		}
		hmtx = append(hmtx, f.metric(all[i])...)
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	return f.assemble(len(all), glyf, loca, hmtx), nil
}

func (f *Face) outline(g uint16) ([]byte, error) {
	loca, glyf := f.tables["loca"], f.tables["glyf"]
	var from, to uint64
	if f.long {
		if len(loca) < 4*int(g)+8 {
			return nil, fmt.Errorf("glyph %d is not in the face", g)
		}
		from, to = uint64(binary.BigEndian.Uint32(loca[4*int(g):])), uint64(binary.BigEndian.Uint32(loca[4*int(g)+4:]))
	} else {
		if len(loca) < 2*int(g)+4 {
			return nil, fmt.Errorf("glyph %d is not in the face", g)
		}
		from, to = 2*uint64(binary.BigEndian.Uint16(loca[2*int(g):])), 2*uint64(binary.BigEndian.Uint16(loca[2*int(g)+2:]))
	}
	if from > to || to > uint64(len(glyf)) {
		return nil, fmt.Errorf("glyph %d lies outside its table", g)
	}
	return glyf[from:to], nil
}

// eachPart calls visit with the place of each part's glyph number within a
// composite outline; a simple outline has none.
func eachPart(outline []byte, visit func(at int)) error {
	if len(outline) < 10 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return nil
	}
	for at, more := 10, true; more; {
		if at+4 > len(outline) {
			return fmt.Errorf("its list of parts is cut off")
		}
		flags := binary.BigEndian.Uint16(outline[at:])
		visit(at + 2)
		at += 4 + partSize(flags)
		more = flags&moreParts != 0
	}
	return nil
}

// partSize is the number of bytes after a part's flags and glyph number.
func partSize(flags uint16) int {
	n := 2
	if flags&argsAreWords != 0 {
		n = 4
	}
	switch {
	case flags&haveScale != 0:
		n += 2
	case flags&haveXYScale != 0:
		n += 4
	case flags&haveTwoByTwo != 0:
		n += 8
	}
	return n
}

// metric is a glyph's row of hmtx: advance and left side bearing. Glyphs past
// the last full row share its advance.
func (f *Face) metric(g uint16) []byte {
	hmtx := f.tables["hmtx"]
	full := int(binary.BigEndian.Uint16(f.tables["hhea"][34:]))
	if int(g) < full {
		if at := 4 * int(g); at+4 <= len(hmtx) {
			return hmtx[at : at+4]
		}
		return []byte{0, 0, 0, 0}
	}
	row := []byte{0, 0, 0, 0}
	if last := 4 * (full - 1); full > 0 && last+2 <= len(hmtx) {
		copy(row, hmtx[last:last+2])
	}
	if at := 4*full + 2*(int(g)-full); at+2 <= len(hmtx) {
		copy(row[2:], hmtx[at:at+2])
	}
	return row
}

// assemble writes the file: directory, tables in order of tag, check sums.
func (f *Face) assemble(count int, glyf, loca, hmtx []byte) []byte {
	head, hhea, maxp := slices.Clone(f.tables["head"]), slices.Clone(f.tables["hhea"]), slices.Clone(f.tables["maxp"])
	binary.BigEndian.PutUint32(head[8:], 0)  // check sum of the whole, set last
	binary.BigEndian.PutUint16(head[50:], 1) // loca in 32 bits
	binary.BigEndian.PutUint16(hhea[34:], uint16(count))
	binary.BigEndian.PutUint16(maxp[4:], uint16(count))
	tables := map[string][]byte{"glyf": glyf, "head": head, "hhea": hhea, "hmtx": hmtx, "loca": loca, "maxp": maxp}
	for _, tag := range []string{"cvt ", "fpgm", "prep"} {
		if t, ok := f.tables[tag]; ok {
			tables[tag] = t
		}
	}
	tags := make([]string, 0, len(tables))
	for tag := range tables {
		tags = append(tags, tag)
	}
	slices.Sort(tags)

	n, pow, log := len(tags), 1, 0
	for pow*2 <= n {
		pow, log = pow*2, log+1
	}
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	for _, v := range []int{n, pow * 16, log, (n - pow) * 16} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	at, headAt := 12+16*n, 0
	var body []byte
	for _, tag := range tags {
		if tag == "head" {
			headAt = at
		}
		out = append(out, tag...)
		out = binary.BigEndian.AppendUint32(out, checkSum(tables[tag]))
		out = binary.BigEndian.AppendUint32(out, uint32(at))
		out = binary.BigEndian.AppendUint32(out, uint32(len(tables[tag])))
		padded := append(slices.Clone(tables[tag]), make([]byte, (4-len(tables[tag])%4)%4)...)
		body, at = append(body, padded...), at+len(padded)
	}
	out = append(out, body...)
	// 0xB1B0AFBA: OpenType specification, table head, checkSumAdjustment.
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-checkSum(out))
	return out
}

func checkSum(b []byte) uint32 {
	var sum uint32
	for len(b) >= 4 {
		sum += binary.BigEndian.Uint32(b)
		b = b[4:]
	}
	if len(b) > 0 {
		var last [4]byte
		copy(last[:], b)
		sum += binary.BigEndian.Uint32(last[:])
	}
	return sum
}
