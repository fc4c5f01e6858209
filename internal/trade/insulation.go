package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// lagging is an insulated pipe: the resistances between its outside and the air, m·K/W, and what the air touches, m.
type lagging struct{ layer, surface, around float64 }

// laggingOf works out lagging for an outside diameter and a thickness in m, a conductivity in W/(m·K) and a surface
// coefficient in W/(m²·K), with temperatures in kelvin inside and in the air.
func laggingOf(od, s, lambda, ti, ta, h float64) (lagging, error) {
	for _, p := range []struct {
		name, what string
		v          float64
	}{{"od", "The outside diameter", od}, {"lambda", "The conductivity of the insulation", lambda}, {"h", "The surface coefficient", h}} {
		if err := positive(p.name, p.what, p.v); err != nil {
			return lagging{}, err
		}
	}
	if !(s >= 0 && s <= math.MaxFloat32) {
		return lagging{}, beyond("s", "The thickness of the insulation is nothing or more. Check the figure and its sign.")
	}
	for _, p := range []struct {
		name, what string
		t          float64
	}{{"ti", "in the pipe", ti}, {"ta", "of the air", ta}} {
		if !(p.t >= zeroCelsius-50 && p.t <= zeroCelsius+250) {
			return lagging{}, beyond(p.name, "The temperature %s is from -50 °C to 250 °C; this is %s. Check the temperature and its unit.",
				p.what, celsius(p.t))
		}
	}
	outside := od + 2*s
	around := math.Pi * outside
	return lagging{layer: formula.Ln(outside/od) / (2 * math.Pi * lambda), surface: 1 / (around * h), around: around}, nil
}

// PipeLoss is what a metre of insulated pipe loses, W/m: outside diameter od and thickness s in m, conductivity lambda in
// W/(m·K), temperatures inside and of the air in kelvin, surface coefficient h in W/(m²·K). A pipe colder than the air
// gains: the loss is negative. Without insulation (s = 0) it is the bare pipe's. The pipe's wall and the film of water
// inside count for nothing.
//
// Range: od, lambda and h above zero, s zero or more, temperatures from −50 °C to 250 °C; outside it a RangeError. Source:
// ISO 12241, one layer on a pipe. Example: 22 mm with 25 mm of 0.036 W/(m·K), 65 °C in air of 15 °C, 9 W/(m²·K): 8.7217 W/m.
func PipeLoss(od, s, lambda, ti, ta, h float64) (float64, error) {
	l, err := laggingOf(od, s, lambda, ti, ta, h)
	if err != nil {
		return 0, err
	}
	return (ti - ta) / (l.layer + l.surface), nil
}

// InsulationSurface is the temperature, K, of the outside of the insulation; parameters, range and source as PipeLoss.
// Example: as there, 19.284 °C.
func InsulationSurface(od, s, lambda, ti, ta, h float64) (float64, error) {
	l, err := laggingOf(od, s, lambda, ti, ta, h)
	if err != nil {
		return 0, err
	}
	return ta + float64((ti-ta)*(l.surface/(l.layer+l.surface))), nil
}

func insulationSubject() Subject {
	const (
		source = "ISO 12241, one layer on a pipe"
		holds  = "Outside diameter, conductivity and surface coefficient above zero, a thickness of zero or more, temperatures " +
			"from -50 °C to 250 °C. The pipe's wall and the water's film count for nothing."
	)
	params := []formula.Param{
		paramOD,
		{Name: "s", Unit: unitSize, About: "thickness of the insulation; 0 mm for a bare pipe"},
		{Name: "lambda", Unit: unitConductivity, About: "conductivity of the insulation, as its maker declares it"},
		{Name: "ti", Unit: unitPoint, About: "temperature in the pipe"},
		{Name: "ta", Unit: unitPoint, About: "temperature of the air"},
		{Name: "h", Unit: unitTransmission, About: "coefficient of the outer surface"},
	}
	example := []string{"22 mm", "25 mm", "0.036 W/(m·K)", "65 °C", "15 °C", "9 W/(m²·K)"}
	return Subject{Key: "insulation", Title: "Pipe insulation",
		About: "Heat that an insulated pipe loses, and how warm its outside gets. The least thickness is a limit: the centre's rule set holds it.",
		Entries: []Entry{
			{Function: formula.Function{Name: "pipe_loss", About: "Heat that a metre of insulated pipe loses; negative where it gains.",
				Source: source, Params: params, Result: quantity.MustUnit("W/m"), Call: of6(PipeLoss)}, // thin insulation can raise the loss: it turns
				Formula: "(ti − ta) / (ln((od + 2 × s) / od) / (2 × π × lambda) + 1 / (π × (od + 2 × s) × h))", Range: holds,
				Example: example, Gives: "8.7217 W/m", Chart: Chart{"s", "0 mm", "60 mm"}},
			{Function: formula.Function{Name: "insulation_surface", About: "Temperature of the outside of a pipe's insulation.",
				Source: source, Params: params, Result: unitPoint, Call: of6(InsulationSurface), Turns: steady(6)},
				Formula: "ta + pipe_loss(od, s, lambda, ti, ta, h) / (π × (od + 2 × s) × h)", Range: holds,
				Example: example, Gives: "19.284 °C", Chart: Chart{"s", "5 mm", "60 mm"}},
		}}
}
