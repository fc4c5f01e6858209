//go:build oracle

package oracle_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// expression is one in our notation and the same for mathjs, with what it measures.
type expression struct {
	ours, theirs string
	dim          quantity.Dimension
	loose        bool // ours needs brackets beside another sign
}

// leafUnits are units of one dimension each line, as we and as mathjs write them.
var leafUnits = [][][2]string{
	{{"", ""}},
	{{"mm", "mm"}, {"cm", "cm"}, {"m", "m"}, {"in", "inch"}, {"ft", "ft"}},
	{{"s", "s"}, {"min", "minute"}, {"h", "hour"}},
	{{"g", "g"}, {"kg", "kg"}, {"t", "tonne"}, {"lb", "lbm"}},
	{{"L", "L"}, {"mL", "mL"}, {"m³", "m^3"}, {"l", "L"}},
	{{"W", "W"}, {"kW", "kW"}, {"J/s", "J/s"}},
	{{"Pa", "Pa"}, {"kPa", "kPa"}, {"bar", "bar"}, {"N/m²", "N/m^2"}},
	{{"J", "J"}, {"kJ", "kJ"}, {"MJ", "MJ"}, {"kWh", "kWh"}},
	{{"K", "K"}},
	{{"L/min", "L/minute"}, {"m³/h", "m^3/hour"}, {"l/s", "L/s"}},
	{{"kg/m³", "kg/m^3"}, {"kg/L", "kg/L"}},
	{{"kJ/(kg·K)", "kJ/(kg K)"}, {"kJ/kgK", "kJ/(kg K)"}, {"J/kg/K", "J/(kg K)"}},
	{{"W/m²K", "W/(m^2 K)"}, {"W/(m²·K)", "W/(m^2 K)"}},
	{{"A", "A"}, {"mA", "mA"}},
	{{"V", "V"}},
	{{"Ω", "ohm"}, {"kΩ", "kohm"}},
}

// givenNames are the names that expressions use, with their values.
var givenNames = []struct{ name, unit, theirs string }{
	{"n", "", "1.31"}, {"d", "mm", "22 mm"}, {"qv", "L/min", "12.4 L/minute"}, {"ρ", "kg/m³", "988 kg/m^3"}, {"Δt", "K", "18.5 K"}, {"P_max", "kW", "24 kW"},
}

// writer writes random expressions. All values are above zero, and a difference is of a large value and a small one, so
// that nothing cancels and 12 digits can be asked for.
type writer struct{ *rand.Rand }

func (w writer) pick(texts ...string) string { return texts[w.IntN(len(texts))] }

// leaf is a number with a unit of the line, in one of the ways people write numbers.
func (w writer) leaf(line [][2]string, least, most float64) expression {
	unit := line[w.IntN(len(line))]
	v := least + w.Float64()*(most-least)
	text := strconv.FormatFloat(v, 'f', w.IntN(4), 64)
	ours, theirs := text, text
	switch w.IntN(6) {
	case 0:
		ours, theirs = text+"e2", text+"e2"
	case 1:
		ours, theirs = text+"×10³", "("+text+"*1000)"
	case 2:
		ours, theirs = "2½", "2.5"
	case 3:
		ours, theirs = w.pick("1\u2009250", "1\u202f250"), "1250"
	}
	if unit[0] == "" {
		if w.IntN(6) == 0 && ours == text {
			return expression{ours: text + " %", theirs: "(" + text + "/100)"}
		}
		return expression{ours: ours, theirs: "(" + theirs + ")", loose: len(ours) > len(text)+3}
	}
	return expression{ours: ours + w.pick(" ", "", "\u2009") + unit[0], theirs: "(" + theirs + " " + unit[1] + ")", dim: quantity.MustUnit(unit[0]).Dimension(), loose: true}
}

func (w writer) name() expression {
	g := givenNames[w.IntN(len(givenNames))]
	return expression{ours: g.name, theirs: g.name, dim: quantity.MustUnit(g.unit).Dimension()}
}

