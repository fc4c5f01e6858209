package quantity_test

import (
	"errors"
	"strings"
	"testing"

	"witnessmark/internal/quantity"
)

const (
	expected   = "A number is expected here."
	measurable = "This is no number that can be measured: state what the instrument shows, or OL where it shows that."
	oneNumber  = "This does not belong here: one number is read, with its unit."
	second     = "A second number stands here: one number is read, with its unit."
	comma      = "There is a comma here: for decimals write a point; thousands need groups of three."
	twoPoints  = "There is a second point in this number."
	decimals   = "Write the number with decimal digits; put a space before and after a times sign."
	underscore = "An underscore does not belong into a number."
	tooHigh    = "A power of ten has at most two digits."
	proportion = "This number is out of all proportion: between 1e-30 and 1e30 is taken."
	tooLong    = "This is too long for a number: at most 200 characters are read."
	nothing    = "No number is stated here."
	ends       = "The unit ends before this: nothing more belongs behind it."
	lost       = "A character was lost here in copying: type it again."
	unitGone   = "A unit is missing here."
)

func invisible(r string) string {
	return "There is an invisible character here (U+" + r + "): delete it and type on."
}

func lookalike(r string) string {
	return "The letter '" + r + "' is part of no unit; it may only look like one that is: type it again."
}

