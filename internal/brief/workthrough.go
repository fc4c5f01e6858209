package brief

import (
	"math"
	"strings"

	"witnessmark/internal/quantity"
)

// Sampled is a value that a brief is worked through with: a given's or a reading's.
type Sampled struct {
	Name, Is, Unit string
	Value          string      // as it was typed, drawn or written in the model answer, with its unit where it has one
	Range          *GivenRange // of a given that is drawn; nil otherwise
	Reading        bool
	Problem        string // what keeps the value from being used; "" where nothing does
}

// Worked is a figure or choice worked out with one set of values. Numbers are in its asked unit.
type Worked struct {
	Item *Item
	Unit quantity.Unit
	// Known says that it can be worked out; Why says what keeps it from that otherwise.
	Known bool
	Why   string
	Value float64 // of a figure
	Right string  // of a choice: the right option
	// From and To are the band in which a stated figure is right, both included; nil where it has no end there.
	From, To *float64
	Ways     []WorkedWay
}

// WorkedWay is a known wrong way of working with what it leads to.
type WorkedWay struct {
	Key, Is string
	Known   bool
	Value   float64 // of a figure
	Leads   string  // of a choice: the option
	Told    bool    // it leads to something else than what is right, so that somebody can be caught by it
}

// WorkThrough works every figure and choice out with sample values: given ones and readings, by name, as texts. What values does
// not have is the model answer's. The brief has to be one that Check has nothing against.
func WorkThrough(c *Compiled, values map[string]string) ([]Sampled, []Worked) {
	s := &spread{c: c}
	s.add(nil)
	t := &s.sets[0]
	model := ModelGivens(c.Brief)
	var samples []Sampled
	for i, n := range c.Names {
		if n.Given < 0 && c.Items[n.Item].Item.Reading == nil {
			continue
		}
		x := Sampled{Name: n.Name, Unit: n.Unit.String(), Reading: n.Given < 0}
		if x.Reading {
			it := c.Items[n.Item].Item
			x.Is, x.Unit = it.Reading.Is, it.Reading.Unit
			if m, ok := c.Brief.ModelAnswer(it, lastSlot(it)); ok && it.Reading.Repeats <= 1 {
				x.Value = strings.TrimSpace(m.Text + " " + it.Reading.Unit)
			} else if !math.IsNaN(t.values[i]) { // the mean of several
				x.Value = quantity.FormatFigures(n.Unit.FromSI(t.values[i]), n.Unit, 5)
			}
		} else {
			g := &c.Givens[n.Given]
			x.Is, x.Range, x.Value = g.Given.Is, g.Range, model[n.Name]
		}
		if typed := strings.TrimSpace(values[n.Name]); typed != "" {
			x.Value = typed
			q, err := quantity.ParseQuantityFor(typed, n.Unit)
			switch {
			case err != nil:
				x.Problem = err.Error()
			case quantity.CheckConvertible(q.Unit, n.Unit) != nil:
				x.Problem = quantity.CheckConvertible(q.Unit, n.Unit).Error()
			default:
				t.values[i] = q.SI()
			}
			if x.Problem != "" {
				t.values[i] = math.NaN()
			}
		}
		samples = append(samples, x)
	}
	var worked []Worked
	for i := range c.Items {
		it := &c.Items[i]
		if it.Item.Figure != nil || it.Item.Choice != nil {
			worked = append(worked, s.work(it, t))
		}
	}
	return samples, worked
}

// lastSlot is the place of an item that formulas take its value from.
func lastSlot(it *Item) Slot {
	ss := it.Slots()
	return ss[len(ss)-1]
}

// work works one item out, and keeps a figure's value for those after it.
func (s *spread) work(it *CompiledItem, t *set) Worked {
	w := Worked{Item: it.Item, Unit: it.Unit}
	right, known, p := s.right(it, "", t)
	if w.Known = known; !known {
		if w.Why = p.Text; w.Why == "" {
			w.Why = "A value that it is worked from is not known."
		}
	}
	is := math.NaN()
	switch {
	case !known:
	case it.Item.Choice != nil:
		w.Right, is = it.Item.Choice.Words()[right.place], float64(right.place)
	default:
		is = it.Unit.FromSI(right.value)
		w.Value = is
		w.From, w.To = it.Tolerance.band(is)
	}
	if it.Name >= 0 && it.Item.Figure != nil {
		t.values[it.Name] = math.NaN()
		if known {
			t.values[it.Name] = right.value
		}
	}
	for i := range it.Slips {
		slip := &it.Slips[i]
		x := it.leads(slip, t.values)
		way := WorkedWay{Key: slip.Slip.Key, Is: slip.Slip.Is, Known: !math.IsNaN(x), Value: x}
		if way.Known && it.Item.Choice != nil {
			way.Leads = it.Item.Choice.word(int(x))
		}
		way.Told = way.Known && known && !it.same(is, x)
		w.Ways = append(w.Ways, way)
	}
	return w
}

// word is what may be chosen at a place, "none of the sizes" beyond the last.
func (c *Choice) word(i int) string {
	if words := c.Words(); i < len(words) {
		return words[i]
	}
	return "none of the sizes"
}

// band is where a stated figure is right, both ends included; nil at an end where there is none.
func (t CompiledTolerance) band(ref float64) (from, to *float64) {
	switch {
	case t.Figures > 0:
		r := ref // the digits of a number that is none, which no reference is
		if n, err := quantity.ParseNumber(quantity.RoundFigures(ref, t.Figures)); err == nil {
			r = n.Value()
		}
		half := 0.0
		if r != 0 {
			half = math.Pow10(int(math.Floor(math.Log10(math.Abs(r))))-t.Figures+1) / 2
		}
		a, b := r-half, r+half
		return &a, &b
	case t.AtLeast:
		return &ref, t.Bound
	case t.AtMost:
		return t.Bound, &ref
	}
	d := math.Max(t.Absolute, float64(t.Relative*math.Abs(ref)))
	a, b := ref-d, ref+d
	return &a, &b
}
