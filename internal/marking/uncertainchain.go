package marking

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
	"witnessmark/internal/uncertainty"
)

// sharedAccuracy is how far the errors of two readings by one instrument are correlated, as far as its accuracy allows
// them: half. What is off in its scale they share, what is off at the moment they do not; in the difference of two
// readings the accuracy then counts once (common practice, no source).
const sharedAccuracy = 0.5

// mostTrials bounds the trials of one figure: the ends of what they cover are then right to about 2 % of u, and a sheet's
// marking stays a matter of milliseconds.
const mostTrials = 40_000

// mostTried bounds the figures of one sheet that are worked out by trials. A sheet with more figures near their limits, each
// of a formula that bends, is none of the trade's; those beyond have first order, which is what they are marked by anyway.
const mostTried = 24

// farEnough is how many expanded uncertainties to first order a value lies from its limit so that trials could not bring it
// near: where the formula does not bend they change the expanded uncertainty by less.
const farEnough = 1.25

// chain works a figure out from the readings that have an uncertainty, through the figures between, so that what rests on
// one reading twice is not taken for two. It is a model of package uncertainty.
type chain struct {
	links    []link    // the figures in order, the asked one last
	readings []int     // names of the readings: its inputs
	values   []float64 // by name, in SI, and the asked figure's behind them
	slopes   [][]float64
}

// link is one formula of a chain.
type link struct {
	formula      *brief.Formula
	name         int // where its value goes
	in, partials []float64
}

// chain is nil where the figure rests on no reading with an uncertainty.
func (m *marker) chain(f *brief.Formula) *chain {
	c := &chain{values: make([]float64, len(m.values)+1), slopes: make([][]float64, len(m.values)+1)}
	m.follow(c, f, len(m.values), map[int]bool{})
	if len(c.readings) == 0 {
		return nil
	}
	for k, n := range c.readings {
		c.slopes[n] = make([]float64, len(c.readings))
		c.slopes[n][k] = 1
	}
	for _, l := range c.links {
		c.slopes[l.name] = make([]float64, len(c.readings))
	}
	return c
}

// follow adds a formula to a chain behind all that it rests on.
func (m *marker) follow(c *chain, f *brief.Formula, name int, seen map[int]bool) {
	for _, n := range f.Needs {
		if seen[n] {
			continue
		}
		seen[n] = true
		c.values[n] = m.values[n].given
		if len(m.values[n].lines) > 0 {
			c.readings = append(c.readings, n)
		} else if i := m.c.Names[n].Item; i >= 0 && m.c.Items[i].Item.Figure != nil {
			m.follow(c, m.c.Items[i].Formula, n, seen)
		}
	}
	c.links = append(c.links, link{f, name, make([]float64, len(f.Needs)), make([]float64, len(f.Needs))})
}

// Eval works the figure out, in SI, with other values of the readings.
func (c *chain) Eval(readings []float64) (float64, error) {
	c.put(readings)
	for i := range c.links {
		if err := c.eval(&c.links[i]); err != nil {
			return 0, err
		}
	}
	return c.values[len(c.values)-1], nil
}

func (c *chain) put(readings []float64) {
	for k, n := range c.readings {
		c.values[n] = readings[k]
	}
}

func (c *chain) eval(l *link) (err error) {
	for j, n := range l.formula.Needs {
		l.in[j] = c.values[n]
	}
	c.values[l.name], err = l.formula.Program.Eval(l.in)
	return err
}

// EvalGradient gives how the figure changes with each reading as well, by the chain rule.
func (c *chain) EvalGradient(readings, partials []float64) (float64, error) {
	c.put(readings)
	for i := range c.links {
		l := &c.links[i]
		for j, n := range l.formula.Needs {
			l.in[j] = c.values[n]
		}
		y, err := l.formula.Program.EvalGradient(l.in, l.partials)
		if err != nil {
			return 0, err
		}
		c.values[l.name] = y
		sum := c.slopes[l.name]
		clear(sum)
		for j, n := range l.formula.Needs {
			for k, slope := range c.slopes[n] {
				sum[k] += float64(l.partials[j] * slope)
			}
		}
	}
	copy(partials, c.slopes[len(c.values)-1])
	return c.values[len(c.values)-1], nil
}

