package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"witnessmark/internal/quantity"
)

// typedNumbers are numbers as people type them, with what they state.
var typedNumbers = []struct {
	text           string
	value, half    float64
	decimals       int
	least, most    int
	bound          quantity.Bound
	canonicalValue string
}{
	{"12.4", 12.4, 0.05, 1, 3, 3, quantity.Exactly, "12.4"},
	{" 12.4 ", 12.4, 0.05, 1, 3, 3, quantity.Exactly, "12.4"},
	{"−3", -3, 0.5, 0, 1, 1, quantity.Exactly, "-3"},
	{"–3.0", -3, 0.05, 1, 2, 2, quantity.Exactly, "-3.0"},
	{"+5", 5, 0.5, 0, 1, 1, quantity.Exactly, "5"},
	{".5", 0.5, 0.05, 1, 1, 1, quantity.Exactly, "0.5"},
	{"5.", 5, 0.5, 0, 1, 1, quantity.Exactly, "5"},
	{"0.0410", 0.041, 0.00005, 4, 3, 3, quantity.Exactly, "0.0410"},
	{"100", 100, 0.5, 0, 1, 3, quantity.Exactly, "100"},
	{"1.00e2", 100, 0.5, 2, 3, 3, quantity.Exactly, "1.00e2"},
	{"23400", 23400, 0.5, 0, 3, 5, quantity.Exactly, "23400"},
	{"1,250", 1250, 0.5, 0, 3, 4, quantity.Exactly, "1250"},
	{"1,234,567.8", 1234567.8, 0.05, 1, 8, 8, quantity.Exactly, "1234567.8"},
	{"1 250", 1250, 0.5, 0, 3, 4, quantity.Exactly, "1250"},
	{"1\u202f250\u202f000", 1250000, 0.5, 0, 3, 7, quantity.Exactly, "1250000"},
	{"1\u00a0234.5", 1234.5, 0.05, 1, 5, 5, quantity.Exactly, "1234.5"},
	{"1.2×10^3", 1200, 50, 1, 2, 2, quantity.Exactly, "1.2e3"},
	{"1.2 x 10³", 1200, 50, 1, 2, 2, quantity.Exactly, "1.2e3"},
	{"1.2·10⁻³", 0.0012, 0.00005, 1, 2, 2, quantity.Exactly, "1.2e-3"},
	{"4E3", 4000, 500, 0, 1, 1, quantity.Exactly, "4e3"},
	{"½", 0.5, 0, 0, 1, 1, quantity.Exactly, "1/2"},
	{"1/2", 0.5, 0, 0, 1, 1, quantity.Exactly, "1/2"},
	{"2½", 2.5, 0, 0, 1, 1, quantity.Exactly, "5/2"},
	{"2 1/2", 2.5, 0, 0, 1, 1, quantity.Exactly, "5/2"},
	{">200", 200, 0.5, 0, 1, 3, quantity.Above, ">200"},
	{"< 0.5", 0.5, 0.05, 1, 1, 1, quantity.Below, "<0.5"},
	{"≥ 1", 1, 0.5, 0, 1, 1, quantity.AtLeast, "≥1"},
	{"<=1", 1, 0.5, 0, 1, 1, quantity.AtMost, "≤1"},
	{"-0", 0, 0.5, 0, 1, 1, quantity.Exactly, "0"},
	{"１２．５", 12.5, 0.05, 1, 3, 3, quantity.Exactly, "12.5"},
	{"9007199254740993", 9007199254740992, 0.5, 0, 16, 16, quantity.Exactly, "9007199254740993"},
	{"007", 7, 0.5, 0, 1, 1, quantity.Exactly, "7"},
}

