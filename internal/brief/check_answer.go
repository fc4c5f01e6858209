package brief

import (
	"fmt"
	"math"

	"witnessmark/internal/quantity"
)

// spread tries a brief over the whole spread of its givens: every figure comes out, every choice has a right answer, and
// every slip can be told from it.
func (k *checker) spread(c *Compiled) {
	s := newSpread(c)
	before := len(k.problems)
	for i := range c.Items {
		if it := &c.Items[i]; it.Formula != nil || len(it.Options) > 0 {
			k.tried(s, it)
		}
	}
	k.crossesHold(s)
	if len(k.problems[before:].Failures()) == 0 {
		k.slipsTold(s)
	}
}

// tried works one item out in every set. The first set without an answer is the one that is told.
func (k *checker) tried(s *spread, it *CompiledItem) {
	path := k.pathOf(it.Item.Key)
	for n := range s.sets {
		right, known, p := s.right(it, path, &s.sets[n])
		if p.Text != "" {
			k.problems = append(k.problems, p)
			return
		}
		if known && it.Name >= 0 {
			s.sets[n].values[it.Name] = right.value
		}
	}
}

// answer is what is right in one set: a value in SI, or the place of an option or size.
type answer struct {
	value float64
	place int
}

// right works out the answer; known is false where it rests on something that is not known itself.
func (s *spread) right(it *CompiledItem, path string, t *set) (right answer, known bool, p Problem) {
	if it.Formula == nil {
		return s.rightOption(it, path, t)
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
		return right, false, noAnswer(path+member, s.with(t, it.Formula.Needs), err)
	}
	right.value = x
	if it.Item.Choice != nil {
		if right.place = it.size(x); right.place == len(it.Sizes) {
			return right, false, Problem{Path: path + ".choice.size.sizes", Text: s.with(t, it.Formula.Needs) + fmt.Sprintf(
				"no size is large enough: the formula gives %s. Add a larger size.", quantity.FormatFigures(it.Unit.FromSI(x), it.Unit, 4))}
		}
	}
	return right, true, p
}

func (s *spread) rightOption(it *CompiledItem, path string, t *set) (right answer, known bool, p Problem) {
	var needs []int
	for i, o := range it.Options {
		if o.Condition == nil {
			return answer{place: i}, true, p
		}
		needs = append(needs, o.Condition.Needs...)
		in, ok := inputs(o.Condition.Needs, t.values)
		if !ok {
			return right, false, p
		}
		holds, err := o.Condition.Program.Eval(in)
		if err != nil {
			return right, false, noAnswer(fmt.Sprintf("%s.choice.options[%d].when", path, i), s.with(t, needs), err)
		}
		if holds {
			return answer{place: i}, true, p
		}
	}
	return right, false, Problem{Path: path + ".choice.options", Text: s.with(t, needs) + "none of the options is right. Add a last option without “when”."}
}

// size is the place of the first size not less than x (SI), len(Sizes) where there is none. The slack is policy 4's.
func (it *CompiledItem) size(x float64) int {
	want := it.Unit.FromSI(x)
	for i, s := range it.Sizes {
		if s >= want-float64(slack*math.Abs(want)) {
			return i
		}
	}
	return len(it.Sizes)
}

const slack = 1e-9

// accepts says whether x lies within the tolerance of ref, both in the asked unit and neither rounded.
func (t CompiledTolerance) accepts(ref, x float64) bool {
	margin := float64(slack * math.Max(math.Abs(ref), math.Abs(x)))
	switch {
	case t.Figures > 0:
		return quantity.RoundFigures(ref, t.Figures) == quantity.RoundFigures(x, t.Figures)
	case t.AtLeast:
		return x >= ref-margin && (t.Bound == nil || x <= *t.Bound+margin)
	case t.AtMost:
		return x <= ref+margin && (t.Bound == nil || x >= *t.Bound-margin)
	}
	return math.Abs(x-ref) <= float64(math.Max(t.Absolute, t.Relative*math.Abs(ref)))+margin
}
