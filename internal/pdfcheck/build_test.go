package pdfcheck_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/go-fonts/dejavu/dejavusans"

	"witnessmark/internal/pdf/typeface"
)

// alphabet is what the good file's font shows: code n is its n-th letter.
const alphabet = "ABCDEFGH"

// source is the good file as text: objects with names, streams without lengths.
func source(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile("testdata/good.txt")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// blobs are the parts of the good file that are no text.
func blobs(t testing.TB) map[string]string {
	t.Helper()
	face, err := typeface.Parse(dejavusans.TTF)
	if err != nil {
		t.Fatal(err)
	}
	glyphs, widths, places := []uint16{0}, "0 [600", "\x00\x00"
	for i, r := range alphabet {
		g, advance, _ := face.Glyph(r)
		glyphs = append(glyphs, g)
		widths += fmt.Sprintf(" %.3f", float64(advance)*1000/float64(face.UnitsPerEm()))
		places += string([]byte{0, byte(i + 1)})
	}
	cut, err := face.Subset(glyphs)
	if err != nil {
		t.Fatal(err)
	}
	jpeg, err := os.ReadFile("../../testdata/pdf/quarters-baseline.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return map[string]string{"font": string(cut), "fontsize": fmt.Sprint(len(cut)), "widths": widths + "]", "places": places, "jpeg": string(jpeg), "profile": string(profile())}
}

var (
	startOfObject = regexp.MustCompile(`(?m)^obj (\w+)\n`)
	reference     = regexp.MustCompile(`@(\w+)`)
	blob          = regexp.MustCompile(`@@(\w+)`)
)

// build makes a file of its text, with a classic table and a byte range that
// is right. A name that no object has becomes object 0, which there is never.
func build(text string, blobs map[string]string) []byte {
	starts := startOfObject.FindAllStringSubmatchIndex(text, -1)
	numbers := map[string]int{}
	for i, at := range starts {
		numbers[text[at[2]:at[3]]] = i + 1
	}
	var b bytes.Buffer
	b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	table := fmt.Sprintf("xref\n0 %d\n0000000000 65535 f \n", len(starts)+1)
	for i, at := range starts {
		end := len(text)
		if i+1 < len(starts) {
			end = starts[i+1][0]
		}
		dict, data, isStream := strings.Cut(strings.TrimRight(text[at[1]:end], "\n"), "\nstream\n")
		if isStream {
			data = blob.ReplaceAllStringFunc(strings.TrimSuffix(data, "\nendstream"), func(s string) string { return blobs[s[2:]] })
			data = fmt.Sprintf("\nstream\n%s\nendstream", data)
			dict = strings.Replace(dict, "<<", fmt.Sprintf("<< /Length %d", len(data)-len("\nstream\n\nendstream")), 1)
		}
		dict = blob.ReplaceAllStringFunc(dict, func(s string) string { return blobs[s[2:]] })
		dict = reference.ReplaceAllStringFunc(dict, func(s string) string { return fmt.Sprintf("%d 0 R", numbers[s[1:]]) })
		table += fmt.Sprintf("%010d 00000 n \n", b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s%s\nendobj\n", i+1, dict, data)
	}
	fmt.Fprintf(&b, "%strailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<0123> <0123>] >>\nstartxref\n%d\n%%%%EOF\n",
		table, len(starts)+1, numbers["catalog"], numbers["info"], b.Len())
	return signedRange(b.Bytes())
}

func signedRange(b []byte) []byte {
	hole := regexp.MustCompile(`<0{32}>`).FindIndex(b)
	if hole == nil {
		return b
	}
	for old, n := range map[string]int{"1111111111": hole[0], "2222222222": hole[1], "3333333333": len(b) - hole[1]} {
		b = bytes.Replace(b, []byte(old), fmt.Appendf(nil, "%-10d", n), 1)
	}
	return b
}

// profile is an RGB profile of curves and a matrix, as small as ICC.1:2010
// allows; its numbers are no good for colours.
func profile() []byte {
	text := append([]byte("text\x00\x00\x00\x00"), "none\x00\x00\x00\x00"...)
	description := append([]byte("desc\x00\x00\x00\x00\x00\x00\x00\x05none\x00"), make([]byte, 79)...)
	xyz := append([]byte("XYZ \x00\x00\x00\x00"), make([]byte, 12)...)
	curve := []byte("curv\x00\x00\x00\x00\x00\x00\x00\x01\x02\x33\x00\x00")
	tags := []struct {
		name string
		data []byte
	}{{"desc", description}, {"cprt", text}, {"wtpt", xyz}, {"rXYZ", xyz}, {"gXYZ", xyz}, {"bXYZ", xyz}, {"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve}}
	head := make([]byte, 128)
	copy(head[8:], []byte{2, 0x10, 0, 0})
	copy(head[12:], "mntrRGB XYZ ")
	copy(head[36:], "acsp")
	head = binary.BigEndian.AppendUint32(head, uint32(len(tags)))
	at := len(head) + 12*len(tags)
	var body []byte
	for _, tag := range tags {
		for len(tag.data)%4 != 0 {
			tag.data = append(tag.data, 0)
		}
		head = append(head, tag.name...)
		head = binary.BigEndian.AppendUint32(head, uint32(at+len(body)))
		head = binary.BigEndian.AppendUint32(head, uint32(len(tag.data)))
		body = append(body, tag.data...)
	}
	all := append(head, body...)
	binary.BigEndian.PutUint32(all, uint32(len(all)))
	return all
}
