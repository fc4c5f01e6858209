package formula_test

import (
	"math"
	"math/big"
	"slices"

	"witnessmark/internal/formula"
)

// bits is the precision of the numbers below: far more than any formula here loses.
const bits = 400

func large(v float64) *big.Float       { return new(big.Float).SetPrec(bits).SetFloat64(v) }
func exactly() *big.Float              { return new(big.Float).SetPrec(bits) }
func small(x *big.Float) float64       { v, _ := x.Float64(); return v }
func plus(a, b *big.Float) *big.Float  { return exactly().Add(a, b) }
func minus(a, b *big.Float) *big.Float { return exactly().Sub(a, b) }
func times(a, b *big.Float) *big.Float { return exactly().Mul(a, b) }
func over(a, b *big.Float) *big.Float  { return exactly().Quo(a, b) }

// series sums first × (1 + …): each term is the one before times next's factor, until terms no longer count.
func series(first *big.Float, next func(k int) *big.Float) *big.Float {
	sum, term := exactly().Set(first), exactly().Set(first)
	for k := 1; term.Sign() != 0 && term.MantExp(nil) > sum.MantExp(nil)-bits; k++ {
		term = times(term, next(k))
		sum = plus(sum, term)
	}
	return sum
}

// bigLn is ln m + e ln 2 for x = m·2^e, by the series of the inverse hyperbolic tangent.
func bigLn(x *big.Float) *big.Float {
	atanh := func(z *big.Float) *big.Float {
		square, sum, power := times(z, z), exactly(), exactly().Set(z)
		for k := 1; power.Sign() != 0 && (sum.Sign() == 0 || power.MantExp(nil) > sum.MantExp(nil)-bits); k += 2 {
			sum = plus(sum, over(power, large(float64(k))))
			power = times(power, square)
		}
		return sum
	}
	m := exactly()
	e := x.MantExp(m)
	if m.Cmp(large(0.75)) < 0 {
		m, e = times(m, large(2)), e-1
	}
	ln := times(large(2), atanh(over(minus(m, large(1)), plus(m, large(1)))))
	ln2 := times(large(2), atanh(over(large(1), large(3))))
	return plus(ln, times(ln2, large(float64(e))))
}

// bigExp is (the series at x/2^k)^(2^k).
func bigExp(x *big.Float) *big.Float {
	k := max(x.MantExp(nil)+8, 0)
	part := exactly().SetMantExp(x, -k)
	e := series(large(1), func(n int) *big.Float { return over(part, large(float64(n))) })
	for range k {
		e = times(e, e)
	}
	return e
}

// bigPi by Machin's formula: 16 atan(1/5) − 4 atan(1/239).
var bigPi = func() *big.Float {
	atan := func(n float64) *big.Float {
		sum, power := exactly(), over(large(1), large(n))
		for k := 1; power.MantExp(nil) > -bits-10; k += 2 {
			term := over(power, large(float64(k)))
			if k%4 == 3 {
				term.Neg(term)
			}
			sum = plus(sum, term)
			power = over(power, large(n*n))
		}
		return sum
	}
	return minus(times(large(16), atan(5)), times(large(4), atan(239)))
}()

// bigSinCos by the series, less whole turns.
func bigSinCos(x *big.Float) (sin, cos *big.Float) {
	turn := times(large(2), bigPi)
	whole, _ := over(x, turn).Int(nil)
	x = minus(x, times(turn, exactly().SetInt(whole)))
	square := exactly().Neg(times(x, x))
	factor := func(from int) func(int) *big.Float {
		return func(k int) *big.Float {
			n := float64(2*k + from)
			return over(square, large(n*(n-1)))
		}
	}
	return series(x, factor(1)), series(large(1), factor(0))
}

// exact is a value worked out exactly, as far as that matters, and how far from it the float64 evaluation may be, to first
// order in the roundings: known is false where there is no value, or no such bound.
type exact struct {
	v     *big.Float
	off   float64
	known bool
}

const half = 0x1p-53 // a rounding's relative error at most; the library's functions are right to some of them

// nameless says that a tree is a constant.
func nameless(n *formula.Node) bool {
	return n.Kind != formula.NodeName && !slices.ContainsFunc(n.Args, func(a *formula.Node) bool { return !nameless(a) })
}

