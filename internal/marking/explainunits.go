package marking

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// boardUnits are the units in which people of the trade write a value on its way, by subject; the first is the usual one.
// What is natural ends a step in the middle of a product. Common practice, no source.
var boardUnits = []struct {
	natural bool
	units   []quantity.Unit
}{
	{true, units("m", "mm")}, {true, units("m²", "mm²")}, {true, units("L", "m³")}, {true, units("kg")}, {false, units("s", "h", "min")},
	{true, units("kPa", "Pa", "bar", "mbar")}, {true, units("bar(g)")}, {true, units("bar(a)")},
	{true, units("kWh", "kJ", "J")}, {true, units("kW", "W")}, {true, units("L/s", "m³/s", "L/min", "m³/h")}, {true, units("kg/s", "kg/h")},
	{true, units("m/s")}, {false, units("kg/m³", "kg/L")}, {false, units("kJ/(kg·K)", "J/(kg·K)")}, {false, units("kJ/kg", "J/kg")},
	{true, units("m²·K/W")}, {true, units("W/(m²·K)")}, {false, units("W/(m·K)")}, {false, units("W/K", "kW/K")},
	{true, units("Ω", "mΩ", "kΩ", "MΩ")}, {false, units("Ω/m", "mΩ/m")}, {true, units("A", "mA")}, {true, units("V", "mV")},
	{false, units("1/h", "1/s")}, {false, units("Pa/m", "kPa/m")}, {false, units("MJ/m³", "kJ/m³", "J/m³")}, {false, units("kWh/m³")},
	{true, units("°C")}, {true, units("K")}, {false, units("W/m²")}, {true, units("N", "kN")},
}

func units(symbols ...string) []quantity.Unit {
	var us []quantity.Unit
	for _, s := range symbols {
		us = append(us, quantity.MustUnit(s))
	}
	return us
}

// alike lists the board's units of a dimension, kind and scale, and whether they are natural.
func alike(d quantity.Dimension, k quantity.Kind, scale string) ([]quantity.Unit, bool) {
	for _, row := range boardUnits {
		if u := row.units[0]; u.Dimension() == d && u.Kind() == k && u.Scale() == scale {
			return row.units, row.natural
		}
	}
	if d.IsNumber() && k == quantity.Plain && scale == "" {
		return []quantity.Unit{quantity.One, percent}, false
	}
	return nil, false
}

var percent = quantity.MustUnit("%")

func natural(p formula.Part) bool {
	_, yes := alike(p.Dimension, p.Kind, p.Scale)
	return yes
}

// unit is the one in which a step's value is written: what a function gives, else the asked one where it fits, else that of
// a value in the step or of one in the sum that the step is part of, else the board's. up is nil of a whole.
func (s *stepper) unit(m, up *formula.Node, part formula.Part, si float64) quantity.Unit {
	fits := func(u quantity.Unit) bool {
		return u.Dimension() == part.Dimension && u.Kind() == part.Kind && u.Scale() == part.Scale
	}
	if fn, ok := s.env.Functions[m.Name]; ok && m.Kind == formula.NodeCall && fits(fn.Result) {
		return fn.Result
	}
	if fits(s.asked) && (up == nil || !part.Dimension.IsNumber()) {
		return s.asked
	}
	beside := numbered(m, nil)
	if up != nil && (up.Kind == formula.NodeAdd || up.Kind == formula.NodeSub) {
		beside = numbered(up, beside)
	}
	for _, leaf := range beside {
		if leaf.HasUnit && fits(leaf.Unit) && !part.Dimension.IsNumber() {
			return leaf.Unit
		}
	}
	us, _ := alike(part.Dimension, part.Kind, part.Scale)
	for _, u := range us {
		if x := math.Abs(u.FromSI(si)); x >= 0.01 && x < 10_000 {
			return u
		}
	}
	if len(us) > 0 {
		return us[0]
	}
	return quantity.SIUnit(part.Dimension)
}

