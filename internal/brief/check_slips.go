package brief

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// Untold is a wrong way of working that somewhere in the spread of values cannot be told from the right answer, or
// nowhere from another wrong way.
type Untold struct {
	Item  string // key of the figure or choice
	Key   string // of the way of working
	Is    string // in words
	Made  bool   // by the marker from the figure's formula, not declared by the brief
	From  string // key of the other way; "" where it is the right answer
	Sets  int    // in how many of the sets of values that were tried and have both
	Of    int
	Why   string // one such set, what both come to and why that is the same, in sentences
	Short string // the same in a few words, of all such sets: "up to 1.36 % off"; "" where it has no value anywhere
	place int    // among the item's slips; of declared ones
}

// Everywhere says that no set of values tells the two apart.
func (u *Untold) Everywhere() bool { return u.Sets == u.Of }

// Slips says which wrong ways of working, declared by the brief and made by the marker, cannot be told from a right answer
// or from one another over the whole spread of values: the givens' ranges with their corners, and the readings' believable
// ranges as far as the cross-checks hold. The brief has to be one that Check has nothing against.
func Slips(c *Compiled) []Untold {
	s := newSpread(c)
	s.answers()
	var out []Untold
	for i := range c.Items {
		out = append(out, s.untold(&c.Items[i], true)...)
	}
	return out
}

// answers adds readings to the spread and works out every figure in every set.
func (s *spread) answers() {
	s.addReadings()
	for i := range s.c.Items {
		it := &s.c.Items[i]
		if it.Name < 0 || it.Formula == nil {
			continue
		}
		for n := range s.sets {
			t := &s.sets[n]
			t.values[it.Name] = math.NaN()
			if in, ok := inputs(it.Formula.Needs, t.values); ok {
				if x, err := it.Formula.Program.Eval(in); err == nil {
					t.values[it.Name] = x
				}
			}
		}
	}
}

// slipsTold says which declared slips nobody can be caught by.
func (k *checker) slipsTold(s *spread) {
	s.answers()
	for i := range s.c.Items {
		it := &s.c.Items[i]
		if len(it.Slips) == 0 {
			continue
		}
		for _, u := range s.untold(it, false) {
			p := Problem{Path: fmt.Sprintf("%s.%s.slips[%d]", k.pathOf(it.Item.Key), it.Item.Form(), u.place), Warning: true}
			switch {
			case u.From != "":
				p.Text = fmt.Sprintf("The slips “%s” and “%s” cannot be told apart, so neither is ever named. %s Make one slip of the two.", u.From, u.Key, u.Why)
			case u.Of == 0:
				p.Text = fmt.Sprintf("The slip “%s” has no value anywhere: nobody can be caught by it. %s", u.Key, u.Why)
			case u.Everywhere():
				p.Warning = false
				p.Text = fmt.Sprintf("The slip “%s” gives the right answer, within its tolerance, whatever is given: nobody can be caught by it. %s Narrow the tolerance, change the givens or take the slip out.", u.Key, u.Why)
			case it.Item.Choice != nil, u.Sets < u.Of/4:
				continue // now and then a slip leads to what is right, above all among few options; Slips tells of it
			default:
				p.Text = fmt.Sprintf("The slip “%s” gives the right answer for some trainees: in %d of %d sets of values tried. %s", u.Key, u.Sets, u.Of, u.Why)
			}
			k.problems = append(k.problems, p)
		}
	}
}

// way is one wrong way of working with what it leads to in every set: a value in the asked unit, or the place of an option
// or size; NaN where it leads nowhere.
type way struct {
	Untold
	leads []float64
}

// untold compares an item's wrong ways of working with what is right and with one another.
func (s *spread) untold(it *CompiledItem, made bool) []Untold {
	right := s.rights(it)
	ways := s.ways(it, made)
	var out []Untold
	for w := range ways {
		x := &ways[w]
		if x.fromRight(s, it, right); x.Sets > 0 || x.Of == 0 {
			out = append(out, x.Untold)
		}
		if x.Sets > 0 && x.Everywhere() || x.Of == 0 || it.Item.Figure == nil {
			continue
		}
		for v := range ways[:w] {
			if u, same := x.fromOther(s, it, &ways[v], right); same {
				out = append(out, u)
			}
		}
	}
	return out
}

// rights is what is right in every set, as way.leads is.
func (s *spread) rights(it *CompiledItem) []float64 {
	out := make([]float64, len(s.sets))
	for n := range s.sets {
		right, known, _ := s.right(it, "", &s.sets[n])
		switch {
		case !known:
			out[n] = math.NaN()
		case it.Item.Choice != nil:
			out[n] = float64(right.place)
		default:
			out[n] = it.Unit.FromSI(right.value)
		}
	}
	return out
}

// ways works out the declared slips and, with made, those that the marker makes.
func (s *spread) ways(it *CompiledItem, made bool) []way {
	var out []way
	for i := range it.Slips {
		slip := &it.Slips[i]
		w := way{Untold: Untold{Item: it.Item.Key, Key: slip.Slip.Key, Is: slip.Slip.Is, place: i}}
		for n := range s.sets {
			w.leads = append(w.leads, it.leads(slip, s.sets[n].values))
		}
		out = append(out, w)
	}
	if !made || it.Item.Figure == nil {
		return out
	}
	all := it.Wrongs()
	var slots []float64
	leads := make([][]float64, len(all.Ways))
	for n := range s.sets {
		in := make([]float64, len(all.Needs))
		for i, need := range all.Needs {
			in[i] = s.sets[n].values[need]
		}
		slots = all.Family.Eval(in, slots)
		for w := range leads {
			x, ok := all.Family.Result(slots, w)
			if !ok {
				x = math.NaN()
			}
			leads[w] = append(leads[w], it.Unit.FromSI(x))
		}
	}
	for w, a := range all.Ways {
		if a.Made {
			out = append(out, way{Untold{Item: it.Item.Key, Key: a.Key, Is: a.Is, Made: true}, leads[w]})
		}
	}
	return out
}