// exactTree evaluates a tree. What has no name in it is what the compiler makes of it, a float64.
func exactTree(n *formula.Node, in map[string]float64) exact {
	if nameless(n) {
		v := tree(n, nil)
		return exact{v: large(finiteOr0(v)), known: v-v == 0}
	}
	if n.Kind == formula.NodeName {
		return exact{v: large(in[n.Name]), known: true}
	}
	args := make([]exact, len(n.Args))
	for i, a := range n.Args {
		if args[i] = exactTree(a, in); !args[i].known {
			return exact{}
		}
	}
	e := exactStep(n, args)
	if e.known && (math.IsInf(small(e.v), 0) || e.off-e.off != 0) {
		return exact{}
	}
	return e
}

func finiteOr0(v float64) float64 {
	if v-v != 0 {
		return 0
	}
	return v
}

// rounded adds the step's own rounding.
func rounded(v *big.Float, off, units float64) exact {
	return exact{v, off + math.Abs(small(v))*units*half + 0x1p-1074, true}
}

func exactStep(n *formula.Node, args []exact) exact {
	a := args[0]
	x := small(a.v)
	switch n.Kind {
	case formula.NodeNeg:
		return exact{exactly().Neg(a.v), a.off, true}
	case formula.NodeAdd:
		return rounded(plus(a.v, args[1].v), a.off+args[1].off, 1)
	case formula.NodeSub:
		return rounded(minus(a.v, args[1].v), a.off+args[1].off, 1)
	case formula.NodeMul:
		return rounded(times(a.v, args[1].v), math.Abs(x)*args[1].off+math.Abs(small(args[1].v))*a.off+a.off*args[1].off, 1)
	case formula.NodeDiv:
		b := args[1]
		y := math.Abs(small(b.v)) - b.off
		if y <= 0 {
			return exact{}
		}
		q := over(a.v, b.v)
		return rounded(q, (a.off+math.Abs(small(q))*b.off)/y, 1)
	case formula.NodePow:
		return exactPower(a, args[1], n.Args[1])
	case formula.NodeRoot:
		if x <= a.off {
			return exact{}
		}
		return rounded(exactly().Sqrt(a.v), a.off/(2*math.Sqrt(x-a.off)), 1)
	case formula.NodeCall:
		return exactCall(n, args)
	case formula.NodeNumber, formula.NodeName, formula.NodePi, formula.NodeUnit:
	}
	return exact{}
}

// exactPower is exp(y·ln|x|), with the sign of an odd power.
func exactPower(a, b exact, exponent *formula.Node) exact {
	x, y := small(a.v), small(b.v)
	if math.Abs(x) <= a.off || math.Abs(x) < 1e-300 || math.Abs(y) > 50 { // math.Log is wrong for subnormal numbers
		return exact{}
	}
	whole := y == math.Trunc(y) && b.off == 0
	if x < 0 && !whole {
		return exact{}
	}
	ln := bigLn(exactly().Abs(a.v))
	v := bigExp(times(b.v, ln))
	if x < 0 && math.Mod(y, 2) != 0 {
		v.Neg(v)
	}
	size, logarithm := math.Abs(small(v)), math.Abs(small(ln))
	off := size * (math.Abs(y)*a.off/(math.Abs(x)-a.off) + logarithm*b.off)
	if off > 1e-3*size {
		return exact{}
	}
	return rounded(v, 1.01*off, 8+2*math.Abs(y)+2*logarithm)
}

func exactCall(n *formula.Node, args []exact) exact {
	a := args[0]
	x := small(a.v)
	switch n.Name {
	case "min", "max":
		best := a
		for _, b := range args[1:] {
			if (b.v.Cmp(best.v) < 0) == (n.Name == "min") {
				best.v = b.v
			}
			best.off = max(best.off, b.off)
		}
		return best
	case "mean", "sd", "u_mean":
		return exactStatistic(n.Name, args)
	case "abs":
		return exact{exactly().Abs(a.v), a.off, true}
	case "ln", "log10":
		if x <= 2*a.off || x < 1e-300 {
			return exact{}
		}
		v, scale := bigLn(a.v), 1.0
		if n.Name == "log10" {
			v, scale = over(v, bigLn(large(10))), math.Ln10
		}
		return rounded(v, a.off/((x-a.off)*scale), 6)
	case "exp":
		if x > 700 || x < -700 || a.off > 1e-3 {
			return exact{}
		}
		v := bigExp(a.v)
		return rounded(v, 1.01*small(v)*a.off, 4)
	case "sin", "cos", "tan":
		return exactAngle(n.Name, a)
	case "ceil", "floor":
		return exactWhole(n.Name, a)
	case "interp":
		return exactTable(args)
	}
	return exact{}
}