// draw turns draws of the readings into draws of what the asked figure's own formula takes. Where a figure between has no
// result the row has none.
func (c *chain) draw(readings func([][]float64)) func([][]float64) {
	last := &c.links[len(c.links)-1]
	in := make([]float64, len(c.readings))
	return func(columns [][]float64) {
		drawn := make([][]float64, len(c.readings))
		for k := range drawn {
			drawn[k] = make([]float64, len(columns[0]))
		}
		readings(drawn)
		for row := range columns[0] {
			for k := range in {
				in[k] = drawn[k][row]
			}
			c.put(in)
			ok := true
			for i := range c.links[:len(c.links)-1] {
				ok = ok && c.eval(&c.links[i]) == nil
			}
			for j, n := range last.formula.Needs {
				columns[j][row] = c.values[n]
				if !ok {
					columns[j][row] = math.NaN()
				}
			}
		}
	}
}

// chainInputs is what is known of a chain's readings, and which of them one instrument took.
func (m *marker) chainInputs(c *chain) ([]uncertainty.Input, []uncertainty.Common) {
	in := make([]uncertainty.Input, len(c.readings))
	var common []uncertainty.Common
	var instruments []string
	for k, n := range c.readings {
		in[k] = uncertainty.Input{Value: m.values[n].given, Lines: m.values[n].lines}
		r := m.c.Items[m.c.Names[n].Item].Item.Reading
		if r.Instrument == "" {
			continue
		}
		// Words alone are not enough: what one instrument shows in two measures has two accuracies.
		key := r.Instrument + "\x00" + m.c.Names[n].Unit.Dimension().Name()
		at := slices.Index(instruments, key)
		if at < 0 {
			instruments, common = append(instruments, key), append(common, uncertainty.Common{R: sharedAccuracy})
			at = len(common) - 1
		}
		common[at].Inputs = append(common[at].Inputs, k)
	}
	common = slices.DeleteFunc(common, func(c uncertainty.Common) bool { return len(c.Inputs) < 2 })
	return in, common
}

// uncertainFigure finds how well a figure's reference from the given and measured values is known, and sets that against
// its limit. The verdict stands: a figure's limit only ever raises flags.
func (m *marker) uncertainFigure(it *brief.CompiledItem, f *Finding, given reference) {
	limit := Limit(it.Limit)
	if !given.known {
		return
	}
	e, known := m.estimate(it, given.value, limit)
	if known && (!limit.Set() || f.Verdict == NotAttempted) {
		f.measured(e)
	}
	if f.Verdict == NotAttempted {
		return
	}
	if limit.Set() && atLimit(it, f, given.value, e, limit) != uncertainty.Kept && limit.Keeps(given.value) {
		text := fmt.Sprintf("From the given and measured values this comes to %s, inside the guard band %s.", withUnit(given.value, f.Unit), guardWords(it, f))
		f.Flags = append(f.Flags, Flag{Code: FlagGuard, Text: text, Trainee: text})
		f.Blocks = f.Blocks || it.Item.Figure.Safety
	}
}

// estimate is a figure's uncertainty in the asked unit: to first order, and by trials where that is doubted and y lies so
// near to a limit that it matters. known is false where no reading behind it has one.
func (m *marker) estimate(it *brief.CompiledItem, y float64, limit Limit) (e uncertainty.Estimate, known bool) {
	c := m.chain(it.Formula)
	if c == nil {
		return e, false
	}
	in, common := m.chainInputs(c)
	first, err := uncertainty.Propagate(c, in, common)
	if err != nil {
		return e, false // no slope at just this point, as at √0: nothing is said
	}
	e = inAsked(first, it.Unit)
	if e.Doubt == uncertainty.NoDoubt || !limit.Set() || it.Margin {
		return e, true
	}
	if e.Doubt != uncertainty.Bends && limit.ends().Distance(y) > farEnough*e.Expanded && it.Guard == nil {
		return e, true
	}
	if m.tried == mostTried {
		return e, true
	}
	m.tried++
	draws, err := uncertainty.Draws(in, common, m.seed(it, in))
	if err != nil {
		return e, true
	}
	tried, err := uncertainty.Trials(it.Formula.Program, c.draw(draws), 1, mostTrials)
	if err != nil {
		return e, true // no result within the spread: first order is all there is
	}
	return inAsked(tried, it.Unit), true
}

// seed is the start of a figure's trials: from the item, its formula and the readings, so that the same brief and sheet
// give the same result.
func (m *marker) seed(it *brief.CompiledItem, in []uncertainty.Input) uint64 {
	h := fnv.New64a()
	write := func(s string) { _, _ = h.Write(append([]byte(s), 0)) } // a hash never fails to write
	write(m.c.Brief.Key)
	write(it.Item.Key)
	write(it.Formula.Text)
	for _, x := range in {
		write(quantity.RoundFigures(x.Value, 12))
	}
	return h.Sum64()
}
