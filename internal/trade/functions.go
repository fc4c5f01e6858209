package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Functions lists everything that formulas may call, by subject. The names are unique and are part of every brief that
// was ever published: a function may be added, never renamed, and its figures change only with a new source.
//
// Where a property depends on a pressure that a formula rarely states there are two: rho(t) takes ConventionPressure,
// rho_at(t, p) the pressure given.
func Functions() []formula.Function {
	var out []formula.Function
	for _, s := range Subjects() {
		for _, e := range s.Entries {
			out = append(out, e.Function)
		}
	}
	return out
}

// The units that functions are declared in. Call sees SI base units whatever stands here; the unit is what a person
// reads and what dimension and kind are checked by.
var (
	unitPoint        = quantity.MustUnit("°C")
	unitAbsolute     = quantity.MustUnit("bar(a)")
	unitDensity      = quantity.MustUnit("kg/m³")
	unitHeatCapacity = quantity.MustUnit("kJ/(kg·K)")
	unitEnthalpy     = quantity.MustUnit("kJ/kg")
	unitViscosity    = quantity.MustUnit("Pa·s")
	unitKinematic    = quantity.MustUnit("m²/s")
	unitConductivity = quantity.MustUnit("W/(m·K)")
	unitSize         = quantity.MustUnit("mm")
	unitArea         = quantity.MustUnit("mm²")
	unitLength       = quantity.MustUnit("m")
	unitVolume       = quantity.MustUnit("L")
	unitFlow         = quantity.MustUnit("L/min")
	unitVelocity     = quantity.MustUnit("m/s")
	unitKelvin       = quantity.MustUnit("K")
	unitPower        = quantity.MustUnit("W")
	unitTransmission = quantity.MustUnit("W/(m²·K)")
	unitSecond       = quantity.MustUnit("s")
)

// Parameters that several functions share.
var (
	paramT    = formula.Param{Name: "t", Unit: unitPoint, About: "temperature of the water"}
	paramP    = formula.Param{Name: "p", Unit: unitAbsolute, About: "absolute pressure"}
	paramOD   = formula.Param{Name: "od", Unit: unitSize, About: "outside diameter"}
	paramWall = formula.Param{Name: "wall", Unit: unitSize, About: "wall thickness"}
	paramP0   = formula.Param{Name: "p0", Unit: unitAbsolute, About: "pre-charge, absolute"}
	paramVe   = formula.Param{Name: "Ve", Unit: unitVolume, About: "volume by which the water grows"}
	paramVWR  = formula.Param{Name: "VWR", Unit: unitVolume, About: "water reserve"}
	paramVN   = formula.Param{Name: "VN", Unit: unitVolume, About: "the vessel's nominal volume"}
)

// How the water functions end the sentence that says what they give.
const (
	rangeStated     = "0 °C to 350 °C, liquid, up to 1000 bar absolute."
	rangeConvention = "at 2.5 bar absolute, 0 °C to 127.4 °C."
)

// What the reference says of their range, and the temperatures that their charts show.
const (
	holdsConvention = "0 °C to 127.4 °C, at 2.5 bar absolute, where water boils at that."
	holdsStated     = "0 °C to 350 °C, liquid, up to 1000 bar absolute."
)

var overT = Chart{"t", "5 °C", "95 °C"}

// Where functions turn from rising to falling or back, for formulas worked out over ranges (see formula.Function.Turns).
var (
	densest       = [][]float64{{zeroCelsius + 3.9332}}  // water at ConventionPressure, worked out from WaterDensity
	leastCapacity = [][]float64{{zeroCelsius + 40.5576}} // the same, from WaterHeatCapacity
)

// steady says that a function rises or falls throughout in each of so many parameters.
func steady(parameters int) [][]float64 { return make([][]float64, parameters) }

// The adapters below hand a formula's arguments, whose number was checked when the formula was compiled, to a function.

func of1(f func(a float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0]) }
}

func of2(f func(a, b float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], x[1]) }
}

func of3(f func(a, b, c float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], x[1], x[2]) }
}

func of4(f func(a, b, c, d float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], x[1], x[2], x[3]) }
}

func of5(f func(a, b, c, d, e float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], x[1], x[2], x[3], x[4]) }
}

func of6(f func(a, b, c, d, e, g float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], x[1], x[2], x[3], x[4], x[5]) }
}

// conventional leaves a property of temperature and pressure to the temperature alone.
func conventional(f func(t, p float64) (float64, error)) func([]float64) (float64, error) {
	return func(x []float64) (float64, error) { return f(x[0], ConventionPressure) }
}