func TestParseNumber(t *testing.T) {
	for _, c := range typedNumbers {
		n, err := quantity.ParseNumber(c.text)
		if err != nil {
			t.Errorf("ParseNumber(%q): %v", c.text, err)
			continue
		}
		least, most := n.SignificantFigures()
		if n.Value() != c.value || math.Abs(n.HalfUnit()-c.half) > 1e-15 || n.Decimals() != c.decimals || least != c.least || most != c.most || n.Bound != c.bound {
			t.Errorf("ParseNumber(%q) = %v ±%v, %d decimals, %d to %d figures, bound %q; want %v ±%v, %d, %d to %d, %q", c.text,
				n.Value(), n.HalfUnit(), n.Decimals(), least, most, n.Bound, c.value, c.half, c.decimals, c.least, c.most, c.bound)
		}
		if n.Canonical() != c.canonicalValue {
			t.Errorf("ParseNumber(%q) prints %q, want %q", c.text, n.Canonical(), c.canonicalValue)
		}
		if again, err := quantity.ParseNumber(n.Canonical()); err != nil || again != n {
			t.Errorf("ParseNumber(%q): printed as %q it reads %q, %v", c.text, n.Canonical(), again.Canonical(), err)
		}
	}
	if n, err := quantity.ParseNumber("-0"); err != nil || math.Signbit(n.Value()) {
		t.Errorf("-0 gives %v, %v; want plain 0", n.Value(), err)
	}
}

