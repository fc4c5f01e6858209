package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// affinityFurthest is how many times faster or slower a pump may be taken to turn: beyond it one of the speeds is wrong.
const affinityFurthest = 10

// PumpFlow is the flow, m³/s, of a pump at speed n2 that delivers flow m³/s at speed n1 in the same circuit; the speeds
// in the same unit: flow·n2/n1.
//
// Range: all above zero, n2 between a tenth and ten times n1; outside it a RangeError. Source: affinity laws, as ISO 9906
// converts speeds (from memory). Example: 16.2 L/min at 2750 rpm, at 2200 rpm 12.96 L/min.
func PumpFlow(flow, n1, n2 float64) (float64, error) {
	ratio, err := speedRatio("q1", "The flow", flow, n1, n2)
	if err != nil {
		return 0, err
	}
	return flow * ratio, nil
}

// PumpHead is the head, m, of a pump at speed n2 that has the head in m at speed n1: head·(n2/n1)².
//
// Range and source as PumpFlow. Example: 4.2 m at 2750 rpm, at 2200 rpm 2.688 m.
func PumpHead(head, n1, n2 float64) (float64, error) {
	ratio, err := speedRatio("h1", "The head", head, n1, n2)
	if err != nil {
		return 0, err
	}
	return head * (ratio * ratio), nil
}

// PumpPower is the power, W, of a pump at speed n2 that takes power in W at speed n1: power·(n2/n1)³, the efficiency
// unchanged.
//
// Range and source as PumpFlow. Example: 38 W at 2750 rpm, at 2200 rpm 19.456 W.
func PumpPower(power, n1, n2 float64) (float64, error) {
	ratio, err := speedRatio("p1", "The power", power, n1, n2)
	if err != nil {
		return 0, err
	}
	return power * (ratio * ratio * ratio), nil
}

// speedRatio is n2/n1; name and what are those of the figure that goes with it.
func speedRatio(name, what string, figure, n1, n2 float64) (float64, error) {
	if err := positive(name, what, figure); err != nil {
		return 0, err
	}
	if err := positive("n1", "The first speed", n1); err != nil {
		return 0, err
	}
	if err := positive("n2", "The second speed", n2); err != nil {
		return 0, err
	}
	ratio := n2 / n1
	if !(ratio >= 1.0/affinityFurthest && ratio <= affinityFurthest) {
		return 0, beyond("n2", "The affinity laws are worked from a tenth of the first speed to ten times it; this is %s "+
			"times. Check both speeds and their units.", number(ratio))
	}
	return ratio, nil
}

func pumpSubject() Subject {
	const source = "affinity laws, as ISO 9906 converts speeds"
	const holds = "Figures above nothing; the second speed between a tenth of the first and ten times it."
	speed := quantity.MustUnit("rpm")
	n1 := formula.Param{Name: "n1", Unit: speed, About: "speed that the figure belongs to"}
	n2 := formula.Param{Name: "n2", Unit: speed, About: "other speed"}
	chart := Chart{Over: "n2", From: "1000 rpm", To: "2750 rpm"}
	return Subject{
		Key: "pumps", Title: "Pumps",
		About: "What a pump does at another speed in the same circuit. The head that a circuit asks for is under flow and friction.",
		Entries: []Entry{
			{Function: formula.Function{Name: "pump_flow", About: "Flow of a pump at another speed.", Source: source,
				Params: []formula.Param{{Name: "q1", Unit: unitFlow, About: "flow at the first speed"}, n1, n2},
				Result: unitFlow, Call: of3(PumpFlow), Turns: steady(3)},
				Formula: "q1 × n2/n1", Range: holds,
				Example: []string{"16.2 L/min", "2750 rpm", "2200 rpm"}, Gives: "12.96 L/min", Chart: chart},
			{Function: formula.Function{Name: "pump_head", About: "Head of a pump at another speed.", Source: source,
				Params: []formula.Param{{Name: "h1", Unit: unitLength, About: "head at the first speed"}, n1, n2},
				Result: unitLength, Call: of3(PumpHead), Turns: steady(3)},
				Formula: "h1 × (n2/n1)^2", Range: holds,
				Example: []string{"4.2 m", "2750 rpm", "2200 rpm"}, Gives: "2.688 m", Chart: chart},
			{Function: formula.Function{Name: "pump_power", About: "Power of a pump at another speed, its efficiency unchanged.",
				Source: source,
				Params: []formula.Param{{Name: "p1", Unit: unitPower, About: "power at the first speed"}, n1, n2},
				Result: unitPower, Call: of3(PumpPower), Turns: steady(3)},
				Formula: "p1 × (n2/n1)^3", Range: holds,
				Example: []string{"38 W", "2750 rpm", "2200 rpm"}, Gives: "19.456 W", Chart: chart},
		},
	}
}