// badInputs are hostile and odd texts where a number with its unit is asked. wanted is what is said, or after "=" what is
// read; at is the byte that the message points at.
var badInputs = []struct {
	about, text string
	at          int
	wanted      string
}{
	{"words that programs read as numbers", "NaN", 0, measurable}, {"", "nan", 0, measurable}, {"", "-NaN", 1, measurable}, {"", "Inf", 0, measurable}, {"", "-inf", 1, measurable},
	{"", "+INF", 1, measurable}, {"", "Infinity", 0, measurable}, {"", "∞", 0, measurable}, {"", "NaN kW", 0, measurable}, {"", "1.#INF", 2, oneNumber}, {"", "qNaN", 0, expected},
	{"", "ｎａｎ", 0, lookalike("ｎ")},

	{"how programs write numbers", "1_000", 1, underscore}, {"", "0x1p-2", 1, decimals}, {"", "0X1F", 1, decimals}, {"", "0b101", 1, `The unit "b" is not known here.`}, {"", "1_000 W", 1, underscore},
	{"", "+5", 0, "=5"}, {"", ".5", 0, "=0.5"}, {"", "5.", 0, "=5"}, {"", "1e5", 0, "=1e5"}, {"", "1E-400", 1, tooHigh}, {"", "1e400", 1, tooHigh}, {"", "1e99", 0, proportion},
	{"", "1×10^400", 5, "An exponent is at most 99 here."}, {"", "1×10^99", 0, proportion}, {"", "1e-31", 0, proportion},

	{"too many digits", strings.Repeat("9", 1000000), 0, tooLong}, {"", strings.Repeat("9", 32), 24, "This number has too many digits: at most 24 are taken."},
	{"", strings.Repeat("0", 65), 64, "This number is too long: at most 64 characters are taken."}, {"", "0." + strings.Repeat("0", 60) + "1", 0, proportion},
	{"", strings.Repeat("9", 24), 0, "=" + strings.Repeat("9", 24)}, {"minus nothing", "-0", 0, "=0"}, {"", "−0.0", 0, "=0.0"}, {"", "- 0 K", 0, "=0 K"},
	{"one more than float64 counts", "9007199254740993", 0, "=9007199254740993"},

	{"commas, points and groups", "1,5", 1, comma}, {"", "0,234", 1, comma}, {"", "12,34,567", 2, comma}, {"", "1,250,00", 5, comma}, {"", "2,", 1, "The number ends in a comma: write a point and the rest, or leave it out."},
	{"", "1.234,5", 5, "A comma stands after the decimal point here: write the number with one point."}, {"", "1.2.3", 3, twoPoints}, {"", "1..2", 2, twoPoints}, {"", "..", 0, oneNumber},
	{"", "1,250", 0, "=1250"}, {"", "1 234.5", 0, "=1234.5"}, {"", "1\u00a0234.5", 0, "=1234.5"}, {"", "1\u202f234.5", 0, "=1234.5"}, {"", "1 2345", 2, second}, {"", "12 34", 3, second}, {"", "1'250", 1, oneNumber},
	{"digits and signs of elsewhere", "\u0661\u0662", 0, "The number sign '\u0661' is not read: write it with the digits 0 to 9."}, {"", "3\u066b5", 1, oneNumber},
	{"", "\u096b", 0, "The number sign '\u096b' is not read: write it with the digits 0 to 9."}, {"", "①", 0, "The number sign '①' is not read: write it with the digits 0 to 9."},
	{"", "１２．５", 0, "=12.5"}, {"", "−5", 0, "=-5"}, {"", "–5", 0, "=-5"}, {"", "--5", 1, oneNumber}, {"", "𝟏", 0, "The number sign '𝟏' is not read: write it with the digits 0 to 9."},

	{"spaces and glue", " 22 mm ", 0, "=22 mm"}, {"", "22mm", 0, "=22 mm"}, {"", "22 mm", 0, "=22 mm"}, {"", "22 ㎜", 0, "=22 mm"}, {"", "\t22 mm\r\n", 0, "=22 mm"},
	{"", "22MM", 2, `The unit "MM" is not known here; did you mean mm?`}, {"", "22 m m", 5, ends}, {"", "12 kW kW", 6, ends},
	{"units", "12 furlong", 3, `The unit "furlong" is not known here.`}, {"", "12 kw", 3, `The unit "kw" is not known here; did you mean kW?`}, {"", "12 mw", 3, `The unit "mw" is not known here; did you mean MW or mW?`},
	{"", "12 L/", 5, unitGone}, {"", "12 L//s", 5, oneNumber}, {"", "12 m^", 3, "An exponent is missing here."}, {"", "12 m^99", 3, "An exponent is at most 9 here."}, {"", "12 m^0", 3, "An exponent in a unit is not 0."},
	{"", "12 (m", 5, "A bracket is not closed in this unit."}, {"", "12 " + strings.Repeat("m", 150), 3, "A unit has at most 128 characters; this one has 150."},
	{"", "12 m9.m9.m9", 6, "There are too many parts in this unit."}, {"", "12 " + strings.Repeat("m", 10000), 0, tooLong}, {"", "12 dB/m", 3, "dB stands alone: it cannot be part of a compound unit."},
	{"", "4R7", 1, "The sign R does not stand for a decimal point here: write 4R7 as 4.7 Ω."}, {"", "12 °C net", 3, "°C cannot be net."}, {"", "12 bra net", 3, `The unit "bra" is not known here.`},

	{"nothing", "", 0, nothing}, {"", "  ", 2, nothing}, {"", "-", 0, nothing}, {"", "—", 0, nothing}, {"", "n/a", 0, nothing}, {"", "N/A", 0, nothing}, {"", "0", 0, "=0"}, {"", "?", 0, oneNumber},
	{"", "null", 0, expected}, {"", "none", 0, nothing}, {"", "zero", 0, expected},
	{"counts beyond a machine's", "2147483648", 0, "=2147483648"}, {"", "9223372036854775808", 0, "=9223372036854775808"}, {"", "-1", 0, "=-1"},
	{"division", "1/0", 2, "This fraction divides by zero."}, {"", "1/2/3", 2, second}, {"", "1/3", 0, "=1/3"},
	{"bounds", ">", 1, expected}, {"", ">>5", 1, oneNumber}, {"", "200>", 3, oneNumber}, {"", "> 200 MΩ", 0, "=>200 MΩ"}, {"", "OL", 0, "=OL"}, {"", "OL5", 0, expected}, {"", "0L", 0, "=0 L"},
	{"more than one number", "12-13", 2, oneNumber}, {"", "12±0.5", 2, oneNumber}, {"", "12 to 13", 3, `The unit "to" is not known here.`}, {"", "2026-11-26", 4, oneNumber}, {"", "1:30", 1, oneNumber},

	{"what nobody sees", "\u200b", 0, invisible("200B")}, {"", "\u200b22 mm", 0, invisible("200B")}, {"", "22\u200bmm", 2, invisible("200B")}, {"", "22 mm\u200b", 5, invisible("200B")}, {"", "\ufeff22", 0, invisible("FEFF")},
	{"", "22\ufeff", 2, invisible("FEFF")}, {"", "\u202e22", 0, invisible("202E")}, {"", "22 \u202emm", 3, invisible("202E")}, {"", "22 mm\x00", 5, invisible("0000")}, {"", "22\u2028mm", 0, "=22 mm"}, {"", "\x1b[31m5", 0, invisible("001B")},
	{"characters that were lost", "22\xff", 2, lost}, {"", "\xc0\xaf5", 0, lost}, {"", "\xed\xa0\x80", 0, lost}, {"", "5\ufffd", 1, lost},
	{"marks on letters", "1\u03012", 1, "A mark here (U+0301) changes the character before it: delete both and type on."}, {"", "5 k\u0301W", 2, `The unit "k" is not known here; did you mean K?`},
	{"", "5" + strings.Repeat("\u0335", 1000000), 0, tooLong},
	{"look-alikes", "22 кW", 3, lookalike("к")}, {"", "5 Κ", 2, lookalike("Κ")}, {"", "5 ｋＷ", 2, lookalike("ｋ")}, {"", "5 ı", 2, lookalike("ı")}, {"", "5 \u2126", 0, "=5 Ω"}, {"", "5 µm", 0, "=5 μm"}, {"", "5 Å", 2, lookalike("Å")},
	{"pictures", "👍", 0, oneNumber}, {"", "5 🔥", 2, oneNumber}, {"", "1\ufe0f\u20e3", 1, invisible("FE0F")}, {"", "5 \u3164", 2, invisible("3164")},
	{"texts meant for others", "=1+1", 0, oneNumber}, {"", "@SUM(A1)", 0, oneNumber}, {"", "<script>", 1, expected}, {"", "5<script>", 1, oneNumber}, {"", "{{7*7}}", 0, oneNumber}, {"", "${7*7}", 0, oneNumber},
	{"", "' OR 1=1--", 0, oneNumber}, {"", "1;drop", 1, oneNumber}, {"", "../x", 0, oneNumber}, {"", "%2e%2e", 0, oneNumber}, {"", "5\r\nX: y", 3, `The unit "X" is not known here.`}, {"", "(a+)+$", 0, oneNumber},
}

