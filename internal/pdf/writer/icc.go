package writer

import (
	"encoding/binary"
	"fmt"
	"math"
	"unicode/utf16"
)

// writeIntent says that the file's colours are those of sRGB (ISO 19005-3,
// 6.2.3), with a profile of it.
func (f *File) writeIntent() Ref {
	profile := f.reserve()
	f.stream(profile, "/N 3 /Alternate /DeviceRGB", sRGB())
	const is = "(sRGB IEC61966-2.1)"
	return f.add(fmt.Sprintf("<< /Type /OutputIntent /S /GTS_PDFA1 /OutputConditionIdentifier %s /Info %[1]s /RegistryName (http://www.color.org) /DestOutputProfile %d 0 R >>", is, profile))
}

// The numbers of IEC 61966-2-1 (from memory): where the primaries and the white
// of a display lie in CIE 1931 x, y, and the curve from stored values to light.
var (
	primaries = [3][2]float64{{0.64, 0.33}, {0.30, 0.60}, {0.15, 0.06}}
	daylight  = [2]float64{0.3127, 0.3290} // D65
	curve     = [5]float64{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045}
)

// The white of profiles, D50, and the cone response by which one white is
// carried to another, after Bradford (ICC.1:2010, 6.3.4.3 and annex E, from
// memory).
var (
	profileWhite = vector{0.9642, 1, 0.8249}
	cones        = matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
)

// sRGB makes a display profile of version 4 (ICC.1:2010) from these numbers: it
// is ours, whole and short.
func sRGB() []byte {
	white := located(daylight)
	adapt := adaptation(white, profileWhite)
	colours := columns(located(primaries[0]), located(primaries[1]), located(primaries[2]))
	scale := colours.inverse().times(white)
	tags := []struct {
		name string
		body []byte
	}{
		{"desc", words("sRGB, after IEC 61966-2-1")}, {"cprt", words("No copyright is claimed: made from published numbers.")},
		{"wtpt", xyz(profileWhite)}, {"chad", adaptationTag(adapt)},
	}
	for i, name := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		c := vector{colours[0][i] * scale[i], colours[1][i] * scale[i], colours[2][i] * scale[i]}
		tags = append(tags, struct {
			name string
			body []byte
		}{name, xyz(adapt.times(c))})
	}
	para := binary.BigEndian.AppendUint16(typed("para"), 3)
	para = append(para, 0, 0)
	for _, v := range curve {
		para = fixed(para, v)
	}
	out := header()
	out = binary.BigEndian.AppendUint32(out, uint32(len(tags)+3))
	at := 128 + 4 + 12*(len(tags)+3)
	var body []byte
	for _, t := range tags {
		out = entryOf(out, t.name, at+len(body), len(t.body))
		body = append(body, t.body...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	for _, name := range []string{"rTRC", "gTRC", "bTRC"} { // one curve for all
		out = entryOf(out, name, at+len(body), len(para))
	}
	out = append(append(out, body...), para...)
	binary.BigEndian.PutUint32(out, uint32(len(out)))
	return out
}

// header is the first 128 bytes, the size still 0. Its date is that of the
// standard's second edition, so that the profile is the same for ever.
func header() []byte {
	h := make([]byte, 128)
	copy(h[8:], []byte{4, 0x20, 0, 0}) // version 4.2
	copy(h[12:], "mntrRGB XYZ ")
	for i, v := range []uint16{2000, 1, 1, 0, 0, 0} {
		binary.BigEndian.PutUint16(h[24+2*i:], v)
	}
	copy(h[36:], "acsp")
	copy(h[68:], xyz(profileWhite)[8:])
	return h
}

func entryOf(out []byte, name string, at, size int) []byte {
	out = append(out, name...)
	return binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(out, uint32(at)), uint32(size))
}

func typed(kind string) []byte { return append([]byte(kind), 0, 0, 0, 0) }

// fixed appends a number with sixteen bits before and after its point.
func fixed(b []byte, v float64) []byte {
	return binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
}

func xyz(v vector) []byte {
	b := typed("XYZ ")
	for _, x := range v {
		b = fixed(b, x)
	}
	return b
}

func adaptationTag(m matrix) []byte {
	b := typed("sf32")
	for _, row := range m {
		for _, x := range row {
			b = fixed(b, x)
		}
	}
	return b
}

// words is text in one language.
func words(s string) []byte {
	units := utf16.Encode([]rune(s))
	b := typed("mluc")
	for _, v := range []uint32{1, 12} {
		b = binary.BigEndian.AppendUint32(b, v)
	}
	b = append(b, "enGB"...)
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

type (
	vector [3]float64
	matrix [3]vector
)

// located is a colour of luminance 1 at x, y.
func located(at [2]float64) vector { return vector{at[0] / at[1], 1, (1 - at[0] - at[1]) / at[1]} }

func columns(a, b, c vector) matrix {
	var m matrix
	for i := range m {
		m[i] = vector{a[i], b[i], c[i]}
	}
	return m
}

func (m matrix) times(v vector) vector {
	var out vector
	for i, row := range m {
		out[i] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2]
	}
	return out
}

func (m matrix) by(n matrix) matrix {
	var out matrix
	for i := range m {
		for j := range n {
			out[i][j] = m[i][0]*n[0][j] + m[i][1]*n[1][j] + m[i][2]*n[2][j]
		}
	}
	return out
}

// inverse is by cofactors; the matrices here have one.
func (m matrix) inverse() matrix {
	var out matrix
	cofactor := func(i, j int) float64 {
		a, b, c, d := m[(i+1)%3][(j+1)%3], m[(i+1)%3][(j+2)%3], m[(i+2)%3][(j+1)%3], m[(i+2)%3][(j+2)%3]
		return a*d - b*c
	}
	whole := m[0][0]*cofactor(0, 0) + m[0][1]*cofactor(0, 1) + m[0][2]*cofactor(0, 2)
	for i := range out {
		for j := range out {
			out[i][j] = cofactor(j, i) / whole
		}
	}
	return out
}

// adaptation carries colours seen under one white to another.
func adaptation(from, to vector) matrix {
	a, b := cones.times(from), cones.times(to)
	scale := matrix{{b[0] / a[0], 0, 0}, {0, b[1] / a[1], 0}, {0, 0, b[2] / a[2]}}
	return cones.inverse().by(scale).by(cones)
}
