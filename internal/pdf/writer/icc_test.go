package writer_test

import (
	"encoding/binary"
	"math"
	"testing"

	"witnessmark/internal/pdf/writer"
)

// profile is a colour profile taken apart by its own table (ICC.1:2010, 7; from memory).
func profile(t *testing.T) (header []byte, tags map[string][]byte) {
	t.Helper()
	b := writer.SRGB()
	if got := binary.BigEndian.Uint32(b); int(got) != len(b) {
		t.Fatalf("states %d bytes and has %d", got, len(b))
	}
	tags = map[string][]byte{}
	for i := range int(binary.BigEndian.Uint32(b[128:])) {
		row := b[132+12*i:]
		at, size := binary.BigEndian.Uint32(row[4:]), binary.BigEndian.Uint32(row[8:])
		if at%4 != 0 || int(at+size) > len(b) {
			t.Fatalf("tag %q stands at %d, %d bytes", row[:4], at, size)
		}
		tags[string(row[:4])] = b[at : at+size]
	}
	return b[:128], tags
}

func fixedAt(b []byte, i int) float64 {
	return float64(int32(binary.BigEndian.Uint32(b[8+4*i:]))) / 65536
}

// The colours of the primaries under D50, as profiles of sRGB state them (from memory, to four digits).
func TestProfileHasThePublishedColours(t *testing.T) {
	head, tags := profile(t)
	if got := string(head[12:24]) + string(head[36:40]); got != "mntrRGB XYZ acsp" {
		t.Errorf("the header says %q", got)
	}
	for name, want := range map[string][3]float64{
		"rXYZ": {0.4361, 0.2225, 0.0139}, "gXYZ": {0.3851, 0.7169, 0.0971}, "bXYZ": {0.1431, 0.0606, 0.7141}, "wtpt": {0.9642, 1, 0.8249},
	} {
		for i, w := range want {
			if got := fixedAt(tags[name], i); math.Abs(got-w) > 0.0002 {
				t.Errorf("%s: number %d is %.4f, want %.4f", name, i+1, got, w)
			}
		}
	}
	for i, w := range []float64{0.9642, 1, 0.8249} { // white is all three together
		if got := fixedAt(tags["rXYZ"], i) + fixedAt(tags["gXYZ"], i) + fixedAt(tags["bXYZ"], i); math.Abs(got-w) > 0.0001 {
			t.Errorf("white's number %d is %.5f, want %.4f", i+1, got, w)
		}
	}
	for _, name := range []string{"desc", "cprt", "chad", "rTRC", "gTRC", "bTRC"} {
		if len(tags[name]) == 0 {
			t.Errorf("there is no %s", name)
		}
	}
}

// The curve by the formula of a parametric curve of type 3, at values whose light is known (IEC 61966-2-1, from memory): the
// middle grey of a display, and the value where the straight part ends, which both parts agree on.
func TestProfileHasThePublishedCurve(t *testing.T) {
	_, tags := profile(t)
	para := tags["rTRC"]
	if string(para[:4]) != "para" || binary.BigEndian.Uint16(para[8:]) != 3 {
		t.Fatalf("the curve is %q", para[:10])
	}
	var p [5]float64
	for i := range p {
		p[i] = fixedAt(para, i+1)
	}
	light := func(v float64) float64 {
		if v >= p[4] {
			return math.Pow(p[1]*v+p[2], p[0])
		}
		return p[3] * v
	}
	for v, want := range map[float64]float64{0: 0, 0.5: 0.2140, 1: 1, 0.04045: 0.0031308, 0.02: 0.0015480} {
		if got := light(v); math.Abs(got-want) > 0.0001 {
			t.Errorf("%v gives %.5f, want %.5f", v, got, want)
		}
	}
}
