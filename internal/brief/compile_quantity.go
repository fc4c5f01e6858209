package brief

import (
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// unit parses an asked unit.
func (c *compiler) unit(text, path string) (quantity.Unit, bool) {
	u, err := quantity.ParseUnit(text)
	if err != nil {
		c.fail(path, err)
		return quantity.One, false
	}
	return u, true
}

// quantity parses an exact number with its unit; a unit may only be missing where a plain number is wanted.
func (c *compiler) quantity(text, path string) (quantity.Quantity, bool) {
	q, err := quantity.ParseQuantity(text)
	if err != nil {
		c.fail(path, err)
		return q, false
	}
	if q.Number.Bound != quantity.Exactly {
		c.say(path, 0, "A plain quantity stands here, without < or >.")
		return q, false
	}
	return q, true
}

// in parses a quantity and gives it in the asked unit; nil where that cannot be done, which is then noted.
func (c *compiler) in(text string, asked quantity.Unit, path string) *float64 {
	q, ok := c.quantity(text, path)
	if !ok {
		return nil
	}
	if q.UnitText == "" && asked.String() != "" {
		c.say(path, len(text), "The unit is missing: write it behind the number, as in “"+text+" "+asked.String()+"”.")
		return nil
	}
	x, err := q.In(asked)
	if err != nil {
		c.fail(path, err)
		return nil
	}
	return &x
}

// above is in for what has to be more than nothing.
func (c *compiler) above(text string, asked quantity.Unit, path string) *float64 {
	x := c.in(text, asked, path)
	if x != nil && *x <= 0 {
		c.say(path, 0, "This has to be more than nothing.")
		return nil
	}
	return x
}

func (c *compiler) limit(l *Limit, asked quantity.Unit, path string) CompiledLimit {
	if l == nil {
		return CompiledLimit{}
	}
	if l.Rule != "" {
		c.unfilled(l.Rule, path)
		return CompiledLimit{}
	}
	out := CompiledLimit{Source: l.Source}
	if l.AtLeast != "" {
		out.AtLeast = c.in(l.AtLeast, asked, path+".at-least")
	}
	if l.AtMost != "" {
		out.AtMost = c.in(l.AtMost, asked, path+".at-most")
	}
	switch {
	case l.AtLeast == "" && l.AtMost == "":
		c.say(path, 0, "A limit has at-least, at-most or both.")
	case out.AtLeast != nil && out.AtMost != nil && *out.AtLeast > *out.AtMost:
		c.say(path, 0, "Nothing keeps this limit: at-least is above at-most.")
	}
	return out
}

func (c *compiler) believable(r *Range, asked quantity.Unit, path string) *CompiledRange {
	from, to := c.in(r.From, asked, path+".from"), c.in(r.To, asked, path+".to")
	if from == nil || to == nil {
		return nil
	}
	if *from >= *to {
		c.say(path, 0, "This range is empty: from is not below to.")
		return nil
	}
	return &CompiledRange{From: *from, To: *to}
}

// accuracy reads a share of the reading ("2 %"), an amount ("0.2 K") or both ("2 % + 0.03 Ω"), as makers state them.
func (c *compiler) accuracy(text string, asked quantity.Unit, path string) *CompiledAccuracy {
	first, second, both := strings.Cut(text, " + ")
	a := c.accuracyPart(first, asked, path)
	if !both || a == nil {
		return a
	}
	b := c.accuracyPart(second, asked, path)
	switch {
	case b == nil:
		return nil
	case a.Relative > 0 == (b.Relative > 0):
		c.say(path, 0, "An accuracy of two parts is a share of the reading and an amount, as in “2 % + 0.03 Ω”.")
		return nil
	}
	return &CompiledAccuracy{Absolute: a.Absolute + b.Absolute, Relative: a.Relative + b.Relative}
}

// accuracyPart reads one part. A reading in % has no share: see Reading.Accuracy.
func (c *compiler) accuracyPart(text string, asked quantity.Unit, path string) *CompiledAccuracy {
	q, ok := c.quantity(text, path)
	if !ok || !c.positive(q, path) {
		return nil
	}
	if q.Unit.String() == "%" && !strings.HasPrefix(asked.String(), "%") {
		return &CompiledAccuracy{Relative: q.SI()}
	}
	if x := c.in(text, asked.Difference(), path); x != nil {
		return &CompiledAccuracy{Absolute: *x}
	}
	return nil
}

// tolerance parses a tolerance and holds it to one way of stating it.
func (c *compiler) tolerance(t *Tolerance, asked quantity.Unit, path string) CompiledTolerance {
	out := CompiledTolerance{Figures: t.Figures, AtLeast: t.AtLeast, AtMost: t.AtMost, Exact: t.Exact}
	if t.Absolute != "" {
		if x := c.above(t.Absolute, asked.Difference(), path+".absolute"); x != nil {
			out.Absolute = *x
		}
	}
	if t.Relative != "" {
		if x := c.above(t.Relative, quantity.One, path+".relative"); x != nil {
			out.Relative = *x
		}
	}
	if t.Bound != "" {
		out.Bound = c.in(t.Bound, asked, path+".bound")
	}
	c.oneWay(t, path)
	return out
}

// oneWay says what does not go together in a tolerance.
func (c *compiler) oneWay(t *Tolerance, path string) {
	ways := 0
	for _, set := range []bool{t.Absolute != "" || t.Relative != "", t.Figures != 0, t.AtLeast, t.AtMost, t.Exact} {
		if set {
			ways++
		}
	}
	switch {
	case ways == 0:
		c.say(path, 0, "A tolerance says how: absolute, relative, significant-figures, at-least, at-most or exact.")
	case ways > 1:
		c.say(path, 0, "A tolerance is stated one way. Only absolute and relative go together: the larger of the two counts.")
	case t.Bound != "" && !t.AtLeast && !t.AtMost:
		c.say(path+".bound", 0, "A bound belongs to at-least or at-most.")
	case t.Bound != "" && t.Because == "":
		c.say(path+".bound", 0, "A bound needs its reason: add “because”.")
	case t.Figures > 12:
		c.say(path+".significant-figures", 0, "At most 12 significant figures are compared.")
	}
}

// positive says of a tolerance, step or accuracy that it is more than nothing.
func (c *compiler) positive(q quantity.Quantity, path string) bool {
	if q.Number.Exact().Sign() > 0 {
		return true
	}
	c.say(path, 0, "This has to be more than nothing.")
	return false
}

func (c *compiler) givens() {
	for i := range c.out.Brief.Given {
		c.given(&c.out.Brief.Given[i], "given["+strconv.Itoa(i)+"]")
	}
}

func (c *compiler) given(g *Given, path string) {
	cg, ok := c.givenValue(g, path)
	n := Name{Name: g.Name, Unit: cg.Unit, Given: len(c.out.Givens), Item: -1}
	c.out.Givens = append(c.out.Givens, cg)
	c.declare(n, ok)
}

func (c *compiler) givenValue(g *Given, path string) (CompiledGiven, bool) {
	cg := CompiledGiven{Given: g}
	if g.Rule != "" {
		c.unfilled(g.Rule, path)
		return cg, false
	}
	ranged := g.From != "" || g.To != "" || g.Step != ""
	if g.Value == "" && !ranged {
		c.say(path, 0, "A given has a value, or a range: from, to and step.")
		return cg, false
	}
	if g.Value != "" {
		q, ok := c.quantity(g.Value, path+".value")
		if !ok {
			return cg, false
		}
		cg.Value, cg.Unit = q, q.Unit
	}
	if !ranged {
		return cg, true
	}
	r, from, ok := c.span(g, path)
	if !ok {
		return cg, false
	}
	cg.Range = r
	if g.Value == "" {
		cg.Value, cg.Unit = from, from.Unit
	} else if !cg.Unit.Equal(from.Unit) {
		c.say(path+".from", 0, "Write value, from and to in the same unit.")
		return cg, false
	} else if !r.holds(cg.Value.Number.Exact()) {
		c.say(path+".value", 0, "The model answer's value lies on the range's own steps: from, to and step do not lead to it.")
		return cg, false
	}
	return cg, true
}