func TestBadInput(t *testing.T) {
	about := ""
	for _, c := range badInputs {
		if c.about != "" {
			about = c.about
		}
		q, err := quantity.ParseQuantity(c.text)
		if read, ok := strings.CutPrefix(c.wanted, "="); ok {
			if got := strings.ReplaceAll(q.String(), "\u2009", " "); err != nil || got != read {
				t.Errorf("%s: %.40q reads %q, %v; want %q", about, c.text, got, err, read)
			}
			continue
		}
		var e *quantity.Error
		if !errors.As(err, &e) {
			t.Errorf("%s: %.40q reads %q, %v; want it refused", about, c.text, q, err)
			continue
		}
		if e.Message != c.wanted || e.Pos != c.at {
			t.Errorf("%s: %.40q: at %d: %s\nwant at %d: %s", about, c.text, e.Pos, e.Message, c.at, c.wanted)
		}
		if len(e.Text) > 200 {
			t.Errorf("%s: %.40q: the error keeps %d bytes of the text", about, c.text, len(e.Text))
		}
	}
}

// TestLongTextsCostNothing: however long a text, at most the bytes of the longest number are looked at.
func TestLongTextsCostNothing(t *testing.T) {
	for _, part := range []string{"9", "0", "1,000", "1 000", "m", "m·", "²", "\u0335", "\u200b", "½", "((", "e5", "1/", "-", "."} {
		text := strings.Repeat(part, 10<<20/len(part))
		for name, read := range map[string]func() error{
			"ParseNumber":   func() error { _, err := quantity.ParseNumber(text); return err },
			"ParseUnit":     func() error { _, err := quantity.ParseUnit(text); return err },
			"ParseQuantity": func() error { _, err := quantity.ParseQuantityFor(text, quantity.One); return err },
		} {
			if allocs := testing.AllocsPerRun(1, func() { _ = read() }); allocs > 8 || read() == nil {
				t.Errorf("%s of %d × %q: %v allocations, %v; want few and an error", name, len(text)/len(part), part, allocs, read())
			}
		}
		n, size, err := quantity.ScanNumber(text)
		var e *quantity.Error
		if errors.As(err, &e) && e.Pos > 64 || size > 64 {
			t.Errorf("ScanNumber of %q again and again: %v, %d bytes, %v; want at most 64 bytes looked at", part, n.Canonical(), size, err)
		}
	}
}