// exactStatistic takes the program's steps one by one, for what each loses.
func exactStatistic(name string, args []exact) exact {
	do := func(kind formula.NodeKind, of ...exact) exact {
		for _, x := range of {
			if !x.known {
				return exact{}
			}
		}
		return exactStep(&formula.Node{Kind: kind}, of)
	}
	whole := func(n int) exact { return exact{v: large(float64(n)), known: true} }
	n, first := len(args), args[0]
	if name == "mean" {
		sum := args[n-1]
		for i := n - 2; i >= 0; i-- {
			sum = do(formula.NodeAdd, args[i], sum)
		}
		return do(formula.NodeDiv, sum, whole(n))
	}
	sum := whole(0)
	for _, x := range args[1:] {
		sum = do(formula.NodeAdd, sum, do(formula.NodeSub, x, first))
	}
	mean := do(formula.NodeDiv, sum, whole(n))
	squares := do(formula.NodeMul, mean, mean)
	for _, x := range args[1:] {
		d := do(formula.NodeSub, do(formula.NodeSub, x, first), mean)
		squares = do(formula.NodeAdd, squares, do(formula.NodeMul, d, d))
	}
	over := n - 1
	if name == "u_mean" {
		over *= n
	}
	return do(formula.NodeRoot, do(formula.NodeDiv, squares, whole(over)))
}

// exactAngle takes degrees, which become radians with the float64 of π/180.
func exactAngle(name string, a exact) exact {
	radians := rounded(times(a.v, large(math.Pi/180)), a.off*math.Pi/180, 1)
	if math.Abs(small(radians.v)) > 1e6 || radians.off > 1e-3 {
		return exact{}
	}
	sin, cos := bigSinCos(radians.v)
	switch name {
	case "sin":
		return rounded(sin, radians.off, 8)
	case "cos":
		return rounded(cos, radians.off, 8)
	}
	c := math.Abs(small(cos)) - radians.off
	if c < 1e-3 {
		return exact{}
	}
	return rounded(over(sin, cos), radians.off/(c*c), 40) // math.Tan takes small angles for their tangent
}

// exactWhole has no value where it hangs on the rounding which whole number is next.
func exactWhole(name string, a exact) exact {
	x := small(a.v)
	toward := x - 1e-9*math.Abs(x)
	v := math.Ceil(toward)
	if name == "floor" {
		toward = x + 1e-9*math.Abs(x)
		v = math.Floor(toward)
	}
	if math.Abs(toward-math.Round(toward)) <= a.off+1e-12*math.Abs(x) || math.Abs(x) > 1e15 {
		return exact{}
	}
	return exact{large(v), 0, true}
}

// exactTable has no value near its ends, where it hangs on the rounding whether there is any.
func exactTable(args []exact) exact {
	a := args[0]
	x := small(a.v)
	for i := 1; i+2 < len(args); i += 2 {
		x1, y1, x2, y2 := args[i], args[i+1], args[i+2], args[i+3]
		if x1.off+x2.off > 0 || x <= small(x1.v)+a.off || x > small(x2.v)-a.off {
			continue
		}
		rise, share := minus(y2.v, y1.v), over(minus(a.v, x1.v), minus(x2.v, x1.v))
		off := y1.off + y2.off + math.Abs(small(rise))*a.off/small(minus(x2.v, x1.v))
		e := rounded(plus(y1.v, times(rise, share)), off, 1)
		e.off += (math.Abs(small(y1.v)) + 4*math.Abs(small(rise))) * 2 * half
		return e
	}
	return exact{}
}
