package marking

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// givens fills in the values of the given quantities: the trainee's drawn ones, else the brief's fixed ones.
func (m *marker) givens() {
	drawn := maps.Clone(m.sheet.Given)
	for i := range m.c.Names {
		n := &m.c.Names[i]
		if n.Given < 0 {
			m.values[i].why = m.title(n) + " is missing"
			continue
		}
		g := &m.c.Givens[n.Given]
		text, ok := drawn[n.Name]
		delete(drawn, n.Name)
		switch {
		case ok:
			m.values[i] = m.drawnValue(n.Name, g, text)
		case g.Range == nil:
			m.values[i] = certain(g.Value.SI())
		default:
			m.values[i].why = "the given value " + n.Name + " was not drawn"
			m.flag(FlagGivenMissing, fmt.Sprintf("No value of %s was drawn for this attempt; figures that need it are for the tutor to read.", n.Name))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(drawn)) {
		m.flag(FlagUnknownGiven, fmt.Sprintf("The sheet states a given “%s”, which the brief does not have.", statedWords(name, "")))
	}
}

func (m *marker) drawnValue(name string, g *brief.CompiledGiven, text string) value {
	q, err := quantity.ParseQuantityFor(text, g.Unit)
	if err == nil && q.Number.Bound != quantity.Exactly {
		err = fmt.Errorf("a given is one number")
	}
	if err == nil {
		err = quantity.CheckConvertible(q.Unit, g.Unit)
	}
	if err != nil {
		m.flag(FlagGivenUnread, fmt.Sprintf("The given %s reads “%s”, which cannot be used here: %v", name, statedWords(text, ""), err))
		return value{why: "the given value " + name + " cannot be read"}
	}
	return certain(q.SI())
}

func certain(si float64) value { return value{given: si, own: si, known: true, ownKnown: true} }

// title is what a name is called in sentences.
func (m *marker) title(n *brief.Name) string {
	if n.Item >= 0 {
		return m.c.Items[n.Item].Item.Title
	}
	return n.Name
}

// reference is a value worked out by a formula, in a unit.
type reference struct {
	value float64
	known bool
	why   string // where it is not known
}

// evaluate works a formula out from the given and measured values, or, with own, from the trainee's own answers.
func (m *marker) evaluate(f *brief.Formula, unit quantity.Unit, own bool) reference {
	in, why := m.inputs(f.Needs, own)
	if why != "" {
		return reference{why: why}
	}
	si, err := f.Program.Eval(in)
	if err != nil {
		return reference{why: strings.TrimSuffix(err.Error(), ".")}
	}
	return reference{value: unit.FromSI(si), known: true}
}

// inputs collects the values that a formula needs; why says what is missing.
func (m *marker) inputs(needs []int, own bool) (in []float64, why string) {
	in = make([]float64, len(needs))
	for i, n := range needs {
		v := &m.values[n]
		switch {
		case own && v.ownKnown:
			in[i] = v.own
		case v.known:
			in[i] = v.given
		default:
			return nil, v.why
		}
	}
	return in, ""
}

// upstream says what a line rests on among needs: whether on something unproved, whether on figures of the trainee's own,
// and which of those are not stated.
func (m *marker) upstream(needs []int) (unproved, own bool, missing []string) {
	for _, n := range needs {
		v := &m.values[n]
		unproved = unproved || v.unproved
		name := &m.c.Names[n]
		if name.Item < 0 || m.c.Items[name.Item].Item.Form() != brief.FormFigure {
			continue
		}
		own = own || v.stated
		if !v.stated {
			missing = append(missing, m.title(name))
		}
	}
	return unproved, own, missing
}

// crossChecks raises a flag on the sheet for each relation between readings that does not hold. One that cannot be
// worked out, because a reading is missing, says nothing.
func (m *marker) crossChecks() {
	for i := range m.c.Crosses {
		x := &m.c.Crosses[i]
		in, why := m.inputs(x.Condition.Needs, false)
		if why != "" {
			continue
		}
		holds, err := x.Condition.Program.Eval(in)
		switch is := strings.TrimSuffix(x.Cross.Is, "."); {
		case err != nil || holds:
		case m.nearlyHolds(x.Condition, in):
			m.flag(FlagCrossClose, fmt.Sprintf("These readings hardly go together: %s. The instruments' accuracy allows it, just: take them again.", is))
		default:
			m.flag(FlagCrossCheck, fmt.Sprintf("This should hold, and does not: %s. Ask how the readings behind it were taken.", is))
		}
	}
}

// strangers flags what on the sheet belongs to no line of the brief, and lines that were entered twice.
func (m *marker) strangers() {
	for _, k := range m.twice {
		if m.used[k] {
			m.flag(FlagTwice, fmt.Sprintf("%s stands on the sheet more than once; the last entry counts.", k.words()))
		}
	}
	seen := map[lineKey]bool{}
	for _, e := range m.sheet.Entries {
		k := lineKey{e.Item, e.Part, e.Phase}
		if !m.used[k] && !seen[k] {
			seen[k] = true
			m.flag(FlagUnknownItem, fmt.Sprintf("An entry for %s belongs to no line of this brief and was not marked.", k.words()))
		}
	}
	for _, e := range m.sheet.Earlier {
		k := lineKey{e.Item, e.Part, e.Phase}
		if !m.used[k] && !seen[k] {
			seen[k] = true
			m.flag(FlagUnknownItem, fmt.Sprintf("An earlier result for %s belongs to no line of this brief.", k.words()))
		}
	}
	for _, ch := range m.sheet.Checks {
		it, _, ok := m.c.Brief.Item(ch.Item)
		if !ok || it.Reading == nil || !slices.Contains(phases(it.Reading), ch.Phase) {
			k := lineKey{item: ch.Item, phase: ch.Phase}
			m.flag(FlagUnknownItem, fmt.Sprintf("A check reading for %s belongs to no reading of this brief.", k.words()))
		}
	}
}

// words names a line as a flag repeats it.
func (k lineKey) words() string {
	f := Finding{Item: k.item, Part: k.part, Phase: k.phase}
	return "“" + statedWords(f.Line(), "") + "”"
}
