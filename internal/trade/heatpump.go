package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// HeatPumpCOP is the coefficient of performance, a plain number: heat given off over electrical power taken up, both in W,
// or over the same time in J.
//
// Range: both above zero; outside it a RangeError. Source: EN 14511, definition. Example: 6.42 kW from 1.78 kW, 3.6067.
func HeatPumpCOP(heat, power float64) (float64, error) {
	if err := positive("heat", "The heat given off", heat); err != nil {
		return 0, err
	}
	if err := positive("power", "The electrical power taken up", power); err != nil {
		return 0, err
	}
	return proportion("heat", "The heat given off", heat, power)
}

// SeasonalFactor is the seasonal performance factor, a plain number: all heat of a season over all electricity, both in J.
// It is no mean of the months' factors.
//
// Range: both above zero; outside it a RangeError. Source: EN 14825 and EN 15316-4-2 (from memory), definition. Example:
// 2030 kWh from 666 kWh, 3.0480.
func SeasonalFactor(heat, energy float64) (float64, error) {
	if err := positive("heat", "The heat of the season", heat); err != nil {
		return 0, err
	}
	if err := positive("energy", "The electricity of the season", energy); err != nil {
		return 0, err
	}
	return proportion("heat", "The heat of the season", heat, energy)
}

// proportion is a over b where that is a figure.
func proportion(name, what string, a, b float64) (float64, error) {
	if v := a / b; !math.IsInf(v, 1) {
		return v, nil
	}
	return 0, beyond(name, "%s is out of all proportion. Check both figures and their units.", what)
}

// CarnotCOP is the coefficient of performance that no heat pump exceeds, a plain number, between a source and a flow in
// kelvin: t_flow/(t_flow − t_source).
//
// Range: both from −50 °C to 150 °C, the flow above the source; outside it a RangeError. Source: Carnot's theorem.
// Example: 2 °C to 45 °C, 7.3988.
func CarnotCOP(source, flow float64) (float64, error) {
	for _, p := range []struct {
		name string
		t    float64
	}{{"t_source", source}, {"t_flow", flow}} {
		if !(p.t >= zeroCelsius-50 && p.t <= zeroCelsius+150) {
			return 0, beyond(p.name, "A heat pump works between temperatures from -50 °C to 150 °C; this is %s. Check the temperature and its unit.",
				celsius(p.t))
		}
	}
	if flow <= source {
		return 0, beyond("t_flow", "A heat pump lifts heat from the source (%s) to a warmer flow (%s): where the flow is not warmer "+
			"there is no limit. Check whether the two are swapped.", celsius(source), celsius(flow))
	}
	return flow / (flow - source), nil
}

func heatPumpSubject() Subject {
	kilowatt, kilowattHour := quantity.MustUnit("kW"), quantity.MustUnit("kWh")
	const above = "Both figures above zero, over the same time."
	return Subject{Key: "heat-pump", Title: "Heat pump",
		About: "How much heat a unit of electricity gives, measured at one time or over a season, and the most that it could give.",
		Entries: []Entry{
			{Function: formula.Function{Name: "cop", About: "Coefficient of performance: heat given off over electrical power taken up, pumps and fans included.",
				Source: "EN 14511, definition", Params: []formula.Param{
					{Name: "heat", Unit: kilowatt, About: "heat given off"}, {Name: "power", Unit: kilowatt, About: "electrical power taken up"}},
				Result: quantity.One, Call: of2(HeatPumpCOP), Turns: steady(2)},
				Formula: "heat / power", Range: above, Example: []string{"6.42 kW", "1.78 kW"}, Gives: "3.607", Chart: Chart{"power", "1 kW", "4 kW"}},
			{Function: formula.Function{Name: "seasonal", About: "Seasonal performance factor: all heat of a season over all its electricity, not the mean of the months.",
				Source: "EN 14825 (from memory), definition", Params: []formula.Param{
					{Name: "heat", Unit: kilowattHour, About: "heat of the season"}, {Name: "energy", Unit: kilowattHour, About: "electricity of the season"}},
				Result: quantity.One, Call: of2(SeasonalFactor), Turns: steady(2)},
				Formula: "heat / energy", Range: above, Example: []string{"2030 kWh", "666 kWh"}, Gives: "3.048", Chart: Chart{"energy", "400 kWh", "1000 kWh"}},
			{Function: formula.Function{Name: "cop_limit", About: "Coefficient of performance that no heat pump between two temperatures exceeds (Carnot).",
				Source: "Carnot's theorem", Params: []formula.Param{
					{Name: "t_source", Unit: unitPoint, About: "temperature of the source"}, {Name: "t_flow", Unit: unitPoint, About: "temperature of the flow"}},
				Result: quantity.One, Call: of2(CarnotCOP), Turns: steady(2)},
				Formula: "kelvin(t_flow) / (t_flow − t_source)", Range: "Both from -50 °C to 150 °C, the flow above the source.",
				Example: []string{"2 °C", "45 °C"}, Gives: "7.399", Chart: Chart{"t_flow", "30 °C", "65 °C"}},
		}}
}
