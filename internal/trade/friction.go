package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Where flow in a pipe turns from laminar, and the corner of Moody's chart up to which friction was measured.
const (
	laminarUpTo   = 2300
	turbulentUpTo = 1e8
	roughest      = 0.05
)

// Reynolds is the Reynolds number, a plain number, of water at a mean velocity in m/s in a bore in m at t kelvin and
// ConventionPressure: velocity·bore/kinematic viscosity.
//
// Range: velocity and bore above zero, 0 °C to 127.4 °C; outside it a RangeError. Source: definition; viscosity as
// WaterKinematicViscosity. Example: 0.64489 m/s in 20.2 mm at 60 °C, 27 482.3.
func Reynolds(velocity, bore, t float64) (float64, error) {
	if err := positive("v", "The velocity", velocity); err != nil {
		return 0, err
	}
	if err := positive("bore", "The bore", bore); err != nil {
		return 0, err
	}
	viscosity, err := WaterKinematicViscosity(t, ConventionPressure)
	if err != nil {
		return 0, err
	}
	return velocity * bore / viscosity, nil
}

// FrictionLaminar is Darcy's friction factor, a plain number, of laminar flow: 64/Re.
//
// Range: Re above zero, up to 2300; outside it a RangeError. Source: Hagen and Poiseuille. Example: Re 1000, 0.064.
func FrictionLaminar(re float64) (float64, error) {
	if err := positive("Re", "The Reynolds number", re); err != nil {
		return 0, err
	}
	if re > laminarUpTo {
		return 0, beyond("Re", "Flow is laminar up to Re 2300; this is Re %s. friction(Re, k, bore) holds above. "+
			"Check the Reynolds number, or call that.", number(re))
	}
	return 64 / re, nil
}

// Friction is Darcy's friction factor, a plain number, of turbulent flow: the root of Colebrook's equation
// 1/√f = −2·log10(k/(3.7·bore) + 2.51/(Re·√f)), right to a few units in the last place. Roughness and bore are in m.
//
// Range: Re 2300 to 1e8, a roughness of zero (smooth) up to 0.05 of the bore; outside it a RangeError. Between Re 2300
// and 4000 the flow is in transition, and no formula is sure of it. Source: C. F. Colebrook, Journal of the Institution
// of Civil Engineers 11 (1939). Example: Re 27 450, 0.0015 mm in 20.2 mm, 0.024 172 4.
func Friction(re, roughness, bore float64) (float64, error) {
	rough, err := relativeRoughness(re, roughness, bore)
	if err != nil {
		return 0, err
	}
	// With x = 1/√f and y = a + b·x the equation is x + 2·log10(y) = 0, which is nearly straight in x: each of Newton's
	// steps doubles the digits, and Haaland starts with two.
	a, b := rough/3.7, 2.51/re
	x := 1 / math.Sqrt(haaland(re, rough))
	for range 4 {
		y := a + float64(b*x)
		x -= (x + float64(2*formula.Log10(y))) / (1 + b*(2/math.Ln10)/y)
	}
	return 1 / (x * x), nil
}

// FrictionHaaland is Darcy's friction factor, a plain number, by Haaland's explicit equation, which stays within 1.5 % of
// Colebrook's from Re 4000: 1/√f = −1.8·log10((k/(3.7·bore))^1.11 + 6.9/Re). Roughness and bore are in m.
//
// Range: as Friction. Source: S. E. Haaland, Journal of Fluids Engineering 105 (1983).
// Example: Re 27 450, 0.0015 mm in 20.2 mm, 0.023 957 6.
func FrictionHaaland(re, roughness, bore float64) (float64, error) {
	rough, err := relativeRoughness(re, roughness, bore)
	if err != nil {
		return 0, err
	}
	return haaland(re, rough), nil
}

func haaland(re, rough float64) float64 {
	x := -1.8 * formula.Log10(formula.Power(rough/3.7, 1.11)+6.9/re)
	return 1 / (x * x)
}

