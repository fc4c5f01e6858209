package trade

import (
	"cmp"
	"math"
	"slices"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// gravity is the standard acceleration of free fall, m/s² (3rd CGPM, 1901).
const gravity = 9.80665

// PressureGradient is the pressure, Pa, that water at t kelvin and ConventionPressure loses in a metre of straight pipe,
// from Darcy's friction factor, the bore in m and the mean velocity in m/s: friction/bore·density·velocity²/2.
//
// Range: friction factor, bore and velocity above zero, 0 °C to 127.4 °C; outside it a RangeError. Source: Darcy and
// Weisbach; density as WaterDensity. Example: 0.023 955 and 0.644 89 m/s in 20.2 mm at 60 °C, 242.472 Pa/m.
func PressureGradient(friction, bore, velocity, t float64) (float64, error) {
	if err := positive("f", "The friction factor", friction); err != nil {
		return 0, err
	}
	if err := positive("bore", "The bore", bore); err != nil {
		return 0, err
	}
	loss, err := FittingsLoss(1, velocity, t)
	if err != nil {
		return 0, err
	}
	return friction / bore * loss, nil
}

// TubeGradient is the pressure, Pa, that a volume flow of water in m³/s at t kelvin and ConventionPressure loses in a
// metre of tube, from the outside diameter, wall and roughness in m: velocity, Reynolds number, Colebrook's friction
// factor and Darcy's equation in one.
//
// Range: as TubeVelocity, Reynolds and Friction, so turbulent flow only; outside it a RangeError on one of these
// parameters. Source: as those. Example: 12.4 L/min in 22 mm × 0.9 mm of 0.0015 mm at 60 °C, 244.598 Pa/m.
func TubeGradient(flow, outside, wall, roughness, t float64) (float64, error) {
	velocity, err := TubeVelocity(flow, outside, wall)
	if err != nil {
		return 0, err
	}
	bore, err := TubeBore(outside, wall)
	if err != nil {
		return 0, err
	}
	re, err := Reynolds(velocity, bore, t)
	if err != nil {
		return 0, renamed(err, "v", "flow")
	}
	friction, err := Friction(re, roughness, bore)
	if err != nil {
		return 0, renamed(err, "Re", "flow")
	}
	return PressureGradient(friction, bore, velocity, t)
}

// FittingsLoss is the pressure, Pa, that water at t kelvin and ConventionPressure loses in fittings, from the sum of
// their loss coefficients and the mean velocity in m/s: sum·density·velocity²/2.
//
// Range: both above zero, 0 °C to 127.4 °C; outside it a RangeError. Source: definition of the loss coefficient; density
// as WaterDensity. Example: 9 at 0.644 89 m/s and 60 °C, 1840.17 Pa.
func FittingsLoss(zeta, velocity, t float64) (float64, error) {
	if err := positive("zeta", "The sum of loss coefficients", zeta); err != nil {
		return 0, err
	}
	if err := positive("v", "The velocity", velocity); err != nil {
		return 0, err
	}
	density, err := WaterDensity(t, ConventionPressure)
	if err != nil {
		return 0, err
	}
	return zeta * density * velocity * velocity / 2, nil
}

// FlowCoefficient is a valve's Kv, given in m³/s at 1 bar: the flow of water in m³/s over the root of the pressure
// difference, in pascal, over 1 bar.
//
// Range: both above zero; outside it a RangeError. Source: IEC 60534-1, for water (5 °C to 40 °C, whose density counts
// as 1). Example: 2.6 L/min at 7.5 kPa, 0.569 63 m³/h.
func FlowCoefficient(flow, difference float64) (float64, error) {
	if err := positive("flow", "The flow", flow); err != nil {
		return 0, err
	}
	if err := positive("dp", "The pressure difference", difference); err != nil {
		return 0, err
	}
	return flow / math.Sqrt(difference/1e5), nil
}

// Head is the height, m, of water at t kelvin and ConventionPressure that a pressure difference in pascal carries:
// difference/(density·9.80665 m/s²). It is a pump's head in a circuit that loses the difference.
//
// Range: a difference above zero, 0 °C to 127.4 °C; outside it a RangeError. Source: hydrostatics; density as
// WaterDensity. Example: 18.1505 kPa at 60 °C, 1.882 32 m.
func Head(difference, t float64) (float64, error) {
	if err := positive("dp", "The pressure difference", difference); err != nil {
		return 0, err
	}
	density, err := WaterDensity(t, ConventionPressure)
	if err != nil {
		return 0, err
	}
	return difference / (density * gravity), nil
}

// StaticPressure is the pressure, Pa, of a column of water of the height in m at t kelvin and ConventionPressure:
// density·9.80665 m/s²·height.
//
// Range: a height above zero, 0 °C to 127.4 °C; outside it a RangeError. Source: hydrostatics; density as WaterDensity.
// Example: 3.85 m at 12 °C, 37.7393 kPa.
func StaticPressure(height, t float64) (float64, error) {
	if err := positive("h", "The height", height); err != nil {
		return 0, err
	}
	density, err := WaterDensity(t, ConventionPressure)
	if err != nil {
		return 0, err
	}
	return density * gravity * height, nil
}

// What flow functions are declared in, besides what other subjects share.
var (
	unitGradient   = quantity.MustUnit("Pa/m")
	unitLoss       = quantity.MustUnit("Pa")
	unitKilopascal = quantity.MustUnit("kPa")
	unitHourly     = quantity.MustUnit("m³/h")
	unitGrowth     = quantity.MustUnit("mm/(m·K)")
	paramV         = formula.Param{Name: "v", Unit: unitVelocity, About: "mean velocity"}
	paramBore      = formula.Param{Name: "bore", Unit: unitSize, About: "bore of the pipe"}
	paramDp        = formula.Param{Name: "dp", Unit: unitKilopascal, About: "pressure difference"}
)

const rangeWater = "Figures above nothing; water from 0 °C to 127.4 °C at 2.5 bar absolute."

// The ends of what pipes of this trade are warmed or cooled to, and the largest linear expansion, that of soft plastics.
const (
	growthColdest = zeroCelsius - 50
	growthHottest = zeroCelsius + 250
	growthMost    = 1e-3
)

// Growth is the length, m, by which a run of pipe grows from t1 to t2 kelvin, from its coefficient of linear expansion in
// 1/K and its length in m: coefficient·length·(t2 − t1). It is negative where the pipe shrinks.
//
// Range: a coefficient above zero and up to 0.001/K, a length above zero, −50 °C to 250 °C; outside it a RangeError.
// Source: linear expansion; the coefficient is the maker's. Example: 17e-6/K, 7.4 m from 12 °C to 72 °C, 7.548 mm.
func Growth(coefficient, length, t1, t2 float64) (float64, error) {
	if !(coefficient > 0 && coefficient <= growthMost) {
		return 0, beyond("alpha", "Pipes grow by more than nothing and at most 1 mm a metre and kelvin; this is %s mm. "+
			"Check the coefficient and its unit.", number(coefficient*1e3))
	}
	if err := positive("L", "The length", length); err != nil {
		return 0, err
	}
	if err := cmp.Or(pipeTemperature("t1", t1), pipeTemperature("t2", t2)); err != nil {
		return 0, err
	}
	return coefficient * length * (t2 - t1), nil
}

func pipeTemperature(name string, t float64) error {
	if t >= growthColdest && t <= growthHottest {
		return nil
	}
	return beyond(name, "A pipe's growth is worked from -50 °C to 250 °C; this is %s. Check the temperature and its unit.",
		celsius(t))
}

func flowSubject() Subject {
	return Subject{
		Key: "flow", Title: "Flow and friction",
		About: "What water loses on its way through pipes, fittings and valves, and what its height and warmth do. " +
			"Loss coefficients, roughness and growth come from the maker or the centre's own tables.",
		Entries: slices.Concat(frictionEntries(), lossEntries(), heightEntries()),
	}
}

func lossEntries() []Entry {
	k := formula.Param{Name: "k", Unit: unitSize, About: "roughness of the wall"}
	flow := formula.Param{Name: "flow", Unit: unitFlow, About: "volume flow"}
	return []Entry{
		{Function: formula.Function{Name: "gradient", About: "Pressure lost in a metre of straight pipe, by Darcy's friction factor.",
			Source: "Darcy and Weisbach; density by IAPWS R7-97(2012)",
			Params: []formula.Param{{Name: "f", Unit: quantity.One, About: "friction factor"}, paramBore, paramV, paramT},
			Result: unitGradient, Call: of4(PressureGradient), Turns: [][]float64{nil, nil, nil, densest[0]}},
			Formula: "f/bore × rho(t) × v^2/2", Range: rangeWater,
			Example: []string{"0.0242", "20.2 mm", "0.645 m/s", "60 °C"}, Gives: "245.0 Pa/m",
			Chart: Chart{Over: "v", From: "0.1 m/s", To: "2 m/s"}},
		{Function: formula.Function{Name: "tube_gradient", About: "Pressure lost in a metre of straight tube, straight from the flow.",
			Source: "Darcy and Weisbach; Colebrook 1939; IAPWS R7-97(2012) and R12-08",
			Params: []formula.Param{flow, paramOD, paramWall, k, paramT},
			// In a very rough tube the friction hardly falls with the viscosity, and the loss turns somewhere below 4 °C.
			Result: unitGradient, Call: of5(TubeGradient)},
			Formula: "gradient(friction(reynolds(velocity(flow, od, wall), bore(od, wall), t), k, bore(od, wall)), " +
				"bore(od, wall), velocity(flow, od, wall), t)",
			Range: "Turbulent flow, Re 2300 to 100 000 000; roughness up to 0.05 of the bore; water from 0 °C to 127.4 °C at " +
				"2.5 bar absolute.",
			Example: []string{"12.4 L/min", "22 mm", "0.9 mm", "0.0015 mm", "60 °C"}, Gives: "244.6 Pa/m",
			Chart: Chart{Over: "flow", From: "4 L/min", To: "30 L/min"}},
		{Function: formula.Function{Name: "fittings_loss", About: "Pressure lost in fittings, by the sum of their loss coefficients.",
			Source: "definition of the loss coefficient; density by IAPWS R7-97(2012)",
			Params: []formula.Param{{Name: "zeta", Unit: quantity.One, About: "sum of the loss coefficients"}, paramV, paramT},
			Result: unitLoss, Call: of3(FittingsLoss), Turns: [][]float64{nil, nil, densest[0]}},
			Formula: "zeta × rho(t) × v^2/2", Range: rangeWater,
			Example: []string{"9", "0.645 m/s", "60 °C"}, Gives: "1841 Pa",
			Chart: Chart{Over: "v", From: "0.1 m/s", To: "2 m/s"}},
		{Function: formula.Function{Name: "kv", About: "Flow coefficient of a valve: the flow of water that 1 bar drives through it.",
			Source: "IEC 60534-1", Params: []formula.Param{flow, paramDp},
			Result: unitHourly, Call: of2(FlowCoefficient), Turns: steady(2)},
			Formula: "flow/sqrt(dp/(1 bar))",
			Range:   "Flow and pressure difference above nothing; cold water, whose density counts as 1 kg/L.",
			Example: []string{"2.6 L/min", "7.5 kPa"}, Gives: "0.570 m³/h",
			Chart: Chart{Over: "dp", From: "1 kPa", To: "30 kPa"}},
	}
}

func heightEntries() []Entry {
	const source = "hydrostatics; density by IAPWS R7-97(2012)"
	return []Entry{
		{Function: formula.Function{Name: "head", About: "Height of water that a pressure difference carries: a pump's head.",
			Source: source, Params: []formula.Param{paramDp, paramT},
			Result: unitLength, Call: of2(Head), Turns: [][]float64{nil, densest[0]}},
			Formula: "dp/(rho(t) × 9.80665 m/s²)", Range: rangeWater,
			Example: []string{"18.15 kPa", "60 °C"}, Gives: "1.882 m",
			Chart: Chart{Over: "dp", From: "1 kPa", To: "60 kPa"}},
		{Function: formula.Function{Name: "static_pressure", About: "Pressure of standing water of a height.",
			Source: source, Params: []formula.Param{{Name: "h", Unit: unitLength, About: "height of the water"}, paramT},
			Result: unitKilopascal, Call: of2(StaticPressure), Turns: [][]float64{nil, densest[0]}},
			Formula: "rho(t) × 9.80665 m/s² × h", Range: rangeWater,
			Example: []string{"3.85 m", "12 °C"}, Gives: "37.74 kPa",
			Chart: Chart{Over: "h", From: "0.5 m", To: "12 m"}},
		{Function: formula.Function{Name: "growth",
			About:  "Length by which a run of pipe grows between two temperatures; below nothing where it shrinks.",
			Source: "linear expansion with the maker's coefficient",
			Params: []formula.Param{{Name: "alpha", Unit: unitGrowth, About: "coefficient of linear expansion"},
				{Name: "L", Unit: unitLength, About: "length of the run"},
				{Name: "t1", Unit: unitPoint, About: "temperature at first"},
				{Name: "t2", Unit: unitPoint, About: "temperature later"}},
			Result: unitSize, Call: of4(Growth), Turns: steady(4)},
			Formula: "alpha × L × (t2 − t1)",
			Range:   "A coefficient above nothing, up to 1 mm/(m·K); -50 °C to 250 °C.",
			Example: []string{"0.017 mm/(m·K)", "7.4 m", "12 °C", "72 °C"}, Gives: "7.55 mm",
			Chart: Chart{Over: "t2", From: "12 °C", To: "90 °C"}},
	}
}
