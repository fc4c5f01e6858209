package marking

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

func TestReadingAs(t *testing.T) {
	heat := &brief.Item{Reading: &brief.Reading{Unit: "W", Believable: &brief.Range{From: "500 W", To: "2 kW"}}}
	for _, c := range []struct {
		name, text, unit string
		words            string // of the number, as it is said aloud
		bound            quantity.Bound
		why              string // begins with
		choices          []string
		tutor, warned    bool
	}{
		{name: "plain", text: "1234", words: "1234 W"},
		{name: "stated zeros stay", text: "1250.0", words: "1250.0 W"},
		{name: "groups", text: "1 250", words: "1250 W"},
		{name: "a lone comma before three digits reads as thousands and is asked about", text: "1,234", words: "1234 W", choices: []string{"1.234", "1234"}},
		{name: "with its unit", text: "1,234 W", words: "1234 W", choices: []string{"1.234 W", "1234 W"}},
		{name: "a lone comma that is no group", text: "2,47", choices: []string{"2.47", "247"}, why: "There is a comma", tutor: true},
		{name: "a comma and a point", text: "1,234.5", words: "1234.5 W"},
		{name: "two commas", text: "1,234,567", words: "1234567 W", warned: true},
		{name: "a comma at the end", text: "2,", why: "The number ends in a comma", tutor: true},
		{name: "chosen unit", text: "1.2", unit: "kW", words: "1.2 kW"},
		{name: "typed unit", text: "1.2 kW", words: "1.2 kW"},
		{name: "two units", text: "1.2 kW", unit: "W", why: "Two units stand here", tutor: true},
		{name: "another thing", text: "12 L", words: "12 L", why: "L is a volume"},
		{name: "forgiven", text: "1.2 Kw", words: "1.2 kW", why: "Mind capital"},
		{name: "not to be expected", text: "3.1 kW", words: "3.1 kW", warned: true},
		{name: "on the edge", text: "2000", words: "2000 W"},
		{name: "above the range of the instrument", text: ">1000", words: "1000 W", bound: quantity.Above},
		{name: "below, all of it outside", text: "<200", words: "200 W", bound: quantity.Below, warned: true},
		{name: "overload", text: "OL", bound: quantity.OverRange},
		{name: "a power of ten", text: "1.2×10^3", words: "1.2 times 10 to the power of 3 W"},
		{name: "no number", text: "about ten", why: "", tutor: true},
		{name: "nothing", text: "  "},
	} {
		a := ReadAs(heat, c.text, c.unit, "")
		words := ""
		if a.Number != nil {
			words = a.Number.Words()
		}
		if c.name == "a power of ten" {
			if !strings.Contains(words, "10") || a.Why != "" {
				t.Errorf("%s: %q, %q", c.name, words, a.Why)
			}
			continue
		}
		if plain(words) != plain(c.words) || a.Bound != c.bound || !strings.HasPrefix(a.Why, c.why) || c.why == "" && !c.tutor && a.Why != "" || a.ToTutor != c.tutor || !slices.Equal(a.Choices, c.choices) || (a.Believable != "") != c.warned {
			t.Errorf("%s: %q reads as %q (%v), why %q, choices %q, to the tutor %v, warned %q", c.name, c.text, words, a.Bound, a.Why, a.Choices, a.ToTutor, a.Believable)
		}
	}
}

// plain takes thin spaces and the words of units as they are; only the digits and letters count here.
func plain(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u2009", " ")), " ")
}

// What is read while somebody types is what the marker reads afterwards.
func TestReadAsIsTheMarkersReading(t *testing.T) {
	asked := quantity.MustUnit("W")
	for _, text := range []string{"1234", "1,234", "2,47", "1.2 kW", "12 L", ">3", "OL", "", "x", "1/2", "-3", "1e3"} {
		a, m := ReadAs(&brief.Item{Reading: &brief.Reading{Unit: "W"}}, text, "", ""), readTyped(text, "", asked)
		if a.ToTutor != (m.verdict == ToRead) || (a.Number != nil) != ((m.verdict == "" || m.verdict == UnitWrong) && m.number.Bound != quantity.OverRange) {
			t.Errorf("%q: while typing %+v, marked %q %q", text, a, m.verdict, m.code)
		}
	}
}

// A unit that is asked for may not be told by what is said of the typed one.
func TestFigureAsTellsNoUnit(t *testing.T) {
	asks := &brief.Item{Figure: &brief.Figure{Unit: "°C", AskUnit: true}}
	other := &brief.Item{Figure: &brief.Figure{Unit: "kW", AskUnit: true}}
	for _, c := range []struct{ text, unit string }{
		{"12", ""}, {"12", "°C"}, {"12", "C"}, {"12", "K"}, {"12", "kW"}, {"12", "KW"}, {"12 L", ""}, {"12 L", "kW"}, {"12", "furlong"}, {"2,4", "kW"},
	} {
		a, b := ReadAs(asks, c.text, c.unit, ""), ReadAs(other, c.text, c.unit, "")
		if a.Why != b.Why || a.ToTutor != b.ToTutor || a.Number.Words() != b.Number.Words() {
			t.Errorf("%q %q is told apart by the unit that is asked for: %+v and %+v", c.text, c.unit, a, b)
		}
	}
}

func TestWorkingAs(t *testing.T) {
	it := &brief.Item{Figure: &brief.Figure{Unit: "kW"}}
	a := ReadAs(it, "", "", "Heat from the meter:\nP = 12.4 ÷ 60 × 4.18 × 18.5\n= 15.98 kW\nQ = 0,28 × 4\n\nhalf of it")
	if len(a.Working) != 4 {
		t.Fatalf("%d lines, want 4: %+v", len(a.Working), a.Working)
	}
	if w := a.Working[0]; w.Line != nil || w.Stopped != "" {
		t.Errorf("words: %+v, want them left alone", w)
	}
	if w := a.Working[1]; w.Line == nil || len(w.Line) != 3 || w.Line[1].Sign != "=" || w.Stopped != "" {
		t.Errorf("a line that goes on below: %+v, want label, calculation and result", w)
	}
	if w := a.Working[2]; w.Line != nil || w.Stopped != "Q = 0,28 × 4\n     ^" || !strings.HasPrefix(w.Why, "There is a comma") {
		t.Errorf("a line that stops: %q, want a caret under the comma", w.Stopped)
	}
	if s := ReadAs(it, "", "", "12.4 ÷ 60 × 4.18 × 18.5 × 0,28 × 4.19 × 20 ÷ 3600 = 1").Working[0].Stopped; s != "….18 × 18.5 × 0,28 × 4.19 × 2…\n               ^" {
		t.Errorf("a long line that stops is shown as\n%s", s)
	}
	long := strings.Repeat("1 + 1 = 2\n", maxWorkingLines+5)
	if n := len(ReadAs(it, "", "", long).Working); n != maxWorkingLines {
		t.Errorf("%d lines are read, want %d", n, maxWorkingLines)
	}
	if a := ReadAs(&brief.Item{Answer: &brief.Answer{}}, "12", "", "1 + 1"); a.Number != nil || a.Working != nil {
		t.Errorf("an answer in words was read: %+v", a)
	}
}
