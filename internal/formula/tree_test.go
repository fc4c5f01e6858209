package formula_test

import (
	"math"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
)

// tree evaluates a formula of plain numbers by walking its tree: the plainest way, to hold the others to. It is NaN where
// there is no result; a step between that is not finite has none.
func tree(n *formula.Node, in map[string]float64) float64 {
	args := make([]float64, len(n.Args))
	for i, a := range n.Args {
		args[i] = tree(a, in)
	}
	switch n.Kind {
	case formula.NodeNumber:
		return n.Number.Value()
	case formula.NodeName:
		return in[n.Name]
	case formula.NodePi:
		return math.Pi
	case formula.NodeNeg:
		return -args[0]
	case formula.NodeAdd:
		return args[0] + args[1]
	case formula.NodeSub:
		return args[0] - args[1]
	case formula.NodeMul:
		return args[0] * args[1]
	case formula.NodeDiv:
		if args[1] == 0 || args[1]-args[1] != 0 {
			return math.NaN()
		}
		return args[0] / args[1]
	case formula.NodePow:
		if args[1] == 2 && n.Args[1].Kind == formula.NodeNumber {
			return args[0] * args[0]
		}
		return finite(formula.Power(args[0], args[1]), args...)
	case formula.NodeRoot:
		return finite(math.Sqrt(args[0]), args...)
	case formula.NodeCall:
		return treeCall(n.Name, args)
	case formula.NodeUnit:
	}
	return math.NaN()
}

// finite is v if all the values it hangs on are finite.
func finite(v float64, on ...float64) float64 {
	for _, x := range append(on, v) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return math.NaN()
		}
	}
	return v
}

func treeCall(name string, args []float64) float64 {
	a := args[0]
	degrees := float64(a * (math.Pi / 180))
	switch name {
	case "min", "max": // from the right, as the program does it
		v := args[len(args)-1]
		for i := len(args) - 2; i >= 0; i-- {
			if name == "min" {
				v = finite(min(args[i], v), args[i], v)
			} else {
				v = finite(max(args[i], v), args[i], v)
			}
		}
		return v
	case "mean", "sd", "u_mean":
		return treeStatistic(name, args)
	case "abs":
		return finite(math.Abs(a), a)
	case "ln":
		return finite(formula.Ln(a), a)
	case "log10":
		return finite(formula.Log10(a), a)
	case "exp":
		return finite(formula.Exp(a), a)
	case "sin":
		return finite(math.Sin(degrees), degrees)
	case "cos":
		return finite(math.Cos(degrees), degrees)
	case "tan":
		return finite(math.Tan(degrees), degrees)
	case "ceil":
		return finite(math.Ceil(a-1e-9*math.Abs(a)), a)
	case "floor":
		return finite(math.Floor(a+float64(1e-9*math.Abs(a))), a)
	case "interp":
		for i := 1; i+2 < len(args) && a >= args[1]; i += 2 {
			if x1, y1, x2, y2 := args[i], args[i+1], args[i+2], args[i+3]; a <= x2 {
				if a == x2 {
					return y2
				}
				return y1 + float64((y2-y1)*((a-x1)/(x2-x1)))
			}
		}
	}
	return math.NaN()
}

// treeStatistic adds a mean up from the right, and counts deviations from the first value, as the program does it.
func treeStatistic(name string, args []float64) float64 {
	n, first := float64(len(args)), args[0]
	if name == "mean" {
		sum := args[len(args)-1]
		for i := len(args) - 2; i >= 0; i-- {
			sum = args[i] + sum
		}
		return finite(sum/n, args...)
	}
	sum := args[1] - first
	for _, x := range args[2:] {
		sum += x - first
	}
	mean := sum / n
	squares := mean * mean
	for _, x := range args[1:] {
		d := x - first - mean
		squares += float64(d * d)
	}
	over := n - 1
	if name == "u_mean" {
		over *= n
	}
	return finite(math.Sqrt(squares/over), args...)
}

// drawFormula writes a random formula with every operation of the notation.
func drawFormula(t *rapid.T, names []string, depth int) string {
	if depth == 0 || rapid.IntRange(0, 9).Draw(t, "leaf") == 0 {
		if rapid.Bool().Draw(t, "named") {
			return rapid.SampledFrom(names).Draw(t, "name")
		}
		return rapid.SampledFrom([]string{"2", "0.5", "3.25", "1e2", "7", "π", "0.001"}).Draw(t, "number")
	}
	sub := func() string { return drawFormula(t, names, depth-1) }
	if rapid.IntRange(0, 2).Draw(t, "call") > 0 {
		sign := rapid.SampledFrom([]string{" + ", " - ", " × ", " / "}).Draw(t, "sign")
		return "(" + sub() + ")" + sign + "(" + sub() + ")"
	}
	switch form := rapid.SampledFrom([]string{
		"-", "√", "²", "power", "root", "variable power", "min", "statistic", "interp", "abs", "ln", "log10", "exp", "sin", "cos", "tan", "ceil", "floor",
	}).Draw(t, "form"); form {
	case "-", "√":
		return form + "(" + sub() + ")"
	case "²":
		return "(" + sub() + ")²"
	case "power":
		return "(" + sub() + ")^" + rapid.SampledFrom([]string{"3", "-1", "4", "-3"}).Draw(t, "exponent")
	case "root":
		return "abs(" + sub() + ")^" + rapid.SampledFrom([]string{"0.25", "1.31", "(1/3)", "-0.9"}).Draw(t, "exponent")
	case "variable power":
		return "abs(" + sub() + ")^(" + sub() + ")"
	case "min":
		return rapid.SampledFrom([]string{"min(", "max("}).Draw(t, "extreme") + sub() + ", " + sub() + ", " + sub() + ")"
	case "statistic":
		return rapid.SampledFrom([]string{"mean(", "sd(", "u_mean("}).Draw(t, "statistic") + sub() + ", " + sub() + ", " + sub() + ")"
	case "interp":
		return "interp(" + sub() + ", -200, 7, -3, 5, 0, 5.5, 2, 4.5, 200, " + rapid.SampledFrom([]string{"9", names[0]}).Draw(t, "last point") + ")"
	default:
		return form + "(" + sub() + ")"
	}
}