// any gives an expression of any dimension.
func (w writer) any(depth int) expression {
	if depth == 0 {
		if w.IntN(3) == 0 {
			return w.name()
		}
		return w.leaf(leafUnits[w.IntN(len(leafUnits))], 1, 90)
	}
	switch w.IntN(9) {
	case 0, 1:
		a, b := w.any(depth-1), w.any(depth-1)
		return expression{ours: bracket(a) + w.pick(" × ", "·", " * ", " x ") + bracket(b), theirs: "(" + a.theirs + "*" + b.theirs + ")", dim: a.dim.Mul(b.dim), loose: true}
	case 2, 3:
		a, b := w.any(depth-1), w.any(depth-1)
		return expression{ours: bracket(a) + w.pick(" / ", " ÷ ") + bracket(b), theirs: "(" + a.theirs + "/" + b.theirs + ")", dim: a.dim.Div(b.dim), loose: true}
	case 4:
		return w.sum()
	case 5:
		a := w.any(depth - 1)
		return expression{ours: bracket(a) + w.pick("²", "^2", " ^ 2"), theirs: "(" + a.theirs + "^2)", dim: a.dim.Pow(2), loose: true}
	case 6:
		line := leafUnits[w.IntN(len(leafUnits))]
		a, b := w.leaf(line, 1, 50), w.leaf(line, 1, 50)
		return expression{ours: w.pick("√", "sqrt") + "(" + bracket(a) + " × " + bracket(b) + ")", theirs: "sqrt(" + a.theirs + "*" + b.theirs + ")", dim: a.dim}
	case 7:
		line := leafUnits[w.IntN(len(leafUnits))]
		a, b, f := w.leaf(line, 1, 50), w.leaf(line, 1, 50), w.pick("min", "max")
		return expression{ours: f + "(" + a.ours + ", " + b.ours + ")", theirs: f + "(" + a.theirs + ", " + b.theirs + ")", dim: a.dim}
	}
	return w.plain(depth - 1)
}

// sum adds quantities of one dimension in different units, and takes half of one unit off.
func (w writer) sum() expression {
	line := leafUnits[w.IntN(len(leafUnits))]
	unit := line[w.IntN(len(line)):][:1]
	a, b := w.leaf(unit, 20, 90), w.leaf(line, 20, 90)
	for strings.Contains(a.ours+b.ours, "%") { // a percentage is not added
		a, b = w.leaf(unit, 20, 90), w.leaf(line, 20, 90)
	}
	minus := w.pick(" − ", " - ", " – ")
	return expression{
		ours:   "(" + a.ours + " + " + b.ours + minus + "0.5 " + unit[0][0] + ")",
		theirs: "(" + a.theirs + "+" + b.theirs + "-(0.5 " + unit[0][1] + "))", dim: a.dim,
	}
}

// plain gives a function of plain numbers.
func (w writer) plain(depth int) expression {
	x := w.leaf(leafUnits[0], 1, 9)
	if depth > 0 && w.IntN(2) == 0 {
		line := leafUnits[1+w.IntN(len(leafUnits)-1)]
		a, b := w.leaf(line, 1, 9), w.leaf(line, 1, 9)
		x = expression{ours: bracket(a) + " / " + bracket(b), theirs: "(" + a.theirs + "/" + b.theirs + ")", loose: true}
	}
	switch w.IntN(8) {
	case 0:
		return expression{ours: "ln(" + x.ours + " + 2)", theirs: "log(" + x.theirs + "+2)"}
	case 1:
		return expression{ours: "log10(" + x.ours + " + 2)", theirs: "log10(" + x.theirs + "+2)"}
	case 2:
		return expression{ours: "exp(-(" + x.ours + ")/1e4)", theirs: "exp(-(" + x.theirs + ")/10000)"}
	case 3:
		f, deg := w.pick("sin", "cos", "tan"), 1+w.IntN(79)
		return expression{ours: fmt.Sprintf("%s(%d%s)", f, deg, w.pick("", "°", " °")), theirs: fmt.Sprintf("%s(%d deg)", f, deg)}
	case 4:
		return expression{ours: "atan(" + x.ours + ")", theirs: "atan(" + x.theirs + ")"}
	case 5:
		power := w.pick("1.31", "0.5", "(1/3)", "n")
		return expression{ours: bracket(x) + "^" + power, theirs: "(" + x.theirs + "^" + power + ")", loose: true}
	case 6:
		return expression{ours: "abs(1 - (" + x.ours + " + 3))", theirs: "abs(1-(" + x.theirs + "+3))"}
	}
	ours := "(" + x.ours + ")"
	if w.IntN(2) == 0 {
		ours = " × " + ours
	}
	return expression{ours: w.pick("2π", "2 π", "2 × pi") + ours, theirs: "(2*pi*" + x.theirs + ")", loose: true}
}

// bracket puts ours in brackets where a sign beside it could reach into it.
func bracket(e expression) string {
	if e.loose {
		return "(" + e.ours + ")"
	}
	return e.ours
}