// converted writes the fewest conversions that make the bare numbers of m come to x in unit u, and gives m with them. Where
// the bare numbers come to another unit of the same kind, between is that value. Functions take every unit as it is.
func (s *stepper) converted(m *formula.Node, u quantity.Unit, x float64) (left, between *formula.Node) {
	if m.Kind == formula.NodeCall || s.comesTo(m, nil, x) {
		return m, nil
	}
	ls := numbered(m, nil)
	if len(ls) > maxLeaves {
		return m, nil
	}
	var single [][]swap
	for _, a := range ls {
		single = append(single, s.ways(a)...)
	}
	for _, way := range single {
		if s.comesTo(m, way, x) {
			return s.with(m, way), nil
		}
	}
	others := s.others(u, x)
	for _, v := range others {
		if s.comesTo(m, nil, s.exact[v]) {
			return m, v
		}
	}
	for i, one := range single {
		for _, v := range others {
			if s.comesTo(m, one, s.exact[v]) {
				return s.with(m, one), v
			}
		}
		for _, other := range single[i+1:] {
			if both := append(one[:1:1], other...); one[0].from != other[0].from && s.comesTo(m, both, x) {
				return s.with(m, both), nil
			}
		}
	}
	return m, nil
}

// others is a result in the board's other units.
func (s *stepper) others(u quantity.Unit, x float64) []*formula.Node {
	us, _ := alike(u.Dimension(), u.Kind(), u.Scale())
	var out []*formula.Node
	for _, v := range us {
		if !v.Equal(u) {
			out = append(out, s.value(v.FromSI(u.ToSI(x)), v))
		}
	}
	return out
}

// maxLeaves bounds the search for conversions.
const maxLeaves = 8

// swap is a written value in another unit.
type swap struct{ from, to *formula.Node }

// ways lists the single changes of unit for a written value.
func (s *stepper) ways(n *formula.Node) [][]swap {
	us, _ := alike(n.Unit.Dimension(), n.Unit.Kind(), n.Unit.Scale())
	if n.Unit.Kind() == quantity.TemperaturePoint {
		return nil
	}
	var out [][]swap
	for _, u := range us {
		if !u.Equal(n.Unit) {
			out = append(out, []swap{{n, s.value(u.FromSI(n.Unit.ToSI(s.in(n))), u)}})
		}
	}
	return out
}

// in is what a written value stands for, in its unit.
func (s *stepper) in(n *formula.Node) float64 {
	if x, ok := s.exact[n]; ok {
		return x
	}
	return n.Number.Value()
}

// with writes the changes down, each once, and gives m with them in place.
func (s *stepper) with(m *formula.Node, changes []swap) *formula.Node {
	for _, c := range changes {
		s.tell(formula.Line{{Node: c.from}, s.side(c.to)})
	}
	return replaced(m, changes)
}

// tell writes a line, once.
func (s *stepper) tell(l formula.Line) {
	if text := l.Text(); !s.told[text] {
		s.told[text] = true
		s.out = append(s.out, l)
	}
}

func replaced(n *formula.Node, changes []swap) *formula.Node {
	for _, c := range changes {
		if n == c.from {
			return c.to
		}
	}
	if len(n.Args) == 0 {
		return n
	}
	m := *n
	m.Args = make([]*formula.Node, len(n.Args))
	for i, a := range n.Args {
		m.Args[i] = replaced(a, changes)
	}
	return &m
}

// comesTo reports whether the bare numbers of m, with changes, come to x.
func (s *stepper) comesTo(m *formula.Node, changes []swap, x float64) bool {
	return near(bare(replaced(m, changes), s.in), x)
}

// bare works a step out as a pocket calculator does, without units; number says what a written value counts for.
func bare(n *formula.Node, number func(*formula.Node) float64) float64 {
	arg := func(i int) float64 { return bare(n.Args[i], number) }
	switch n.Kind {
	case formula.NodeNumber:
		return number(n)
	case formula.NodePi:
		return math.Pi
	case formula.NodeNeg:
		return -arg(0)
	case formula.NodeAdd:
		return arg(0) + arg(1)
	case formula.NodeSub:
		return arg(0) - arg(1)
	case formula.NodeMul:
		return arg(0) * arg(1)
	case formula.NodeDiv:
		return arg(0) / arg(1)
	case formula.NodePow:
		return formula.Power(arg(0), arg(1)) // the same bits on every machine
	case formula.NodeRoot:
		return math.Sqrt(arg(0))
	case formula.NodeUnit:
		return arg(0)
	case formula.NodeName, formula.NodeCall:
	}
	return math.NaN()
}