func TestParseNumberOverRange(t *testing.T) {
	for _, text := range []string{"OL", "ol", "O.L", "O/L", " OL "} {
		n, err := quantity.ParseNumber(text)
		if err != nil || n.Bound != quantity.OverRange || !math.IsInf(n.Value(), 1) {
			t.Errorf("ParseNumber(%q) = %+v, %v; want over range", text, n, err)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for _, c := range []struct {
		text   string
		reason error
		pos    int
	}{
		{"", quantity.ErrEmpty, 0}, {"  ", quantity.ErrEmpty, 2}, {"-", quantity.ErrEmpty, 0}, {"n/a", quantity.ErrEmpty, 0},
		{"2,47", quantity.ErrAmbiguous, 1}, {"0,234", quantity.ErrAmbiguous, 1}, {"1,5", quantity.ErrAmbiguous, 1}, {"4,19", quantity.ErrAmbiguous, 1},
		{"12345,678", quantity.ErrAmbiguous, 5}, {"1,2345", quantity.ErrAmbiguous, 1}, {"1,234,5", quantity.ErrAmbiguous, 5}, {"2,", quantity.ErrAmbiguous, 1},
		{"1.234,5", quantity.ErrNotNumber, 5}, {"1.2.3", quantity.ErrNotNumber, 3}, {"..", quantity.ErrNotNumber, 0}, {"1..2", quantity.ErrNotNumber, 2},
		{"NaN", quantity.ErrNotNumber, 0}, {"Inf", quantity.ErrNotNumber, 0}, {"-inf", quantity.ErrNotNumber, 1}, {"Infinity", quantity.ErrNotNumber, 0},
		{"1_000", quantity.ErrNotNumber, 1}, {"0x1p-2", quantity.ErrNotNumber, 1}, {"1e400", quantity.ErrRange, 1}, {"1E-400", quantity.ErrRange, 1},
		{"1e99", quantity.ErrRange, 0}, {"1/0", quantity.ErrRange, 2}, {strings.Repeat("9", 25), quantity.ErrRange, 24}, {strings.Repeat("9", 1000000), quantity.ErrRange, 0},
		{"twelve", quantity.ErrNotNumber, 0}, {"12 kW", quantity.ErrNotNumber, 3}, {"\u0661\u0662", quantity.ErrNotNumber, 0}, {"=1+1", quantity.ErrNotNumber, 0}, {"1;drop", quantity.ErrNotNumber, 1},
	} {
		n, err := quantity.ParseNumber(c.text)
		var e *quantity.Error
		if !errors.As(err, &e) || !errors.Is(err, c.reason) {
			t.Errorf("ParseNumber(%.30q) = %v, %v; want %v", c.text, n.Canonical(), err, c.reason)
			continue
		}
		if e.Pos != c.pos {
			t.Errorf("ParseNumber(%.30q): position %d, want %d\n%s", c.text, e.Pos, c.pos, e.Caret())
		}
	}
}

func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		text, want string
		si         float64
	}{
		{"12.4 L/min", "12.4\u2009L/min", 12.4 / 60000}, {"12.4L/min", "12.4\u2009L/min", 12.4 / 60000}, {">200 MΩ", ">200\u2009MΩ", 200e6},
		{"−3 °C", "-3\u2009°C", 270.15}, {"75 %", "75\u2009%", 0.75}, {"75%", "75\u2009%", 0.75}, {"22mm", "22\u2009mm", 0.022}, {"22 ㎜", "22\u2009mm", 0.022},
		{"1 250 W", "1250\u2009W", 1250}, {"1.5 bar(g)", "1.5\u2009bar(g)", 150000}, {"3/4 in", "3/4\u2009in", 0.01905}, {"1.2×10^3 Pa", "1.2e3\u2009Pa", 1200},
		{"0.54 L", "0.54\u2009L", 0.00054}, {"18.5", "18.5", 18.5}, {"4e3 W", "4e3\u2009W", 4000}, {"1.2 kW gross", "1.2\u2009kW gross", 1200}, {"0 L", "0\u2009L", 0},
	} {
		q, err := quantity.ParseQuantity(c.text)
		if err != nil || q.String() != c.want || math.Abs(q.SI()-c.si) > 1e-15*math.Abs(c.si) {
			t.Errorf("ParseQuantity(%q) = %q, %.17g, %v; want %q, %.17g", c.text, q, q.SI(), err, c.want, c.si)
			continue
		}
		again, err := quantity.ParseQuantity(q.String())
		if err != nil || again.Number != q.Number || !again.Unit.Equal(q.Unit) {
			t.Errorf("ParseQuantity(%q) = %q, %v; want the same again", q, again, err)
		}
	}
	_, err := quantity.ParseQuantity("12.4 L/mim")
	var e *quantity.Error
	if !errors.As(err, &e) || e.Pos != 7 || !errors.Is(err, quantity.ErrUnknownUnit) {
		t.Errorf("ParseQuantity with an unknown unit: %v, want ErrUnknownUnit at 7", err)
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		value    float64
		unit     string
		decimals int
		want     string
	}{
		{15.792154399582222, "kW", 1, "15.8\u2009kW"}, {12500, "W", 0, "12\u2009500\u2009W"}, {1250, "W", 0, "1250\u2009W"}, {-3, "°C", 0, "−3\u2009°C"},
		{1.005, "", 2, "1.01"}, {2.5, "", 0, "3"}, {0.125, "", 2, "0.13"}, {-2.5, "", 0, "−3"}, {-0.04, "", 1, "0.0"}, {0.05, "", 1, "0.1"},
		{0, "bar", 2, "0.00\u2009bar"}, {999.96, "", 1, "1000.0"}, {1234567.891, "Pa", 1, "1\u2009234\u2009567.9\u2009Pa"}, {0.0004, "m", 3, "0.000\u2009m"}, {0.0006, "m", 3, "0.001\u2009m"},
	} {
		if got := quantity.Format(c.value, quantity.MustUnit(c.unit), c.decimals); got != c.want {
			t.Errorf("Format(%v, %q, %d) = %q, want %q", c.value, c.unit, c.decimals, got, c.want)
		}
	}
	for _, c := range []struct {
		value   float64
		figures int
		want    string
	}{{0.20408727, 3, "0.204"}, {15.792, 3, "15.8"}, {23464, 3, "23500"}, {9.996, 3, "10.0"}, {0, 2, "0.0"}, {-1.25, 2, "−1.3"}, {100, 1, "100"}, {0.00099951, 3, "0.00100"}} {
		if got := quantity.RoundFigures(c.value, c.figures); got != c.want {
			t.Errorf("RoundFigures(%v, %d) = %q, want %q", c.value, c.figures, got, c.want)
		}
	}
}
