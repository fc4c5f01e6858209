package brief

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// How many sets of givens a brief is tried with: the model answer's, the corners of the ranges, and draws.
const (
	mostCorners = 64
	someDraws   = 64
)

// trial is one set of values: the givens of one trainee with the readings of the model answer.
type trial struct {
	givens string    // in words, for a problem: "load = 12.0 kW"; "" for the model answer's own
	values []float64 // by index into Compiled.Names, in SI; NaN where it is not known
}

// spread tries a brief over the whole spread of its givens: every figure comes out, every choice has a right answer, and
// no slip leads to the right answer everywhere. Readings stay those of the model answer, because any mixture of
// believable readings need not be possible together.
func (k *checker) spread(c *Compiled) {
	trials := k.trials(c)
	for i := range c.Items {
		if it := &c.Items[i]; it.Formula != nil || len(it.Options) > 0 {
			k.problems = append(k.problems, k.tried(it, trials)...)
		}
	}
	k.crossesHold(c, trials[0])
}

// trials makes the sets of givens. The first is the model answer's.
func (k *checker) trials(c *Compiled) []trial {
	var ranged []int
	for i, g := range c.Givens {
		if g.Range != nil {
			ranged = append(ranged, i)
		}
	}
	trials := []trial{k.trial(c, nil)}
	if len(ranged) == 0 {
		return trials
	}
	corners := mostCorners
	if len(ranged) < 6 {
		corners = 1 << len(ranged)
	}
	for n := range corners {
		at := map[int]int{}
		for bit, i := range ranged {
			high := n>>bit&1 == 1
			if len(ranged) > 6 { // too many corners for all of them: a draw decides each end
				high = pick("corner", c.Givens[i].Given.Name, int64(n), 2) == 1
			}
			if high {
				at[i] = c.Givens[i].Range.Count - 1
			} else {
				at[i] = 0
			}
		}
		trials = append(trials, k.trial(c, at))
	}
	for seed := range int64(someDraws) {
		at := map[int]int{}
		for _, i := range ranged {
			at[i] = pick(k.b.Key, c.Givens[i].Given.Name, seed, c.Givens[i].Range.Count)
		}
		trials = append(trials, k.trial(c, at))
	}
	return trials
}

// trial is the values with the ranged givens at the numbered places of their ranges; nil means the model answer's.
func (k *checker) trial(c *Compiled, at map[int]int) trial {
	t := trial{values: make([]float64, len(c.Names))}
	var words []string
	for i, n := range c.Names {
		t.values[i] = math.NaN()
		if n.Given < 0 {
			if r := c.Items[n.Item].Item.Reading; r != nil {
				t.values[i] = k.modelReading(&c.Items[n.Item])
			}
			continue
		}
		g := &c.Givens[n.Given]
		place, drawn := at[n.Given]
		if !drawn {
			t.values[i] = g.Value.SI()
			continue
		}
		x, _ := g.Range.at(place).Float64()
		t.values[i] = g.Unit.ToSI(x)
		words = append(words, n.Name+" = "+g.Range.text(place))
	}
	t.givens = strings.Join(words, ", ")
	return t
}

// modelReading is the mean of the model answer's repeats in the reading's last phase, in SI; NaN where it is not a number.
func (k *checker) modelReading(it *CompiledItem) float64 {
	sum, n := 0.0, 0
	last := NoPhase
	if ps := it.Item.Reading.Phases; len(ps) > 0 {
		last = ps[len(ps)-1]
	}
	for _, s := range it.Item.Slots() {
		m, ok := k.b.ModelAnswer(it.Item, s)
		if s.Phase != last || !ok {
			continue
		}
		q, err := quantity.ParseQuantityFor(strings.TrimSpace(m.Text+" "+m.Unit), it.Unit)
		if err != nil || q.Number.Bound != quantity.Exactly || quantity.CheckConvertible(q.Unit, it.Unit) != nil {
			return math.NaN()
		}
		sum += q.SI()
		n++
	}
	return sum / float64(n)
}

// tried works one item out in every trial. The first trial without an answer is the one that is told.
func (k *checker) tried(it *CompiledItem, trials []trial) Problems {
	path := k.pathOf(it.Item.Key)
	same := make([]int, len(it.Slips)) // in how many trials a slip leads to the right answer
	judged := 0
	for n := range trials {
		right, known, p := k.right(it, path, &trials[n])
		if p.Text != "" {
			return Problems{p}
		}
		if !known {
			continue
		}
		judged++
		if it.Name >= 0 {
			trials[n].values[it.Name] = right.value
		}
		for s := range it.Slips {
			if it.same(right, &it.Slips[s], trials[n].values) {
				same[s]++
			}
		}
	}
	var ps Problems
	for s := range it.Slips {
		if judged > 0 && same[s] == judged {
			slip := it.Slips[s].Slip
			ps = append(ps, Problem{Path: fmt.Sprintf("%s.%s.slips[%d]", path, it.Item.Form(), s), Warning: true, Text: fmt.Sprintf(
				"The slip “%s” gives the right answer, within its tolerance, whatever is given: nobody can be caught by it. Narrow the tolerance, change the givens or take it out.", slip.Key)})
		}
	}
	return ps
}