// leads is where a declared slip leads.
func (it *CompiledItem) leads(s *CompiledSlip, values []float64) float64 {
	if s.Formula == nil {
		if it.Item.Choice == nil {
			return math.NaN()
		}
		words := it.Item.Choice.Words()
		if i := slices.Index(words, s.Slip.Option); i >= 0 {
			return float64(i)
		}
		if it.Item.Choice.Size != nil {
			if i := slices.Index(it.Item.Choice.Size.Sizes, s.Slip.Option); i >= 0 {
				return float64(i)
			}
		}
		return math.NaN()
	}
	in, ok := inputs(s.Formula.Needs, values)
	if !ok {
		return math.NaN()
	}
	x, err := s.Formula.Program.Eval(in)
	switch {
	case err != nil:
		return math.NaN()
	case it.Item.Choice != nil:
		return float64(it.size(x))
	}
	return it.Unit.FromSI(x)
}

// same says whether what a way leads to counts as the right answer.
func (it *CompiledItem) same(right, x float64) bool {
	if it.Item.Choice != nil {
		return right == x
	}
	return it.Tolerance.accepts(right, x)
}

// fromRight counts in how many sets a way leads to the right answer, and says why.
func (w *way) fromRight(s *spread, it *CompiledItem, right []float64) {
	first, most := -1, 0.0 // the set to tell of, and the largest difference among those that are the same
	for n, x := range w.leads {
		if math.IsNaN(x) || math.IsNaN(right[n]) {
			continue
		}
		w.Of++
		if it.same(right[n], x) {
			w.Sets++
			most = math.Max(most, off(right[n], x))
			if first < 0 || s.sets[first].places == nil && s.sets[n].places != nil {
				first = n
			}
		}
	}
	switch {
	case w.Of == 0:
		w.Why = "It cannot be worked out with any values that were tried."
	case first < 0:
	case it.Item.Choice != nil:
		w.Short = "both lead to " + it.Item.Choice.Words()[int(right[first])]
		w.Why = fmt.Sprintf("%s%s.", s.with(&s.sets[first], it.Needs()), w.Short)
	case most <= slack:
		w.Short = "the same calculation"
		w.Why = fmt.Sprintf("%sboth come to %s: it is the same calculation there.", s.with(&s.sets[first], it.Needs()), it.quantity(right[first]))
	case off(right[first], w.leads[first]) <= slack:
		w.Short = "up to " + percent(most) + " off"
		w.Why = fmt.Sprintf("%sboth come to %s; elsewhere they lie up to %s apart, which the tolerance accepts.", s.with(&s.sets[first], it.Needs()), it.quantity(right[first]), percent(most))
	default:
		w.Short = "up to " + percent(most) + " off"
		w.Why = fmt.Sprintf("%sit gives %s, and %s is right: %s off, which the tolerance accepts.",
			s.with(&s.sets[first], it.Needs()), it.quantity(w.leads[first]), it.quantity(right[first]), percent(off(right[first], w.leads[first])))
	}
}

// fromOther reports whether two ways lead to the same, written to three figures, wherever both are wrong.
func (w *way) fromOther(s *spread, it *CompiledItem, other *way, right []float64) (Untold, bool) {
	u := w.Untold
	u.From, u.Sets, u.Of = other.Key, 0, 0
	first := -1
	for n, x := range w.leads {
		y := other.leads[n]
		if math.IsNaN(x) || math.IsNaN(y) || math.IsNaN(right[n]) || it.same(right[n], x) || it.same(right[n], y) {
			continue
		}
		if !alikeToThree(x, y) {
			return u, false
		}
		u.Of++
		if first < 0 || s.sets[first].places == nil && s.sets[n].places != nil {
			first = n
		}
	}
	u.Sets = u.Of
	if first < 0 {
		return u, false
	}
	u.Short = "both come to " + it.quantity(w.leads[first])
	u.Why = fmt.Sprintf("%s%s.", s.with(&s.sets[first], it.Needs()), u.Short)
	return u, true
}

// quantity is a value of the item in words.
func (it *CompiledItem) quantity(x float64) string { return quantity.FormatFigures(x, it.Unit, 4) }

// off is how far x lies from right, as a share of it.
func off(right, x float64) float64 {
	if x == right {
		return 0
	}
	return math.Abs(x-right) / math.Max(math.Abs(right), math.SmallestNonzeroFloat64)
}

// percent is a share in words.
func percent(share float64) string {
	switch {
	case share >= 10:
		return "many times"
	case 0 < share && share < 5e-5:
		return "under 0.01 %"
	}
	s := strconv.FormatFloat(share*100, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".") + " %"
}

// alikeToThree says whether two values written to three figures are the same.
func alikeToThree(x, y float64) bool {
	return quantity.RoundFigures(x, 3) == quantity.RoundFigures(y, 3)
}
