package formula

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"witnessmark/internal/quantity"
)

// Compile checks the formula's names, units and kinds and makes its program. The formula must give the asked unit's
// dimension and kind; asked may be quantity.One for a plain number. The error is an *Error: an unknown name (with what
// was probably meant), two units that do not go together, or a result that is not what is asked, naming both.
//
// Units are checked here and never when the program runs.
//
// A fraction with a unit, 1/2 m, is half a metre; where it could as well be 1/(2 m), or only that fits, Compile asks for
// brackets.
func Compile(e *Expr, env Env, asked quantity.Unit) (*Program, error) {
	p, err := compileAsked(e, env, mode{}, asked)
	if n := e.fraction; n != nil {
		if _, dividedErr := compileAsked(e, env, mode{divided: true}, asked); dividedErr == nil {
			return nil, twoReadings(e.source, n)
		}
	}
	return p, err
}

func compileAsked(e *Expr, env Env, m mode, asked quantity.Unit) (*Program, error) {
	p, _, err := compile(e, env, m, func(c *compiler, root *Node, s sort) error {
		if message := s.accept(asked); message != "" {
			return c.fail(root, "%s", message)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	p.asked = asked
	return p, nil
}

// mode says how a formula is read.
type mode struct {
	// lenient is for a trainee's working: names are found whatever their case, and degrees stand for a difference where
	// nothing else makes sense.
	lenient bool
	// bare leaves units aside: numbers count as written. Names then stand for their value in their own unit.
	bare bool
	// divided reads 1/2 m as 1/(2 m), not as half a metre.
	divided bool
}

// compile tries with all names and constants in registers, then with loading steps where there are too many.
func compile(e *Expr, env Env, m mode, check func(*compiler, *Node, sort) error) (*Program, sort, error) {
	if e.timesX > 0 {
		if err := e.checkTimesX(env); err != nil {
			return nil, sort{}, err
		}
	}
	var last error
	for _, preload := range []bool{true, false} {
		c, _ := compilers.Get().(*compiler)
		c.reset(e, env, m, preload)
		p, s, err := c.program(check)
		full := c.full
		if err != nil && !full {
			err = c.withHint(err)
		}
		c.expr, c.env = nil, Env{} // what lives longer than this is only room
		compilers.Put(c)
		if err == nil {
			return p, s, nil
		}
		last = err
		if !full {
			break
		}
	}
	return nil, sort{}, last
}

// compilers are kept for their room.
var compilers = sync.Pool{New: func() any { return new(compiler) }}

func (c *compiler) reset(e *Expr, env Env, m mode, preload bool) {
	*c = compiler{
		expr: e, env: env, mode: m, preload: preload,
		args: c.args[:0], names: c.names[:0], consts: c.consts[:0], code: c.code[:0], places: c.places[:0],
	}
}

// compiler makes one program in one run over the tree. Where preload is set, names and constants are in registers of
// their own; otherwise steps load them.
type compiler struct {
	expr    *Expr
	env     Env
	mode    mode
	preload bool
	full    bool // ran out of registers
	notes   []string
	args    []operand // arguments of the calls being compiled
	steps   int       // nodes visited: what compiling costs
	bench

	names  []string
	consts []float64
	code   []instr
	places []int32
	calls  []call
	tables []table
	temps  int // temporary registers in use
}

// operand is where a value is: a constant not yet placed, a name, or a temporary register.
type operand struct {
	sort
	place place
	index int     // in working the slot on the tape, from 1; 0 where there is none yet
	bare  float64 // in working the value with units left aside
}

type place uint8

const (
	inConst place = iota
	inName
	inTemp
	inKept // a temporary register that stays in use behind the step that reads it
)

func (c *compiler) program(check func(*compiler, *Node, sort) error) (*Program, sort, error) {
	x, err := c.node(c.expr.root)
	if err == nil {
		err = check(c, c.expr.root, x.sort)
	}
	if err != nil {
		return nil, sort{}, err
	}
	reg, err := c.register(c.expr.root, &x)
	if err != nil {
		return nil, sort{}, err
	}
	if len(c.names) > math.MaxUint8 || len(c.consts) > math.MaxUint8 || len(c.calls) > math.MaxUint8 || len(c.tables) > math.MaxUint8 {
		return nil, sort{}, c.tooLarge()
	}
	if c.preload {
		if reg, err = c.settle(reg); err != nil {
			return nil, sort{}, err
		}
	}
	return c.built(reg), x.sort, nil
}

func (c *compiler) tooLarge() error {
	return &Error{Source: c.expr.source, Message: "The formula holds too many values at once: split it into several figures."}
}

func (c *compiler) fail(n *Node, format string, args ...any) error {
	return &Error{Source: c.expr.source, Pos: n.Pos, End: n.End, Message: fmt.Sprintf(format, args...)}
}

// failBetween points at an operator between the two sides rather than at the left side's beginning.
func (c *compiler) failBetween(n *Node, message string) error {
	pos := n.Args[0].End
	for pos < n.Args[1].Pos && (c.expr.source[pos] == ' ' || c.expr.source[pos] == ')') {
		pos++
	}
	return &Error{Source: c.expr.source, Pos: pos, End: n.End, Message: message}
}

func (c *compiler) node(n *Node) (operand, error) {
	c.steps++
	switch n.Kind {
	case NodeNumber:
		return c.literal(n), nil
	case NodePi:
		return operand{sort: sort{isConst: true, value: math.Pi}, bare: math.Pi}, nil
	case NodeName:
		return c.name(n)
	case NodeNeg:
		return c.negate(n)
	case NodeAdd, NodeSub, NodeMul, NodeDiv, NodePow:
		return c.pair(n)
	case NodeRoot:
		return c.root(n)
	case NodeUnit:
		return c.withUnit(n)
	case NodeCall:
		return c.call(n)
	case nodeCast:
		return c.cast(n)
	}
	return operand{}, c.fail(n, "This part of the formula is not known.")
}

func (c *compiler) literal(n *Node) operand {
	v := n.Number.Value()
	bareUnit := 1.0
	if n.HasUnit && n.Unit.Dimension().IsNumber() && n.Unit.Kind() == quantity.Plain {
		bareUnit = n.Unit.ToSI(1) // 75 % is 0.75 however the rest is written
	}
	s, unit := sort{isConst: true, value: v * bareUnit}, bareUnit
	if n.HasUnit && !c.mode.bare {
		s, unit = sortOf(n.Unit), n.Unit.ToSI(1)-n.Unit.ToSI(0)
		s.isConst, s.value, s.percent = true, n.Unit.ToSI(v), n.Unit.String() == "%"
		if c.mode.divided && n.slash {
			s, unit = sort{dim: quantity.Dimension{}.Div(s.dim), isConst: true, value: v / unit}, 1/unit
		}
	}
	if c.sheet != nil {
		return c.number(n, s, unit, v*bareUnit, bareUnit)
	}
	return operand{sort: s}
}

func (c *compiler) name(n *Node) (operand, error) {
	name, ok := c.env.resolve(n.Name, c.mode.lenient)
	if !ok {
		return operand{}, c.unknownName(n)
	}
	if c.mode.lenient && name != n.Name && c.env.Aliases[n.Name] != name {
		c.notes = append(c.notes, fmt.Sprintf("You wrote %s; it is %s here.", n.Name, name))
	}
	var s sort
	if !c.mode.bare {
		s = sortOf(c.env.Names[name])
	}
	if c.sheet != nil {
		return c.valued(n, name, s)
	}
	i := slices.Index(c.names, name)
	if i < 0 {
		i = len(c.names)
		c.names = append(c.names, name)
	}
	return operand{sort: s, place: inName, index: i}, nil
}

func (c *compiler) negate(n *Node) (operand, error) {
	x, err := c.node(n.Args[0])
	if err != nil {
		return operand{}, err
	}
	x = c.asDifference(n.Args[0], x, false)
	out := sort{dim: x.dim, kind: x.kind, scale: x.scale, weight: -x.weight}
	return c.apply(n, opNeg, out, x)
}

func (c *compiler) pair(n *Node) (operand, error) {
	a, err := c.node(n.Args[0])
	if err != nil {
		return operand{}, err
	}
	b, err := c.node(n.Args[1])
	if err != nil {
		return operand{}, err
	}
	o := pairOps[n.Kind]
	out, ok := plainPair(&a.sort, &b.sort, o)
	if !ok {
		if out, err = c.pairSort(n, o, &a, &b); err != nil {
			return operand{}, err
		}
	}
	if o == opPow && b.isConst && b.value == 2 && !a.isConst && (c.sheet == nil || b.bare == 2) {
		return c.operate(n, opMul, out, &a, &a)
	}
	return c.operate(n, o, out, &a, &b)
}

var pairOps = [...]op{NodeAdd: opAdd, NodeSub: opSub, NodeMul: opMul, NodeDiv: opDiv, NodePow: opPow}

// pairSort says what the two make together, and reads a literal in degrees as a difference where it is multiplied.
func (c *compiler) pairSort(n *Node, o op, a, b *operand) (out sort, err error) {
	message := ""
	switch o {
	case opAdd, opSub:
		if !c.mode.bare {
			out, message = sumSort(a.sort, b.sort, o == opSub)
		}
	case opMul, opDiv:
		if a.isPoint() != b.isPoint() && !a.dim.IsNumber() && !b.dim.IsNumber() {
			*a, *b = c.asDifference(n.Args[0], *a, true), c.asDifference(n.Args[1], *b, true)
		}
		out, message = productSort(a.sort, b.sort, o == opDiv)
	default:
		if out, message = powerSort(a.sort, b.sort); message != "" {
			return out, c.fail(n, "%s", message)
		}
	}
	if message != "" {
		return out, c.failBetween(n, message)
	}
	return out, nil
}

// asDifference reads a literal in degrees as a difference where a trainee's working multiplies it.
func (c *compiler) asDifference(n *Node, x operand, wanted bool) operand {
	if !c.mode.lenient || !wanted || n.Kind != NodeNumber || !x.isPoint() {
		return x
	}
	u := n.Unit.Difference()
	s := sortOf(u)
	s.isConst, s.value = true, u.ToSI(n.Number.Value())
	c.notes = append(c.notes, quantity.NoteDegreesForDifference.String())
	if c.sheet != nil {
		return c.number(n, s, u.ToSI(1), n.Number.Value(), 1)
	}
	return operand{sort: s}
}

func (c *compiler) root(n *Node) (operand, error) {
	x, err := c.node(n.Args[0])
	if err != nil {
		return operand{}, err
	}
	out, message := powerSort(x.sort, sort{isConst: true, value: 0.5})
	if message != "" {
		return operand{}, c.fail(n, "%s", message)
	}
	return c.apply(n, opSqrt, out, x)
}

func (c *compiler) withUnit(n *Node) (operand, error) {
	x, err := c.node(n.Args[0])
	if err != nil || c.mode.bare {
		return x, err
	}
	if !x.dim.IsNumber() || x.scale != "" || x.kind != quantity.Plain {
		return operand{}, c.fail(n, "This has a unit already (%s): it cannot take %s as well.", x.about(), n.Unit)
	}
	s := sortOf(n.Unit)
	factor := operand{sort: sort{isConst: true, value: n.Unit.ToSI(1) - n.Unit.ToSI(0)}, bare: 1}
	if x, err = c.apply(n, opMul, s, x, factor); err != nil {
		return operand{}, err
	}
	if zero := n.Unit.ToSI(0); zero != 0 {
		return c.apply(n, opAdd, s, x, operand{sort: sort{isConst: true, value: zero}})
	}
	return x, nil
}
