package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// What flue gas is worked with, shares of dry gas. The 20.9 % of air is what analysers are set to; Siegert's formula is
// written with 21 %.
const (
	airOxygen     = 0.209
	siegertOxygen = 0.21
)

var (
	unitPercent = quantity.MustUnit("%")
	unitPPM     = quantity.MustUnit("ppm")
)

// CORatio is carbon monoxide over carbon dioxide, a plain number, of two shares of the same dry flue gas.
//
// Range: CO from 0 to 10 %, CO₂ above zero and up to 21 %; outside it a RangeError. Source: definition. Example: 74 ppm
// and 9.1 %, 0.000 813 2.
func CORatio(co, co2 float64) (float64, error) {
	if !(co >= 0 && co <= 0.1) {
		return 0, beyond("CO", "A share of CO lies between 0 and 10 %%; this is %s %%. Check the figure and its unit: analysers "+
			"show it in ppm.", number(co*100))
	}
	if err := carbonDioxide("CO2", co2); err != nil {
		return 0, err
	}
	return co / co2, nil
}

// CO2FromO2 is the share of CO₂ in dry flue gas, of its share of O₂ and the fuel's greatest share of CO₂: greatest ·
// (20.9 % − O₂)/20.9 %. It is exact for complete combustion in air with 20.9 % of oxygen.
//
// Range: O₂ from 0 to below 20.9 %, the greatest CO₂ above zero and up to 21 %; outside it a RangeError. Source:
// stoichiometry of dry flue gas. Example: 4.8 % with 11.8 %, 9.09 %.
func CO2FromO2(o2, greatest float64) (float64, error) {
	if err := burnt(o2); err != nil {
		return 0, err
	}
	if err := carbonDioxide("CO2max", greatest); err != nil {
		return 0, err
	}
	return greatest * ((airOxygen - o2) / airOxygen), nil
}

// ExcessAir is the air ratio λ, a plain number: the air supplied over the air needed, from the share of O₂ in dry flue gas:
// 20.9 %/(20.9 % − O₂). 1.3 means 30 % of excess.
//
// Range: O₂ from 0 to below 20.9 %; outside it a RangeError. Source: stoichiometry with as much dry flue gas as air, the
// trade's shortening: methane makes 8.57 parts of dry gas of 9.57 of air, so that its excess comes out 1.12 times too large.
// Example: 4.8 %, 1.298 14.
func ExcessAir(o2 float64) (float64, error) {
	if err := burnt(o2); err != nil {
		return 0, err
	}
	return airOxygen / (airOxygen - o2), nil
}

// FlueLoss is the share of the net heat input that leaves with the flue gas, a plain number: Siegert's formula, (tF − tA) ·
// (A2/(21 − O₂) + B) in per cent. Temperatures of flue gas and combustion air in kelvin, the share of O₂ in dry gas; A2 and
// B are the fuel's (natural gas 0.66 and 0.009 in the German 1. BImSchV, from memory).
//
// Range: flue gas warmer than the air, O₂ from 0 to below 20.9 %, A2 above zero, B zero or more, and a loss of at most
// 100 %; outside it a RangeError. It knows no condensation. Source: Siegert's formula as the 1. BImSchV, annex 2,
// has it (from memory). Example: 58.5 °C, 19.2 °C, 4.8 %, 0.66, 0.009, 1.954 81 %.
func FlueLoss(flue, air, o2, a2, b float64) (float64, error) {
	if !(flue > air) {
		return 0, beyond("tF", "The flue gas (%s) must be warmer than the combustion air (%s). Check whether the two are swapped, "+
			"or whether the burner was running.", celsius(flue), celsius(air))
	}
	if err := burnt(o2); err != nil {
		return 0, err
	}
	if err := positive("A2", "The fuel's A2", a2); err != nil {
		return 0, err
	}
	if !(b >= 0) {
		return 0, beyond("B", "The fuel's B cannot be less than nothing. Check the figure and its sign.")
	}
	perKelvin := a2/((siegertOxygen-o2)*100) + b
	loss := (flue - air) * perKelvin / 100
	if !(loss <= 1) {
		return 0, beyond("tF", "A flue loss of %s %% is more than all of the heat. Check the temperatures, O2 and the fuel's "+
			"A2 and B.", number(loss*100))
	}
	return loss, nil
}

