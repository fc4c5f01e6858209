package brief

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// How many sets of values a brief is tried with besides the model answer's own: the corners of the givens' ranges, all of
// them up to ten ranges; draws within them; and, for telling slips apart, readings over their believable ranges.
const (
	mostCorners  = 1024
	someDraws    = 256
	someReadings = 64
)

// spread is the values that trainees may meet: what a brief is tried with before it is published.
type spread struct {
	c    *Compiled
	sets []set // the model answer's first, then corners and draws of the givens
}

// set is one set of values.
type set struct {
	places []int     // of each given in its range, -1 for the model answer's value; nil is the model answer as a whole
	reads  bool      // its readings are drawn as well
	values []float64 // by index into Compiled.Names, in SI; NaN where one is not known
}

// newSpread makes the sets with the readings of the model answer: any mixture of believable readings need not be possible
// together, so no brief is refused over them. The same brief always has the same sets.
func newSpread(c *Compiled) *spread {
	s := &spread{c: c}
	var ranged []int
	for i := range c.Givens {
		if c.Givens[i].Range != nil {
			ranged = append(ranged, i)
		}
	}
	s.add(nil)
	if len(ranged) == 0 {
		return s
	}
	corners := mostCorners
	if len(ranged) < 10 {
		corners = 1 << len(ranged)
	}
	for n := range corners {
		s.add(s.places(ranged, func(bit int, g *CompiledGiven) int {
			high := n>>bit&1 == 1
			if len(ranged) > 10 { // more corners than are tried: all low and all high, then a draw decides each end
				high = n == 1 || n > 1 && pick("corner", g.Given.Name, int64(n), 2) == 1
			}
			if high {
				return g.Range.Count - 1
			}
			return 0
		}))
	}
	for seed := range int64(someDraws) {
		s.add(s.places(ranged, func(_ int, g *CompiledGiven) int { return pick(c.Brief.Key, g.Given.Name, seed, g.Range.Count) }))
	}
	return s
}

// places is where each ranged given stands.
func (s *spread) places(ranged []int, at func(bit int, g *CompiledGiven) int) []int {
	out := make([]int, len(s.c.Givens))
	for i := range out {
		out[i] = -1
	}
	for bit, i := range ranged {
		out[i] = at(bit, &s.c.Givens[i])
	}
	return out
}

func (s *spread) add(places []int) {
	t := set{places: places, values: make([]float64, len(s.c.Names))}
	for i, n := range s.c.Names {
		t.values[i] = math.NaN()
		switch {
		case n.Given < 0 && s.c.Items[n.Item].Item.Reading != nil && len(s.sets) > 0:
			t.values[i] = s.sets[0].values[i]
		case n.Given < 0 && s.c.Items[n.Item].Item.Reading != nil:
			t.values[i] = (&checker{b: s.c.Brief}).modelReading(&s.c.Items[n.Item])
		case n.Given < 0:
		case places == nil || places[n.Given] < 0:
			t.values[i] = s.c.Givens[n.Given].Value.SI()
		default:
			g := &s.c.Givens[n.Given]
			x, _ := g.Range.at(places[n.Given]).Float64()
			t.values[i] = g.Unit.ToSI(x)
		}
	}
	s.sets = append(s.sets, t)
}

// addReadings adds sets whose readings are drawn from their believable ranges, with the cross-checks kept.
func (s *spread) addReadings() {
	var read []int
	for i, n := range s.c.Names {
		if n.Given < 0 && s.c.Items[n.Item].Believable != nil {
			read = append(read, i)
		}
	}
	if len(read) == 0 {
		return
	}
	given := len(s.sets)
	for k := range someReadings {
		t := set{places: s.sets[k%given].places, reads: true, values: append([]float64{}, s.sets[k%given].values...)}
		for _, i := range read {
			it := &s.c.Items[s.c.Names[i].Item]
			share := float64(pick("reading", it.Item.Key, int64(k), 1001)) / 1000
			t.values[i] = it.Unit.ToSI(it.Believable.From + float64(share*(it.Believable.To-it.Believable.From)))
		}
		if s.keeps(&t) {
			s.sets = append(s.sets, t)
		}
	}
}

// keeps reports whether no cross-check over readings and givens is broken.
func (s *spread) keeps(t *set) bool {
	for _, x := range s.c.Crosses {
		if in, ok := inputs(x.Condition.Needs, t.values); ok {
			if holds, err := x.Condition.Program.Eval(in); err == nil && !holds {
				return false
			}
		}
	}
	return true
}

// with begins a sentence about one set: what it gives those names on which needs rest.
func (s *spread) with(t *set, needs []int) string {
	rests := make([]bool, len(s.c.Names))
	s.mark(rests, needs)
	var words []string
	for i, n := range s.c.Names {
		switch {
		case !rests[i]:
		case n.Given >= 0 && t.places != nil && t.places[n.Given] >= 0:
			words = append(words, n.Name+" = "+s.c.Givens[n.Given].Range.text(t.places[n.Given]))
		case n.Item >= 0 && t.reads && s.c.Items[n.Item].Believable != nil:
			words = append(words, n.Name+" = "+quantity.FormatFigures(n.Unit.FromSI(t.values[i]), n.Unit, 4))
		}
	}
	if len(words) == 0 {
		return "With the model answer’s values "
	}
	return "With " + strings.Join(words, ", ") + " "
}

// mark notes needs and, through figures, what they rest on.
func (s *spread) mark(rests []bool, needs []int) {
	for _, n := range needs {
		if rests[n] {
			continue
		}
		rests[n] = true
		if i := s.c.Names[n].Item; i >= 0 && s.c.Items[i].Formula != nil {
			s.mark(rests, s.c.Items[i].Formula.Needs)
		}
	}
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

// noAnswer says that something cannot be worked out in one set.
func noAnswer(path, with string, err error) Problem {
	p := Problem{Path: path, Text: with + "this cannot be worked out: " + err.Error()}
	var fe *formula.Error
	if errors.As(err, &fe) {
		p.Text, p.Offset = with+"this cannot be worked out: "+fe.Message, fe.Pos
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

// crossesHold warns where the model answer itself breaks a relation.
func (k *checker) crossesHold(s *spread) {
	for i, x := range s.c.Crosses {
		in, ok := inputs(x.Condition.Needs, s.sets[0].values)
		if !ok {
			continue
		}
		if holds, err := x.Condition.Program.Eval(in); err == nil && !holds {
			k.warn(fmt.Sprintf("cross-checks[%d].holds", i), "The model answer itself does not keep this relation. One of the two is to be put right.")
		}
	}
}
