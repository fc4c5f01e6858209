package app

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// The names are invented.
func TestCoverWords(t *testing.T) {
	c := newNameCover("Tom Holm", []string{"Ada Holm", "Sam O'Reilly", "Bo Li", "Zoë Mark", "Tom Holm", "JOSÉ Núñez-Prado"})
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"The two sheets are alike.", "The two sheets are alike."},
		{"Tom Holm sat by Ada Holm.", "Tom Holm sat by [somebody else]."},
		{"Tom sat by Ada; Holm is his name.", "Tom sat by [somebody else]; Holm is his name."},
		{"Sam's sheet, and O'Reilly's", "[somebody else] sheet, and [somebody else]"},
		{"SAM O'REILLY said so", "[somebody else] said so"},
		{"bo li was there, a bold line", "[somebody else] was there, a bold line"},
		{"the mark sheet of Zoë", "the mark sheet of [somebody else]"},
		{"José Núñez-Prado", "[somebody else]"},
		{"He said “it was Ada” and left.", "He said [somebody else's words] and left."},
		{`She wrote "Tom copied`, "She wrote [somebody else's words]"},
		{"Samuel and Adare are towns", "Samuel and Adare are towns"},
	} {
		if got := c.cover(test.text); got != test.want {
			t.Errorf("%q: got %q, want %q", test.text, got, test.want)
		}
	}
}

// Whatever the words, no name of another is left where it stands by itself.
func FuzzCoverWords(f *testing.F) {
	for _, s := range []string{"Ada Quill", "x Ada Quill's", "ADA QUILL", "“Ada", "Ada\x00Quill", "Ádá Quill İ"} {
		f.Add(s)
	}
	c := newNameCover("Tom Holm", []string{"Ada Quill"})
	f.Fuzz(func(t *testing.T, text string) {
		got := c.cover(text)
		if utf8.ValidString(text) && !utf8.ValidString(got) {
			t.Errorf("%q became %q", text, got)
		}
		for part := range strings.FieldsFuncSeq(got, notInName) {
			if part == "Ada" || part == "Quill" {
				t.Errorf("%q is left in %q", part, got)
			}
		}
	})
}