// burnt refuses a share of O₂ that no flue gas has.
func burnt(o2 float64) error {
	if o2 >= 0 && o2 < airOxygen {
		return nil
	}
	return beyond("O2", "Flue gas holds from 0 %% to below 20.9 %% of oxygen, which is what air holds; this is %s %%. Check the "+
		"figure, and that the probe was in the flue.", number(o2*100))
}

func carbonDioxide(name string, share float64) error {
	if share > 0 && share <= siegertOxygen {
		return nil
	}
	return beyond(name, "A share of CO2 in flue gas lies above 0 and up to 21 %%; this is %s %%. Check the figure and its unit.",
		number(share*100))
}

func combustionSubject() Subject {
	const dry = "stoichiometry of dry flue gas"
	co2 := formula.Param{Name: "CO2", Unit: unitPercent, About: "carbon dioxide, dry"}
	o2 := formula.Param{Name: "O2", Unit: unitPercent, About: "oxygen, dry"}
	return Subject{Key: "combustion", Title: "Combustion",
		About: "What a flue gas analyser's readings say of a burner. Action levels and the fuel's figures are the centre's. " + gasDecides,
		Entries: []Entry{
			{Function: formula.Function{Name: "co_ratio", About: "Carbon monoxide over carbon dioxide, a plain number. " + gasDecides,
				Source: "definition", Params: []formula.Param{{Name: "CO", Unit: unitPPM, About: "carbon monoxide, dry"}, co2},
				Result: quantity.One, Call: of2(CORatio), Turns: steady(2)},
				Formula: "CO / CO2", Range: "CO from 0 to 10 %, CO2 above 0 and up to 21 %.",
				Example: []string{"74 ppm", "9.1 %"}, Gives: "0.000813", Chart: Chart{"CO", "0 ppm", "400 ppm"}},
			{Function: formula.Function{Name: "co2_from_o2", About: "Carbon dioxide in dry flue gas, from its oxygen and the most that the fuel can make.",
				Source: dry, Params: []formula.Param{o2, {Name: "CO2max", Unit: unitPercent, About: "carbon dioxide without excess air"}},
				Result: unitPercent, Call: of2(CO2FromO2), Turns: steady(2)},
				Formula: "CO2max × (20.9 % − O2) / 20.9 %",
				Range:   "O2 from 0 to below 20.9 %, the most CO2 above 0 and up to 21 %; complete combustion.",
				Example: []string{"4.8 %", "11.8 %"}, Gives: "9.090 %", Chart: Chart{"O2", "0 %", "12 %"}},
			{Function: formula.Function{Name: "excess_air", About: "Air ratio: the air supplied over the air needed. 1.3 means 30 % of excess.", Source: dry,
				Params: []formula.Param{o2}, Result: quantity.One, Call: of1(ExcessAir), Turns: steady(1)},
				Formula: "20.9 % / (20.9 % − O2)",
				Range:   "O2 from 0 to below 20.9 %. It takes dry flue gas to be as much as air, so the excess of natural gas comes out about a tenth too large.",
				Example: []string{"4.8 %"}, Gives: "1.298", Chart: Chart{"O2", "0 %", "12 %"}},
			{Function: formula.Function{Name: "flue_loss",
				About:  "Share of the net heat input that leaves with the flue gas, by Siegert's formula; 100 % less it is the net efficiency. " + gasDecides,
				Source: "Siegert; 1. BImSchV, annex 2 (from memory)",
				Params: []formula.Param{{Name: "tF", Unit: unitPoint, About: "flue gas"}, {Name: "tA", Unit: unitPoint, About: "combustion air"}, o2,
					{Name: "A2", Unit: quantity.One, About: "the fuel's A2, natural gas 0.66"}, {Name: "B", Unit: quantity.One, About: "the fuel's B, natural gas 0.009"}},
				Result: unitNetShare, Call: of5(FlueLoss), Turns: steady(5)},
				Formula: "(tF − tA) / 1 K × (A2 / ((21 % − O2) / 1 %) + B) × 1 %",
				Range:   "Flue gas warmer than the air, O2 from 0 to below 20.9 %, A2 above zero, B not below; condensation is left out.",
				Example: []string{"58.5 °C", "19.2 °C", "4.8 %", "0.66", "0.009"}, Gives: "1.955 % net", Chart: Chart{"tF", "40 °C", "180 °C"}},
		}}
}