// answer is what is right in one trial: a value in SI, or the place of an option or size.
type answer struct {
	value float64
	place int
}

// right works out the answer; known is false where it rests on something that is not known itself.
func (k *checker) right(it *CompiledItem, path string, t *trial) (right answer, known bool, p Problem) {
	if it.Formula == nil {
		return k.rightOption(it, path, t)
	}
	member := ".figure.formula"
	if it.Item.Choice != nil {
		member = ".choice.size.formula"
	}
	in, ok := inputs(it.Formula.Needs, t.values)
	if !ok {
		return right, false, p
	}
	x, err := it.Formula.Program.Eval(in)
	if err != nil {
		return right, false, noAnswer(path+member, t, err)
	}
	right.value = x
	if it.Item.Choice != nil {
		if right.place = it.size(x); right.place == len(it.Sizes) {
			return right, false, Problem{Path: path + ".choice.size.sizes", Text: with(t) + fmt.Sprintf(
				"no size is large enough: the formula gives %s. Add a larger size.", quantity.FormatFigures(it.Unit.FromSI(x), it.Unit, 4))}
		}
	}
	return right, true, p
}

func (k *checker) rightOption(it *CompiledItem, path string, t *trial) (right answer, known bool, p Problem) {
	for i, o := range it.Options {
		if o.Condition == nil {
			return answer{place: i}, true, p
		}
		in, ok := inputs(o.Condition.Needs, t.values)
		if !ok {
			return right, false, p
		}
		holds, err := o.Condition.Program.Eval(in)
		if err != nil {
			return right, false, noAnswer(fmt.Sprintf("%s.choice.options[%d].when", path, i), t, err)
		}
		if holds {
			return answer{place: i}, true, p
		}
	}
	return right, false, Problem{Path: path + ".choice.options", Text: with(t) + "none of the options is right. Add a last option without “when”."}
}

// with begins a sentence about one trial.
func with(t *trial) string {
	if t.givens == "" {
		return "With the model answer’s values "
	}
	return "With " + t.givens + " "
}

func noAnswer(path string, t *trial, err error) Problem {
	p := Problem{Path: path, Text: with(t) + "this cannot be worked out: " + err.Error()}
	var fe *formula.Error
	if errors.As(err, &fe) {
		p.Offset = fe.Pos
	}
	return p
}

// inputs collects a program's values; ok is false where one is not known.
func inputs(needs []int, values []float64) (in []float64, ok bool) {
	for _, n := range needs {
		if math.IsNaN(values[n]) {
			return nil, false
		}
		in = append(in, values[n])
	}
	return in, true
}

// size is the place of the first size not less than x (SI), len(Sizes) where there is none. The slack is policy 4's.
func (it *CompiledItem) size(x float64) int {
	want := it.Unit.FromSI(x)
	for i, s := range it.Sizes {
		if s >= want-slack*math.Abs(want) {
			return i
		}
	}
	return len(it.Sizes)
}

const slack = 1e-9

// same says whether a slip leads to what is right. One that has no value here leads nowhere.
func (it *CompiledItem) same(right answer, s *CompiledSlip, values []float64) bool {
	switch {
	case s.Formula == nil && it.Formula == nil:
		return it.Options[right.place].Option.Text == s.Slip.Option
	case s.Formula == nil && it.Item.Choice != nil:
		words := it.Item.Choice.Words()[right.place]
		return s.Slip.Option == words || s.Slip.Option == it.Item.Choice.Size.Sizes[right.place]
	case s.Formula == nil:
		return false
	}
	in, ok := inputs(s.Formula.Needs, values)
	if !ok {
		return false
	}
	x, err := s.Formula.Program.Eval(in)
	if err != nil {
		return false
	}
	if it.Item.Choice != nil {
		return it.size(x) == right.place
	}
	return it.Tolerance.accepts(it.Unit.FromSI(right.value), it.Unit.FromSI(x))
}

// accepts says whether x lies within the tolerance of ref, both in the asked unit and neither rounded.
func (t CompiledTolerance) accepts(ref, x float64) bool {
	margin := slack * math.Max(math.Abs(ref), math.Abs(x))
	switch {
	case t.Figures > 0:
		return quantity.RoundFigures(ref, t.Figures) == quantity.RoundFigures(x, t.Figures)
	case t.AtLeast:
		return x >= ref-margin && (t.Bound == nil || x <= *t.Bound+margin)
	case t.AtMost:
		return x <= ref+margin && (t.Bound == nil || x >= *t.Bound-margin)
	}
	return math.Abs(x-ref) <= math.Max(t.Absolute, t.Relative*math.Abs(ref))+margin
}

// crossesHold warns where the model answer itself breaks a relation.
func (k *checker) crossesHold(c *Compiled, model trial) {
	for i, x := range c.Crosses {
		in, ok := inputs(x.Condition.Needs, model.values)
		if !ok {
			continue
		}
		if holds, err := x.Condition.Program.Eval(in); err == nil && !holds {
			k.warn(fmt.Sprintf("cross-checks[%d].holds", i), "The model answer itself does not keep this relation. One of the two is to be put right.")
		}
	}
}
