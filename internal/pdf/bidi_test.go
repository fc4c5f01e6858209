package pdf

import (
	"slices"
	"strings"
	"testing"
)

// Words that run from right to left, as they are drawn from left to right; worked by Unicode's rules (UAX 9) by hand for a line that
// runs from left to right, and for one that has nothing else.
func TestWordsThatRunToTheLeft(t *testing.T) {
	for _, c := range []struct{ written, drawn string }{
		{"plain words (in brackets)", "plain words (in brackets)"},
		{"נועה לוי", "יול העונ"},
		{"by נועה לוי today", "by יול העונ today"},
		{"by נועה לוי (noa), unit 3", "by יול העונ (noa), unit 3"},
		{"he (כהן) said", "he (ןהכ) said"},
		{"said [בדיקה].", "said [הקידב]."},
		{"“שלום עולם” he", "“םלוע םולש” he"},
		{"a טוב (מאד) מאד b", "a דאמ (דאמ) בוט b"},
		{"a שלום 12.4 עולם b", "a םלוע 12.4 םולש b"},
		{"a בערך-12.4 b", "a 12.4-ךרעב b"},
		{"בדיקה (טובה).", ".(הבוט) הקידב"},
		{"12 נועה", "12 העונ"},
	} {
		var pieces []piece
		for word := range strings.SplitSeq(c.written, " ") {
			pieces = append(pieces, piece{text: word}, piece{text: " "})
		}
		got := ""
		for _, p := range visual(pieces[:len(pieces)-1], func(p piece) float64 { return float64(len(p.text)) }) {
			got += p.text
		}
		if got != c.drawn {
			t.Errorf("%q is drawn %q, want %q", c.written, got, c.drawn)
		}
	}
	// A sign that comes to stand with another piece takes its room along.
	turned := visual([]piece{{text: "a"}, {text: "(אב", wide: 3}, {text: " ", wide: 1}, {text: "גדה", wide: 3}}, func(p piece) float64 { return float64(len([]rune(p.text))) })
	var room []float64
	for _, p := range turned[1:] {
		room = append(room, p.wide)
	}
	if want := []float64{4, 1, 2}; !slices.Equal(room, want) {
		t.Errorf("the pieces take %v, want %v", room, want)
	}
}
