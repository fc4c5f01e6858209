package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"
	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"witnessmark/internal/bench/marker/formulas"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/formula"
)

// evaluation compares one evaluation with expr's and cel-go's, from values to result. Each is used the fastest way that its
// documents show: compiled once, the map that takes the values kept, functions with their types, expr's machine used again,
// cel-go's program optimised.
func evaluation() ([]rounds.Comparison, error) {
	var ours, inExpr, inCel []func(n int)
	for _, w := range formulas.All {
		p, err := w.Program()
		if err != nil {
			return nil, err
		}
		e, err := byExpr(w)
		if err != nil {
			return nil, fmt.Errorf("expr: %s: %w", w.Name, err)
		}
		c, err := byCel(w)
		if err != nil {
			return nil, fmt.Errorf("cel-go: %s: %w", w.Name, err)
		}
		ours, inExpr, inCel = append(ours, byProgram(w, p)), append(inExpr, e), append(inCel, c)
	}
	const unit = "geometric mean of five formulas, nanoseconds each"
	return []rounds.Comparison{
		compare(rounds.Bar{Name: "eval: one evaluation, against expr-lang", Unit: unit, Ours: "program", Theirs: "expr-lang", Kind: rounds.Faster, Limit: 12}, ours, inExpr),
		compare(rounds.Bar{Name: "eval: one evaluation, against cel-go", Unit: unit, Ours: "program", Theirs: "cel-go", Kind: rounds.Faster, Limit: 20}, ours, inCel),
	}, nil
}

// compare makes a bar of the geometric mean over loops.
func compare(b rounds.Bar, ours, theirs []func(n int)) rounds.Comparison {
	return rounds.Comparison{Bar: b, Measure: func(theirsFirst bool) (rounds.Round, error) {
		var each []rounds.Round
		for i := range ours {
			each = append(each, rounds.Turns(ours[i], theirs[i], theirsFirst))
		}
		return rounds.Mean(each), nil
	}}
}

var sink float64

func byProgram(w formulas.Workload, p *formula.Program) func(n int) {
	return func(n int) {
		for range n {
			v, err := p.Eval(w.Values)
			if err != nil {
				panic(err)
			}
			sink = v
		}
	}
}

// right says that a rival gives the workload's value.
func right(w formulas.Workload, got float64) error {
	if want := w.Native(w.Values); math.Abs(got-want) > 1e-12*math.Abs(want) {
		return fmt.Errorf("gives %v, not %v", got, want)
	}
	return nil
}

func byExpr(w formulas.Workload) (func(n int), error) {
	env := map[string]any{}
	for _, n := range w.Names {
		env[n] = 0.0
	}
	program, err := expr.Compile(w.Infix, expr.Env(env), expr.AsFloat64(),
		expr.Function("pow", func(a ...any) (any, error) { return math.Pow(a[0].(float64), a[1].(float64)), nil }, math.Pow),
		expr.Function("log10", func(a ...any) (any, error) { return math.Log10(a[0].(float64)), nil }, math.Log10),
		expr.Function("interp", func(a ...any) (any, error) {
			points := make([]float64, len(a)-1)
			for i := range points {
				points[i] = a[i+1].(float64)
			}
			return interpolate(a[0].(float64), points)
		}, new(func(x float64, points ...float64) float64)),
	)
	if err != nil {
		return nil, err
	}
	var machine vm.VM
	run := func() (float64, error) {
		for i, n := range w.Names {
			env[n] = w.Values[i]
		}
		v, err := machine.Run(program, env)
		if err != nil {
			return 0, err
		}
		return v.(float64), nil
	}
	got, err := run()
	if err != nil {
		return nil, err
	}
	return loop(run), right(w, got)
}

func byCel(w formulas.Workload) (func(n int), error) {
	number := cel.DoubleType
	one := func(name string, f func(a float64) float64) cel.EnvOption {
		return cel.Function(name, cel.Overload(name+"_double", []*cel.Type{number}, number,
			cel.UnaryBinding(func(a ref.Val) ref.Val { return types.Double(f(float64(a.(types.Double)))) })))
	}
	two := func(name string, f func(a, b float64) float64) cel.EnvOption {
		return cel.Function(name, cel.Overload(name+"_double", []*cel.Type{number, number}, number,
			cel.BinaryBinding(func(a, b ref.Val) ref.Val {
				return types.Double(f(float64(a.(types.Double)), float64(b.(types.Double))))
			})))
	}
	options := []cel.EnvOption{
		two("pow", math.Pow), two("min", func(a, b float64) float64 { return min(a, b) }), two("max", func(a, b float64) float64 { return max(a, b) }),
		one("log10", math.Log10),
		cel.Function("interp", cel.Overload("interp_double", []*cel.Type{number, cel.ListType(number)}, number, cel.BinaryBinding(func(x, points ref.Val) ref.Val {
			list, ok := points.Value().([]ref.Val)
			if !ok {
				return types.NewErr("the points are %T", points.Value())
			}
			at := make([]float64, len(list))
			for i, p := range list {
				at[i] = float64(p.(types.Double))
			}
			v, err := interpolate(float64(x.(types.Double)), at)
			if err != nil {
				return types.WrapErr(err)
			}
			return types.Double(v)
		}))),
	}
	in := map[string]any{}
	for _, n := range w.Names {
		options = append(options, cel.Variable(n, number))
	}
	env, err := cel.NewEnv(options...)
	if err != nil {
		return nil, err
	}
	text := w.Infix
	if points, ok := strings.CutPrefix(text, "interp(x, "); ok { // there are lists, and no arguments of any number
		text = "interp(x, [" + strings.TrimSuffix(points, ")") + "])"
	}
	ast, issues := env.Compile(text)
	if issues.Err() != nil {
		return nil, issues.Err()
	}
	program, err := env.Program(ast, cel.EvalOptions(cel.OptOptimize))
	if err != nil {
		return nil, err
	}
	run := func() (float64, error) {
		for i, n := range w.Names {
			in[n] = w.Values[i]
		}
		v, _, err := program.Eval(in)
		if err != nil {
			return 0, err
		}
		return float64(v.(types.Double)), nil
	}
	got, err := run()
	if err != nil {
		return nil, err
	}
	return loop(run), right(w, got)
}

// interpolate is what a rival needs for the table, whose points stand in the formula as they do in ours.
func interpolate(x float64, points []float64) (float64, error) {
	for i := 0; i+3 < len(points) && x >= points[0]; i += 2 {
		if x1, y1, x2, y2 := points[i], points[i+1], points[i+2], points[i+3]; x <= x2 {
			return y1 + (y2-y1)*((x-x1)/(x2-x1)), nil
		}
	}
	return 0, errors.New("outside the table")
}

func loop(run func() (float64, error)) func(n int) {
	return func(n int) {
		for range n {
			v, err := run()
			if err != nil {
				panic(err)
			}
			sink = v
		}
	}
}
