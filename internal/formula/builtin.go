package formula

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// builtin is a function of the notation itself.
type builtin struct {
	takes    string // its arguments, as a list of what may be written shows them
	about    string
	min, max int // number of arguments; max 0 means any
	compile  func(c *compiler, n *Node, args []operand) (operand, error)
}

// atmosphere is the standard atmosphere in Pa (10th CGPM, 1954).
const atmosphere = 101325

var builtins = map[string]builtin{
	"min":      {"a, b, …", "the smallest of its values", 2, 0, func(c *compiler, n *Node, args []operand) (operand, error) { return c.fold(n, opMin, args) }},
	"max":      {"a, b, …", "the largest of its values", 2, 0, func(c *compiler, n *Node, args []operand) (operand, error) { return c.fold(n, opMax, args) }},
	"abs":      {"x", "the value without its sign", 1, 1, compileAbs},
	"ln":       {"x", "the natural logarithm", 1, 1, plainFunction(opLn)},
	"log10":    {"x", "the logarithm to base ten", 1, 1, plainFunction(opLog10)},
	"exp":      {"x", "e to the power of the value", 1, 1, plainFunction(opExp)},
	"ceil":     {"x", "the next whole number up", 1, 1, plainFunction(opCeil)},
	"floor":    {"x", "the next whole number down", 1, 1, plainFunction(opFloor)},
	"sin":      {"angle", "the sine of an angle", 1, 1, angleFunction(opSin)},
	"cos":      {"angle", "the cosine of an angle", 1, 1, angleFunction(opCos)},
	"tan":      {"angle", "the tangent of an angle", 1, 1, angleFunction(opTan)},
	"atan":     {"x", "the angle whose tangent is the value", 1, 1, compileAtan},
	"kelvin":   {"t", "a temperature counted from absolute zero", 1, 1, compileKelvin},
	"absolute": {"p, atmosphere", "the absolute pressure of a gauge pressure; without the atmosphere, at the standard one", 1, 2, compileAbsolute},
	"gauge":    {"p, atmosphere", "the gauge pressure of an absolute pressure; without the atmosphere, at the standard one", 1, 2, compileGauge},
	"mean":     {"a, b, …", "the mean of values of one kind", 1, 0, compileMean},
	"sd":       {"a, b, …", "the experimental standard deviation of values of one kind", 2, 0, compileDeviation},
	"u_mean":   {"a, b, …", "the standard uncertainty of the mean of values of one kind", 2, 0, compileMeanDeviation},
	"interp":   {"x, x1, y1, x2, y2, …", "the value at x on straight lines between points; outside of them there is none", 5, 0, compileInterp},
}

// Builtin is a function of the notation itself, for lists of what may be written; Call has its arguments, "max(a, b, …)".
type Builtin struct{ Name, Call, About string }

