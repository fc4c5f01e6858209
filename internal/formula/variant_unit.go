package formula

import (
	"maps"
	"math"
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// unitFamilies are the units that one and the same dial, sheet or table may be in; common practice, no source.
var unitFamilies = units(
	[]string{"L/s", "L/min", "L/h", "m³/h", "m³/s"}, []string{"kg/s", "kg/min", "kg/h"}, []string{"s", "min", "h"},
	[]string{"W", "kW"}, []string{"J", "Wh", "kJ", "kWh", "MJ"}, []string{"Pa", "mbar", "kPa", "bar"},
	[]string{"mm", "cm", "m"}, []string{"mm²", "cm²", "m²"}, []string{"L", "m³"}, []string{"mA", "A"}, []string{"mV", "V"},
	[]string{"mΩ", "Ω", "MΩ"}, []string{"ppm", "%", ""}, []string{"g", "kg"},
)

// resultFactors are the numbers that units differ by, for results that no pair of units explains.
var resultFactors = []struct {
	text  string
	value float64
}{{"60", 60}, {"3600", 3600}, {"1000", 1000}, {"10", 10}, {"100", 100}, {"3.6", 3.6}, {"1000/60", 1000.0 / 60}}

func units(families ...[]string) [][]quantity.Unit {
	out := make([][]quantity.Unit, len(families))
	for i, f := range families {
		for _, text := range f {
			u, err := quantity.ParseUnit(text)
			if err == nil {
				out[i] = append(out[i], u)
			}
		}
	}
	return out
}

// likely lists the units that u could be taken for.
func likely(u quantity.Unit) []quantity.Unit {
	for _, f := range unitFamilies {
		if f[0].Dimension() != u.Dimension() || isPressure(f[0]) != isPressure(u) {
			continue
		}
		return slices.DeleteFunc(slices.Clone(f), func(v quantity.Unit) bool { return size(v) == size(u) })
	}
	return nil
}

// isPressure says that a unit is one of pressure by its kind or name: a force over an area, or no quotient at all. MJ/m³
// has the same dimension.
func isPressure(u quantity.Unit) bool {
	over, _, quotient := strings.Cut(u.String(), "/")
	return u.Dimension() == pascal && (!quotient || slices.Contains([]string{"N", "kN", "kgf"}, over))
}

// shownUnit is a unit in a sentence.
func shownUnit(u quantity.Unit) string {
	if u.String() == "" || u.String() == "-" {
		return "a plain number"
	}
	return u.String()
}

// unitKey is a unit in a key: 1 for a plain number.
func unitKey(u quantity.Unit) string {
	if u.String() == "" {
		return "1"
	}
	return u.String()
}

// resultUnits: worked out in one unit, stated as another.
func (ed *editor) resultUnits() {
	s := ed.sort(ed.expr.root)
	if s.isPoint() || s.kind == quantity.Level {
		return
	}
	for _, v := range likely(ed.asked) {
		ed.put("stated-as "+unitKey(v)+" "+unitKey(ed.asked), "worked it out in "+shownUnit(v)+" and stated it as "+shownUnit(ed.asked),
			ed.expr.root, as(ed.expr.root, s, size(ed.asked)/size(v)))
	}
	if net := ed.netGross(); net {
		for _, ratio := range []float64{1.11, 1.1} {
			ed.put("net-as-gross", "net taken for gross", ed.expr.root, as(ed.expr.root, s, 1/ratio))
			ed.put("gross-as-net", "gross taken for net", ed.expr.root, as(ed.expr.root, s, ratio))
		}
	}
}

// netGross says that heat inputs or efficiencies are told apart as net and gross here.
func (ed *editor) netGross() bool {
	scales := []string{ed.asked.Scale()}
	for _, n := range ed.nodes {
		scales = append(scales, ed.sort(n).scale)
	}
	return slices.Contains(scales, "net") || slices.Contains(scales, "gross")
}

// units: one unit of a value in the formula taken for another.
func (ed *editor) units(n *Node) {
	if n.Kind != NodeName {
		return
	}
	s := ed.sort(n)
	for _, v := range ed.mistakable(n) {
		ed.put("unit "+n.Name+" "+unitKey(v), shownUnit(ed.unitOf(n))+" taken as "+shownUnit(v)+" ("+n.Name+")", n, as(n, s, size(v)/size(ed.unitOf(n))))
	}
}

// constants: the same of the formula's own values, which are less often read wrong.
func (ed *editor) constants(n *Node) {
	if n.Kind != NodeNumber || !n.HasUnit {
		return
	}
	s := ed.sort(n)
	for _, v := range ed.mistakable(n) {
		ed.once("~unit "+ed.name(n)+" "+unitKey(v), shownUnit(n.Unit)+" taken as "+shownUnit(v)+" ("+ed.name(n)+")", n, as(n, s, size(v)/size(n.Unit)))
	}
}

// unitOf is the unit that a name or number stands in.
func (ed *editor) unitOf(n *Node) quantity.Unit {
	if n.Kind == NodeName {
		name, _ := ed.env.resolve(n.Name, false)
		return ed.env.Names[name]
	}
	return n.Unit
}

// mistakable lists the units that a name's or number's own could be taken for.
func (ed *editor) mistakable(n *Node) []quantity.Unit {
	s, u := ed.sort(n), ed.unitOf(n)
	if s.isPoint() || s.kind == quantity.Level || s.kind == quantity.Angle || u.String() == "" || u.String() == "-" {
		return nil
	}
	return likely(u)
}

// unitsThroughout: one unit that several names share taken for another, in all of them.
func (ed *editor) unitsThroughout() {
	var done []string
	for _, n := range ed.nodes {
		u := ed.unitOf(n)
		if n.Kind != NodeName || slices.Contains(done, u.String()) {
			continue
		}
		done = append(done, u.String())
		for _, v := range ed.mistakable(n) {
			names := 0
			root := edited(ed.expr.root, func(o *Node) *Node {
				if o.Kind != NodeName || !ed.unitOf(o).Equal(u) {
					return nil
				}
				if o.Name != n.Name { // the same name again is no other
					names++
				}
				return as(o, ed.sort(o), size(v)/size(u))
			})
			if names > 0 {
				ed.out = append(ed.out, edit{"units " + unitKey(u) + " " + unitKey(v), shownUnit(u) + " taken as " + shownUnit(v) + ", throughout", root})
			}
		}
	}
}

// gaugeThroughout: no pressure made absolute, where the formula does so in more than one place: by the function, or by
// the air's bar added and taken off.
func (ed *editor) gaugeThroughout() {
	places := 0
	var change func(*Node) *Node
	change = func(n *Node) *Node {
		if n.Kind == NodeCall && (n.Name == "absolute" || n.Name == "gauge") || (n.Kind == NodeAdd || n.Kind == NodeSub) && air(n.Args[1]) {
			places++
			return as(edited(n.Args[0], change), ed.sort(n), 1)
		}
		return nil
	}
	root := edited(ed.expr.root, change)
	if places > 1 {
		ed.out = append(ed.out, edit{"gauge throughout", "worked with gauge pressures where absolute ones belong", root})
	}
}

// air says that a number is the air's pressure.
func air(n *Node) bool {
	return n.Kind == NodeNumber && n.HasUnit && n.Unit.Dimension() == pascal && math.Abs(n.Unit.ToSI(n.Number.Value())-1.01e5) < 0.02e5
}

// pressures: gauge for absolute, with the standard atmosphere and with 1 bar of air.
func (ed *editor) pressures(n *Node) {
	s := ed.sort(n)
	if n.Kind == NodeCall && (n.Name == "absolute" || n.Name == "gauge") {
		is := "gauge taken as absolute pressure (" + ed.name(n.Args[0]) + ")"
		if n.Name == "gauge" {
			is = "absolute pressure given as gauge pressure"
		}
		ed.put(n.Name+"-left-out "+ed.name(n.Args[0]), is, n, as(n.Args[0], s, 1))
		return
	}
	if n.Kind != NodeName || !isPressure(ed.unitOf(n)) {
		return
	}
	for _, air := range []float64{atmosphere, 1e5} {
		ed.put("~air-added "+ed.name(n), "added the air's pressure to "+ed.name(n), n, shifted(n, s, 1, air))
		ed.put("~air-taken-off "+ed.name(n), "took the air's pressure off "+ed.name(n), n, shifted(n, s, 1, -air))
	}
}

var (
	pascal = quantity.MustUnit("Pa").Dimension()
	kelvin = quantity.MustUnit("K").Dimension()
)

// resultFactors: the sign, twice and half, and the factors between units that nothing in the formula explains.
func (ed *editor) resultFactors() {
	root, s := ed.expr.root, ed.sort(ed.expr.root)
	if s.isPoint() || s.kind == quantity.Level {
		return
	}
	ed.put("~sign", "turned the sign round", root, as(root, s, -1))
	ed.put("~twice", "counted twice: a factor of 2 too much", root, as(root, s, 2))
	ed.put("~half", "counted once where it counts twice: a factor of 2 too little", root, as(root, s, 0.5))
	if s.dim == kelvin {
		return // which nobody converts
	}
	for _, f := range resultFactors {
		ed.put("~times "+f.text, "a factor of "+f.text+" too much", root, as(root, s, f.value))
		ed.put("~over "+f.text, "a factor of "+f.text+" too little", root, as(root, s, 1/f.value))
	}
}

// sortedNames lists the names that a formula may use, in order.
func (env Env) sortedNames() []string { return slices.Sorted(maps.Keys(env.Names)) }
