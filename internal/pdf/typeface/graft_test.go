package typeface_test

import (
	"encoding/binary"
	"maps"
	"slices"
	"testing"
)

// graft adds the tables that a general reader wants (name, cmap, post, OS/2)
// from the whole face to a subset, which embedding does without.
func graft(t *testing.T, cut, whole []byte) []byte {
	t.Helper()
	tables := tablesOf(cut)
	for _, tag := range []string{"name", "cmap", "post", "OS/2"} {
		tables[tag] = tablesOf(whole)[tag]
	}
	// Version 3 of post names no glyphs, so it fits any count of them.
	tables["post"] = slices.Clone(tables["post"][:32])
	binary.BigEndian.PutUint32(tables["post"], 0x00030000)
	// The reader measures x and H itself in an OS/2 of version 1, and the
	// subset has neither; version 4 states both heights.
	tables["OS/2"] = append(slices.Clone(tables["OS/2"]), make([]byte, 96-len(tables["OS/2"]))...)
	binary.BigEndian.PutUint16(tables["OS/2"], 4)
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	out = binary.BigEndian.AppendUint16(out, uint16(len(tables)))
	out = append(out, 0, 0, 0, 0, 0, 0)
	at := 12 + 16*len(tables)
	var body []byte
	for _, tag := range slices.Sorted(maps.Keys(tables)) {
		out = append(out, tag...)
		out = append(out, 0, 0, 0, 0)
		out = binary.BigEndian.AppendUint32(out, uint32(at))
		out = binary.BigEndian.AppendUint32(out, uint32(len(tables[tag])))
		padded := append(slices.Clone(tables[tag]), make([]byte, (4-len(tables[tag])%4)%4)...)
		body, at = append(body, padded...), at+len(padded)
	}
	return append(out, body...)
}

func tablesOf(data []byte) map[string][]byte {
	tables := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint16(data[4:])) {
		row := data[12+16*i:]
		start, size := binary.BigEndian.Uint32(row[8:]), binary.BigEndian.Uint32(row[12:])
		tables[string(row[:4])] = data[start : start+size]
	}
	return tables
}
