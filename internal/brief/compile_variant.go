package brief

import (
	"math"
	"sync"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Wrongs are the known wrong ways of working a figure: the slips that the brief declares with a formula, in their order,
// then those made from the figure's own formula (formula.Variants). Family works the values of all of them out together;
// program i of it belongs to Ways[i].
type Wrongs struct {
	Ways   []Wrong
	Family *formula.Family
	Needs  []int // indices into Compiled.Names, in the order in which Family.Eval takes their values in SI
}

// Wrong is one wrong way of working.
type Wrong struct {
	Key, Is string
	Made    bool // from the formula itself, not declared by the brief
}

// Wrongs gives the known wrong ways of working this figure; it is empty where the item is none. They are made when they
// are first asked for and kept: a brief that is only read or checked does not pay for them, and no figure pays twice.
func (it *CompiledItem) Wrongs() *Wrongs {
	if it.wrongs == nil {
		return &Wrongs{Family: formula.NewFamily(nil)}
	}
	return it.wrongs()
}

// Thumbs gives the rules of thumb that lead to this figure as well and that the brief has not ruled out, by its
// conventions (ruled-out) or by declaring a slip that comes to the same. Most figures have none. They are kept as Wrongs
// are.
func (it *CompiledItem) Thumbs() *Wrongs {
	if it.thumbs == nil {
		return &Wrongs{Family: formula.NewFamily(nil)}
	}
	return it.thumbs()
}

// wrongs readies a figure's wrong ways of working and its rules of thumb. The names that its formula may use are those
// declared so far, which are the first of the compiled brief's.
func (c *compiler) wrongs(ci *CompiledItem) {
	out, functions, declared := c.out, c.env.Functions, len(c.out.Names)
	fixed := *ci
	env := sync.OnceValue(func() formula.Env { return formula.Env{Names: out.units(declared), Functions: functions} })
	ci.wrongs = sync.OnceValue(func() *Wrongs { return out.wrongsOf(&fixed, env()) })
	ci.thumbs = sync.OnceValue(func() *Wrongs { return out.thumbsOf(&fixed, env()) })
}

func (c *Compiled) wrongsOf(it *CompiledItem, env formula.Env) *Wrongs {
	var ways []Wrong
	for _, s := range it.Slips {
		if s.Formula != nil {
			ways = append(ways, Wrong{Key: s.Slip.Key, Is: s.Slip.Is})
		}
	}
	programs := it.declared()
	if e, err := formula.Parse(it.Formula.Text); err == nil {
		for _, v := range formula.Variants(e, env, it.Unit, programs, c.samples()) {
			ways = append(ways, Wrong{Key: v.Key, Is: v.Is, Made: true})
			programs = append(programs, v.Program)
		}
	}
	return c.together(ways, programs)
}

func (c *Compiled) thumbsOf(it *CompiledItem, env formula.Env) *Wrongs {
	var ways []Wrong
	var programs []*formula.Program
	if e, err := formula.Parse(it.Formula.Text); err == nil {
		for _, v := range formula.Thumbs(e, env, it.Unit, c.Brief.RuledOut, it.declared(), c.samples()) {
			ways = append(ways, Wrong{Key: v.Key, Is: v.Is, Made: true})
			programs = append(programs, v.Program)
		}
	}
	return c.together(ways, programs)
}

// declared are the programs of the slips that the brief declares with a formula.
func (it *CompiledItem) declared() []*formula.Program {
	var programs []*formula.Program
	for _, s := range it.Slips {
		if s.Formula != nil {
			programs = append(programs, s.Formula.Program)
		}
	}
	return programs
}

// together makes one family of several ways of working.
func (c *Compiled) together(ways []Wrong, programs []*formula.Program) *Wrongs {
	w := &Wrongs{Ways: ways, Family: formula.NewFamily(programs)}
	index := make(map[string]int, len(c.Names))
	for i := range c.Names {
		index[c.Names[i].Name] = i
	}
	for _, n := range w.Family.Names() {
		w.Needs = append(w.Needs, index[n])
	}
	return w
}

// units gives the units of the first so many names.
func (c *Compiled) units(names int) map[string]quantity.Unit {
	out := make(map[string]quantity.Unit, names)
	for _, n := range c.Names[:names] {
		out[n.Name] = n.Unit
	}
	return out
}

// sampleCount is how many sets of values two ways of working are told apart by.
const sampleCount = 8

// samples are sets of values that the brief's figures may meet: the model answer's, then others over the spread of the
// givens, with readings around the model answer's. The same brief always has the same ones.
func (c *Compiled) samples() []formula.Sample {
	out := make([]formula.Sample, sampleCount)
	for k := range out {
		out[k] = formula.Sample{}
		for i := range c.Names {
			c.sample(out[k], i, k)
		}
	}
	return out
}

// sample puts the value of name number i into set number k, if it has one there.
func (c *Compiled) sample(into formula.Sample, i, k int) {
	n := &c.Names[i]
	_, place := math.Modf(0.5 + float64(float64(k)*float64(i+1)*0.6180339887498949)) // spread evenly over 0 … 1
	switch {
	case n.Given >= 0:
		g := &c.Givens[n.Given]
		into[n.Name] = g.Value.SI()
		if g.Range != nil && k > 0 {
			x, _ := g.Range.at(int(place * float64(g.Range.Count))).Float64()
			into[n.Name] = g.Unit.ToSI(x)
		}
	case c.Items[n.Item].Item.Reading != nil:
		into[n.Name] = c.readingSample(&c.Items[n.Item], place, k)
	case c.Items[n.Item].Formula != nil:
		f := c.Items[n.Item].Formula
		in := make([]float64, len(f.Needs))
		for j, need := range f.Needs {
			x, ok := into[c.Names[need].Name]
			if !ok {
				return
			}
			in[j] = x
		}
		if x, err := f.Program.Eval(in); err == nil {
			into[n.Name] = x
		}
	}
}

// readingSample is the model answer's reading, then values up to a tenth off it; some value of its unit where the model
// answer has none yet.
func (c *Compiled) readingSample(it *CompiledItem, place float64, k int) float64 {
	x := it.Unit.FromSI((&checker{b: c.Brief}).modelReading(it))
	if math.IsNaN(x) || x == 0 {
		return it.Unit.ToSI(1 + place)
	}
	if k == 0 {
		return it.Unit.ToSI(x)
	}
	return it.Unit.ToSI(x * (0.9 + float64(0.2*place)))
}