// Builtins lists the functions of the notation by name; sqrt is written √ as well.
func Builtins() []Builtin {
	out := []Builtin{{"sqrt", "sqrt(x)", "the square root; √x is as good"}}
	for name, b := range builtins {
		out = append(out, Builtin{name, name + "(" + b.takes + ")", b.about})
	}
	slices.SortFunc(out, func(a, b Builtin) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func (c *compiler) call(n *Node) (operand, error) {
	b, isBuiltin := builtins[n.Name]
	fn, isFunction := c.env.Functions[n.Name]
	if _, isName := c.env.resolve(n.Name, true); isName && !isBuiltin && !isFunction && c.mode.lenient && len(n.Args) == 1 {
		factor := &Node{Kind: NodeName, Literal: noLiteral, Pos: n.Pos, End: n.Pos + len(n.Name), Name: n.Name}
		return c.pair(&Node{Kind: NodeMul, Literal: noLiteral, Pos: n.Pos, End: n.End, Args: []*Node{factor, n.Args[0]}})
	}
	if !isBuiltin && !isFunction {
		return operand{}, c.unknownFunction(n)
	}
	if isBuiltin {
		if len(n.Args) < b.min || b.max > 0 && len(n.Args) > b.max {
			return operand{}, c.fail(n, "%s takes %s.", n.Name, counted(b.min, b.max))
		}
	} else if len(n.Args) != len(fn.Params) {
		return operand{}, c.fail(n, "%s takes %s: %s.", n.Name, counted(len(fn.Params), len(fn.Params)), paramNames(fn))
	}
	first := len(c.args)
	c.args = slices.Grow(c.args, len(n.Args))
	for _, a := range n.Args {
		x, err := c.node(a)
		if err != nil {
			return operand{}, err
		}
		c.args = append(c.args, x)
	}
	args := c.args[first:]
	c.args = c.args[:first]
	if isBuiltin {
		return b.compile(c, n, args)
	}
	if !c.mode.bare {
		for i, p := range fn.Params {
			if message := args[i].accept(p.Unit); message != "" {
				return operand{}, c.fail(n.Args[i], "%s of %s: %s", capital(p.Name), n.Name, message)
			}
		}
		return c.emitCall(n, callOf(fn), sortOf(fn.Result), args)
	}
	return c.emitCall(n, bareCall(fn), sort{}, args)
}

func counted(least, most int) string {
	switch {
	case most == 0 && least == 1:
		return "at least one value"
	case most == 0:
		return fmt.Sprintf("at least %d values", least)
	case least == most && least == 1:
		return "one value"
	case least == most:
		return fmt.Sprintf("%d values", least)
	}
	return fmt.Sprintf("%d or %d values", least, most)
}

func paramNames(fn Function) string {
	var names []string
	for _, p := range fn.Params {
		names = append(names, p.Name+" in "+unitWord(p.Unit))
	}
	return strings.Join(names, ", ")
}

func (c *compiler) unknownFunction(n *Node) error {
	if _, ok := c.env.resolve(n.Name, true); ok {
		return c.fail(n, "%s is a value and no function: write %s × ( … ) to multiply.", n.Name, n.Name)
	}
	if n.Name == "sqrt" {
		return c.fail(n, "sqrt takes one value.")
	}
	if n.Name == "round" {
		return c.fail(n, "Formulas do not round: the figure's tolerance and rounding say how.")
	}
	if n.Name == "log" {
		return c.fail(n, "Write ln for the natural logarithm or log10 for the one to base ten.")
	}
	candidates := append(slices.Sorted(maps.Keys(builtins)), slices.Sorted(maps.Keys(c.env.Functions))...)
	candidates = append(candidates, "sqrt")
	if meant := meantName(n.Name, candidates); meant != "" {
		return c.fail(n, "There is no function %q; did you mean %s?", n.Name, meant)
	}
	return c.fail(n, "There is no function %q.", n.Name)
}

// fold makes min and max of any number of values.
func (c *compiler) fold(n *Node, o op, args []operand) (operand, error) {
	for i, a := range args[1:] {
		if c.mode.bare {
			break
		}
		first := args[0]
		if a.dim != first.dim || a.kind != first.kind || a.weight != first.weight || a.scale != first.scale {
			return operand{}, c.fail(n.Args[i+1], "%s compares like with like: this is %s, the first is %s.", n.Name, a.about(), first.about())
		}
	}
	// Work from the right, so that temporary registers are given back in the order they were taken.
	acc := args[len(args)-1]
	for i := len(args) - 2; i >= 0; i-- {
		out := args[i].sort
		out.isConst, out.percent = false, false
		var err error
		if acc, err = c.apply(n, o, out, args[i], acc); err != nil {
			return operand{}, err
		}
	}
	return acc, nil
}

func compileAbs(c *compiler, n *Node, args []operand) (operand, error) {
	if args[0].isPoint() || args[0].kind == quantity.Level {
		return operand{}, c.fail(n, "abs takes a difference or a plain quantity; this is %s.", args[0].about())
	}
	out := args[0].sort
	out.percent = false
	return c.apply(n, opAbs, out, args[0])
}

// plainFunction is a function from plain number to plain number.
func plainFunction(o op) func(*compiler, *Node, []operand) (operand, error) {
	return func(c *compiler, n *Node, args []operand) (operand, error) {
		if !args[0].dim.IsNumber() || args[0].isPoint() {
			return operand{}, c.fail(n.Args[0], "%s takes a plain number; this is %s.", n.Name, args[0].about())
		}
		return c.apply(n, o, sort{}, args[0])
	}
}

// angleFunction takes an angle, or a plain number as degrees.
func angleFunction(o op) func(*compiler, *Node, []operand) (operand, error) {
	return func(c *compiler, n *Node, args []operand) (operand, error) {
		x := args[0]
		if !x.dim.IsNumber() || x.kind == quantity.Level {
			return operand{}, c.fail(n.Args[0], "%s takes an angle; this is %s.", n.Name, x.about())
		}
		if x.kind != quantity.Angle {
			var err error
			if x, err = c.apply(n, opMul, sort{kind: quantity.Angle}, x, operand{sort: sort{isConst: true, value: math.Pi / 180}}); err != nil {
				return operand{}, err
			}
		}
		return c.apply(n, o, sort{}, x)
	}
}

func compileAtan(c *compiler, n *Node, args []operand) (operand, error) {
	if !args[0].dim.IsNumber() || args[0].kind != quantity.Plain {
		return operand{}, c.fail(n.Args[0], "atan takes a plain number; this is %s.", args[0].about())
	}
	x, err := c.apply(n, opAtan, sort{kind: quantity.Angle}, args[0])
	if err != nil || !c.mode.bare {
		return x, err
	}
	return c.apply(n, opMul, sort{}, x, operand{sort: sort{isConst: true, value: 180 / math.Pi}})
}

// compileKelvin needs no step: temperatures are kept in kelvin. As bare numbers they are degrees Celsius.
func compileKelvin(c *compiler, n *Node, args []operand) (operand, error) {
	x := args[0]
	if c.mode.bare {
		return c.apply(n, opAdd, sort{}, x, operand{sort: sort{isConst: true, value: 273.15}})
	}
	if math.Abs(x.weight-1) > 1e-9 {
		return operand{}, c.fail(n.Args[0], "kelvin takes a temperature in °C; this is %s.", x.about())
	}
	x.weight = 0
	return x, nil
}

func compileAbsolute(c *compiler, n *Node, args []operand) (operand, error) {
	return c.shiftPressure(n, args, opAdd, quantity.AbsolutePressure, quantity.GaugePressure)
}

func compileGauge(c *compiler, n *Node, args []operand) (operand, error) {
	return c.shiftPressure(n, args, opSub, quantity.GaugePressure, quantity.AbsolutePressure)
}

// shiftPressure adds or takes off the air's pressure, by default the standard atmosphere.
func (c *compiler) shiftPressure(n *Node, args []operand, o op, to, from quantity.Kind) (operand, error) {
	if c.mode.bare && len(args) == 1 {
		return operand{}, c.fail(n, "%s needs pressures with their units.", n.Name)
	}
	air := operand{sort: sort{dim: args[0].dim, isConst: true, value: atmosphere}}
	if len(args) == 2 {
		air = args[1]
	}
	pascal := quantity.Dimension{-1, 1, -2}
	for i, a := range args {
		switch {
		case c.mode.bare:
		case a.dim != pascal:
			return operand{}, c.fail(n.Args[i], "%s takes a pressure; this is %s.", n.Name, a.about())
		case i == 0 && a.kind != from && a.kind != quantity.Plain:
			return operand{}, c.fail(n.Args[0], "This is %s already.", a.about())
		}
	}
	out := sort{dim: args[0].dim, kind: to}
	return c.apply(n, o, out, args[0], air)
}

// compileInterp takes x and then the table's points x₁, y₁, x₂, y₂ … with rising x.
func compileInterp(c *compiler, n *Node, args []operand) (operand, error) {
	if len(args)%2 == 0 {
		return operand{}, c.fail(n, "interp takes a value and then pairs of table points: interp(x, x1, y1, x2, y2).")
	}
	for i := 1; i < len(args) && !c.mode.bare; i++ {
		like := args[0]
		if i%2 == 0 {
			like = args[2]
		}
		if args[i].dim != like.dim || args[i].weight != like.weight || args[i].kind != like.kind {
			return operand{}, c.fail(n.Args[i], "This table value is %s; it stands where %s is wanted.", args[i].about(), like.about())
		}
		if i > 2 && i%2 == 1 && args[i].isConst && args[i-2].isConst && args[i].value <= args[i-2].value {
			return operand{}, c.fail(n.Args[i], "The table's points must rise from left to right.")
		}
	}
	out := args[2].sort
	out.isConst, out.percent = false, false
	if c.sheet == nil && fixed(args[1:]) {
		return c.emitTable(n, tableOf(args[1:]), out, args[0])
	}
	return c.emitCall(n, call{name: n.Name, argc: len(args), fn: interpolate, ranges: interpolateRanges, slopes: interpolateSlopes}, out, args)
}
