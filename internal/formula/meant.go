package formula

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// twoReadings asks for brackets at a fraction typed with a slash before a unit.
func twoReadings(source string, n *Node) error {
	fraction, unit := n.Number.Canonical(), n.Unit.String()
	top, bottom, _ := strings.Cut(fraction, "/")
	return &Error{Source: source, Pos: n.Pos, End: n.End, Reason: quantity.ErrAmbiguous, Message: fmt.Sprintf(
		"This can be read two ways: write (%s) %s for the fraction, or %s/(%s %s) for the division.", fraction, unit, top, bottom, unit)}
}

// checkTimesX refuses an x read as a times sign where x is a name: it could be either.
func (e *Expr) checkTimesX(env Env) error {
	pos := e.timesX - 1
	x := e.source[pos : pos+1]
	if _, ok := env.resolve(x, false); !ok {
		return nil
	}
	return &Error{Source: e.source, Pos: pos, End: pos + 1, Reason: quantity.ErrAmbiguous, Message: fmt.Sprintf(
		"There is a name %s here, so this could be the name or a times sign: write × for times.", x)}
}

// withHint adds to an error that a unit behind a number could have been meant as a name.
func (c *compiler) withHint(err error) error {
	var failed *Error
	if !errors.As(err, &failed) {
		return err
	}
	if n := c.unitNamed(c.expr.root); n != nil {
		number, name := n.Number.Canonical(), n.Unit.String()
		failed.Message += fmt.Sprintf(" (In %s %s the %s is the unit; for the name write %s × %s.)", number, name, name, number, name)
	}
	return err
}

// unitNamed finds a number whose unit is spelled like a name.
func (c *compiler) unitNamed(n *Node) *Node {
	if n.Kind == NodeNumber && n.HasUnit {
		if _, ok := c.env.resolve(n.Unit.String(), false); ok {
			return n
		}
	}
	for _, a := range n.Args {
		if found := c.unitNamed(a); found != nil {
			return found
		}
	}
	return nil
}

// unknownName says what was probably meant.
func (c *compiler) unknownName(n *Node) error {
	_, isBuiltin := builtins[n.Name]
	if _, isFunction := c.env.Functions[n.Name]; isFunction || isBuiltin || n.Name == "sqrt" {
		return c.fail(n, "%s is a function: write %s( … ).", n.Name, n.Name)
	}
	switch strings.ToLower(n.Name) {
	case "nan", "inf", "infinity":
		return c.fail(n, "There is no %q here: only numbers count.", n.Name)
	case "x":
		return c.fail(n, "There is no %q here; for times write ×, or x between spaces.", n.Name)
	}
	if meant := meantName(n.Name, slices.Sorted(maps.Keys(c.env.Names))); meant != "" {
		return c.fail(n, "There is no %q here; did you mean %s?", n.Name, meant)
	}
	if u, err := quantity.ParseUnitAnyCase(n.Name); err == nil && u.String() != "" {
		return c.fail(n, "There is no %q here; the unit %s stands right behind a number.", n.Name, u)
	}
	return c.fail(n, "There is no %q here: it is no given, reading or earlier figure.", n.Name)
}