// relativeRoughness is the roughness over the bore, where turbulent friction is known.
func relativeRoughness(re, roughness, bore float64) (float64, error) {
	if err := positive("Re", "The Reynolds number", re); err != nil {
		return 0, err
	}
	if re < laminarUpTo {
		return 0, beyond("Re", "Below Re 2300 flow is laminar, and this is Re %s. friction_laminar(Re) holds there. "+
			"Check flow, bore and temperature, or call that.", number(re))
	}
	if re > turbulentUpTo {
		return 0, beyond("Re", "Friction is known up to Re 100 000 000; this is Re %s. Check the figures behind it "+
			"and their units.", number(re))
	}
	if err := positive("bore", "The bore", bore); err != nil {
		return 0, err
	}
	if !(roughness >= 0 && roughness <= roughest*bore) {
		return 0, beyond("k", "The roughness must be nothing (smooth) up to 0.05 of the bore; %s mm in a bore of %s mm "+
			"is not. Check both figures and their units.", number(roughness*1e3), number(bore*1e3))
	}
	return roughness / bore, nil
}

func frictionEntries() []Entry {
	re := formula.Param{Name: "Re", Unit: quantity.One, About: "Reynolds number"}
	k := formula.Param{Name: "k", Unit: unitSize, About: "roughness of the wall"}
	const turbulent = "Re 2300 to 100 000 000, roughness up to 0.05 of the bore. Between Re 2300 and 4000 the flow is in transition: " +
		"a figure from there says little."
	chart := Chart{Over: "Re", From: "2300", To: "100000"}
	return []Entry{
		{Function: formula.Function{Name: "reynolds", About: "Reynolds number of water in a bore: below 2300 the flow is laminar.",
			Source: "definition; viscosity by IAPWS R12-08", Params: []formula.Param{paramV, paramBore, paramT},
			Result: quantity.One, Call: of3(Reynolds), Turns: steady(3)},
			Formula: "v × bore/nu(t)",
			Range:   "Any velocity above nothing; water from 0 °C to 127.4 °C at 2.5 bar absolute.",
			Example: []string{"0.645 m/s", "20.2 mm", "60 °C"}, Gives: "27487",
			Chart: Chart{Over: "t", From: "5 °C", To: "90 °C"}},
		{Function: formula.Function{Name: "friction", About: "Darcy's friction factor of turbulent flow by Colebrook's equation.",
			Source: "C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939)", Params: []formula.Param{re, k, paramBore},
			Result: quantity.One, Call: of3(Friction), Turns: steady(3)},
			Method: "the root f of 1/√f = −2 log10(k/(3.7 bore) + 2.51/(Re √f)), found by Newton's method to the last digits of a " +
				"floating-point number",
			Range: turbulent, Example: []string{"27450", "0.0015 mm", "20.2 mm"}, Gives: "0.024172", Chart: chart},
		{Function: formula.Function{Name: "friction_haaland", About: "Darcy's friction factor of turbulent flow by Haaland's equation, " +
			"within 1.5 % of Colebrook's from Re 4000.",
			Source: "S. E. Haaland, J. Fluids Eng. 105 (1983)", Params: []formula.Param{re, k, paramBore},
			Result: quantity.One, Call: of3(FrictionHaaland), Turns: steady(3)},
			Formula: "1/(1.8 × log10((k/(3.7 × bore))^1.11 + 6.9/Re))^2",
			Range:   turbulent, Example: []string{"27450", "0.0015 mm", "20.2 mm"}, Gives: "0.023958", Chart: chart},
		{Function: formula.Function{Name: "friction_laminar", About: "Darcy's friction factor of laminar flow, whatever the roughness.",
			Source: "Hagen and Poiseuille", Params: []formula.Param{re}, Result: quantity.One, Call: of1(FrictionLaminar), Turns: steady(1)},
			Formula: "64/Re",
			Range:   "Re above nothing, up to 2300.",
			Example: []string{"1600"}, Gives: "0.04", Chart: Chart{Over: "Re", From: "200", To: "2300"}},
	}
}
