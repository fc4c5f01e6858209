package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Pole's formula in metric units, as the trade writes it: Q = 0.0071·√(d⁵·h/(S·L)) with Q in m³/h, d in mm, h in mbar, L
// in m and S relative to air. The formula is Pole's (1852), the metric constant from memory.
const (
	poleRate = 0.0071 / 3600 // m³/s
	poleMbar = 100.0         // Pa
	poleBore = 1e-3          // m
)

// poleHighest is the largest drop, Pa, that Pole's formula is used for: it takes the gas's density as constant, which
// holds in low-pressure pipes, up to 75 mbar (common practice, no source).
const poleHighest = 75 * poleMbar

// PoleDrop is the pressure drop, Pa, of a gas flow in m³/s along an effective length in m of pipe of a bore in m;
// density is the gas's relative to air.
//
// Range: all above zero and a drop of at most 75 mbar; outside it a RangeError. Source: Pole's formula (from memory); the
// tables of a gas standard are more cautious and prevail. Example: 2.9 m³/h, 11.5 m, 0.6, 20.2 mm, 0.342 272 mbar.
func PoleDrop(flow, length, density, bore float64) (float64, error) {
	if err := positive("Q", "The gas flow", flow); err != nil {
		return 0, err
	}
	if err := polePipe(length, density, bore); err != nil {
		return 0, err
	}
	ratio := flow / poleRate
	drop := poleMbar * (ratio * ratio * density * length / formula.Power(bore/poleBore, 5))
	if drop > poleHighest {
		return 0, beyond("Q", "This flow would lose %s mbar, and Pole's formula is for low pressure, up to 75 mbar. Check the "+
			"flow, the bore and their units.", number(drop/poleMbar))
	}
	return drop, nil
}

// PoleFlow is the gas flow, m³/s, at which a drop in Pa is lost along an effective length in m of pipe of a bore in m;
// density is the gas's relative to air.
//
// Range: all above zero and a drop of at most 75 mbar; outside it a RangeError. Source: as PoleDrop. Example: 1 mbar
// over 11.5 m at 0.6 in 20.2 mm, 4.956 92 m³/h.
func PoleFlow(drop, length, density, bore float64) (float64, error) {
	if err := positive("dp", "The pressure drop", drop); err != nil {
		return 0, err
	}
	if drop > poleHighest {
		return 0, beyond("dp", "Pole's formula is for low pressure, up to 75 mbar; this drop is %s mbar. Check the figure and its "+
			"unit.", number(drop/poleMbar))
	}
	if err := polePipe(length, density, bore); err != nil {
		return 0, err
	}
	return poleRate * math.Sqrt(formula.Power(bore/poleBore, 5)*(drop/poleMbar)/(density*length)), nil
}

func polePipe(length, density, bore float64) error {
	if err := positive("L", "The length", length); err != nil {
		return err
	}
	if err := positive("S", "The relative density", density); err != nil {
		return err
	}
	return positive("bore", "The bore", bore)
}

func gasPipeEntries() []Entry {
	const (
		pole   = "Pole's formula (from memory)"
		limits = "All above zero, a drop of at most 75 mbar. A gas standard's tables are more cautious and prevail."
	)
	length := formula.Param{Name: "L", Unit: unitLength, About: "effective length, fittings included"}
	density := formula.Param{Name: "S", Unit: quantity.One, About: "density of the gas relative to air"}
	return []Entry{
		{Function: formula.Function{Name: "pole_drop", About: "Pressure drop of low-pressure gas along a pipe. " + gasDecides,
			Source: pole, Params: []formula.Param{{Name: "Q", Unit: unitHourly, About: "gas flow"}, length, density, paramBore},
			Result: unitMbar, Call: of4(PoleDrop), Turns: steady(4)},
			Formula: "1 mbar × S × (L / 1 m) × (Q / 0.0071 m³/h)² / (bore / 1 mm)^5", Range: limits,
			Example: []string{"2.9 m³/h", "11.5 m", "0.6", "20.2 mm"}, Gives: "0.3423 mbar", Chart: Chart{"Q", "0.5 m³/h", "6 m³/h"}},
		{Function: formula.Function{Name: "pole_flow", About: "Low-pressure gas flow at which a pressure is lost along a pipe. " + gasDecides,
			Source: pole, Params: []formula.Param{{Name: "dp", Unit: unitMbar, About: "pressure drop"}, length, density, paramBore},
			Result: unitHourly, Call: of4(PoleFlow), Turns: steady(4)},
			Formula: "0.0071 m³/h × √((bore / 1 mm)^5 × (dp / 1 mbar) / (S × (L / 1 m)))", Range: limits,
			Example: []string{"1 mbar", "11.5 m", "0.6", "20.2 mm"}, Gives: "4.957 m³/h", Chart: Chart{"L", "2 m", "30 m"}},
	}
}
