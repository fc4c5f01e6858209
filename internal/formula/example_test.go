package formula_test

import (
	"errors"
	"fmt"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// A formula is read, compiled for the asked unit and evaluated with values in SI base units.
func ExampleCompile() {
	env := formula.Env{Names: map[string]quantity.Unit{
		"m":  quantity.MustUnit("kg/s"),
		"tf": quantity.MustUnit("°C"),
		"tr": quantity.MustUnit("°C"),
	}}
	e, err := formula.Parse("m × 4.18 kJ/kgK × (tf − tr)")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := formula.Compile(e, env, quantity.MustUnit("kW"))
	if err != nil {
		fmt.Println(err)
		return
	}
	celsius := quantity.MustUnit("°C")
	v, err := p.EvalIn([]float64{0.204, celsius.ToSI(69.8), celsius.ToSI(51.3)}) // in the order of p.Names()
	fmt.Printf("%v %q %v\n", p.Names(), quantity.Format(v, p.Unit(), 2), err)
	// Output: [m tf tr] "15.78\u2009kW" <nil>
}

// What is wrong is shown at its place.
func ExampleError_Caret() {
	_, err := formula.Parse("0.28 × 4,19 × 20")
	var e *formula.Error
	if errors.As(err, &e) {
		fmt.Println(e.Caret())
	}
	// Output:
	// 0.28 × 4,19 × 20
	//         ^ There is a comma here: for decimals write a point; thousands need groups of three.
}

// Numbers that convert units by hand are found, because values carry their units.
func ExampleConversionFactors() {
	e, err := formula.Parse("qv / 60 × rho(tr) / 1000 × 2")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range formula.ConversionFactors(e) {
		fmt.Println(n.Number.Canonical(), "at", n.Pos)
	}
	// Output:
	// 60 at 5
	// 1000 at 21
}
