package trade

import (
	"cmp"
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// LayerResistance is the thermal resistance, m²·K/W, of a layer from its thickness in m and its conductivity in W/(m·K):
// thickness/conductivity.
//
// Range: both above zero; outside it a RangeError. Source: ISO 6946. Example: 0.1 m of 0.19 W/(m·K), 0.526 316 m²·K/W.
func LayerResistance(thickness, conductivity float64) (float64, error) {
	if err := positive("d", "The thickness", thickness); err != nil {
		return 0, err
	}
	if err := positive("lambda", "The conductivity", conductivity); err != nil {
		return 0, err
	}
	return thickness / conductivity, nil
}

// bridgedFurthest is how far apart the two limits of a bridged element's resistance may be for their mean to hold.
const bridgedFurthest = 1.5

// BridgedTransmittance is the thermal transmittance, W/(m²·K), of an element with one layer that is bridged, by the
// combined method: its thickness in m, the conductivities of the layer and of what bridges it in W/(m·K), the bridge's
// share of the area, a plain number, and the resistance of all other layers with both surfaces in m²·K/W. The resistance
// is the mean of the upper limit, heat going straight through side by side, and the lower one, the layer of one mixed
// conductivity.
//
// Range: figures above zero, a share from 0 to 1, and an upper limit of at most 1.5 times the lower one, which keeps
// bridges of metal out; outside it a RangeError. Source: ISO 6946, combined method (the bound of 1.5 from memory).
// Example: 0.14 m of 0.035 W/(m·K), bridged by 0.13 W/(m·K) over 0.15 of it, 0.42 m²·K/W besides, 0.299 343 W/(m²·K).
func BridgedTransmittance(thickness, layer, bridge, share, rest float64) (float64, error) {
	if err := cmp.Or(positive("d", "The thickness", thickness), positive("lambda", "The layer's conductivity", layer),
		positive("lambda_bridge", "The bridge's conductivity", bridge)); err != nil {
		return 0, err
	}
	if !(share >= 0 && share <= 1) {
		return 0, beyond("share", "The bridge's share of the area lies between 0 and 1 (0 %% and 100 %%); this is %s. "+
			"Check the figure and its unit.", number(share))
	}
	if err := positive("rest", "The resistance of the other layers and surfaces", rest); err != nil {
		return 0, err
	}
	upper := 1 / ((1-share)/(rest+thickness/layer) + share/(rest+thickness/bridge))
	lower := rest + thickness/(float64((1-share)*layer)+float64(share*bridge))
	if !(upper <= bridgedFurthest*lower) {
		return 0, beyond("lambda_bridge", "The upper limit of the resistance (%s m²·K/W) is more than 1.5 times the lower one "+
			"(%s m²·K/W), and the combined method does not hold for such a bridge, as of metal. Check the conductivities.",
			number(upper), number(lower))
	}
	return 2 / (upper + lower), nil
}

// The ends of the temperatures that rooms, and what lies around them, are worked with.
const (
	roomColdest = zeroCelsius - 50
	roomHottest = zeroCelsius + 100
)

// FabricLoss is the heat, W, that an element lets through from its area in m², its transmittance in W/(m²·K), and the
// temperatures inside and outside in kelvin: area·transmittance·(inside − outside). It is zero where they are equal, and
// negative where the other side is warmer and the room gains.
//
// Range: area and transmittance above zero, −50 °C to 100 °C; outside it a RangeError. Source: EN 12831-1, simplified.
// Example: 11.8 m² of 0.3 W/(m²·K) between 21 °C and −3 °C, 84.96 W.
func FabricLoss(area, transmittance, inside, outside float64) (float64, error) {
	if err := cmp.Or(positive("A", "The area", area), positive("U", "The transmittance", transmittance),
		roomTemperatures(inside, outside)); err != nil {
		return 0, err
	}
	return area * transmittance * (inside - outside), nil
}

// airHeat is what a cubic metre of air takes up for each kelvin, J/(m³·K): 0.34 W·h.
const airHeat = 0.34 * 3600

// VentilationLoss is the heat, W, that warms the air coming in from the air changes in 1/s, the room's volume in m³, and
// the temperatures inside and outside in kelvin: 0.34 W·h/(m³·K)·changes·volume·(inside − outside). Zero and negative as
// FabricLoss.
//
// Range: changes and volume above zero, −50 °C to 100 °C; outside it a RangeError. Source: EN 12831-1, simplified.
// Example: 1.5/h of 40.32 m³ between 21 °C and −3 °C, 493.517 W.
func VentilationLoss(changes, volume, inside, outside float64) (float64, error) {
	if err := cmp.Or(positive("n", "The number of air changes", changes), positive("V", "The volume", volume),
		roomTemperatures(inside, outside)); err != nil {
		return 0, err
	}
	return airHeat * changes * volume * (inside - outside), nil
}

// BridgeLoss is the heat, W, that a linear thermal bridge lets through from its transmittance in W/(m·K), its length in
// m, and the temperatures inside and outside in kelvin: transmittance·length·(inside − outside). A transmittance below
// zero, as corners worked by outside measures have, takes from the loss.
//
// Range: a transmittance from −2 to 2 W/(m·K), a length above zero, −50 °C to 100 °C; outside it a RangeError. Source:
// ISO 14683 and EN 12831-1, simplified. Example: 0.06 W/(m·K), 11.4 m between 21 °C and −3 °C, 16.416 W.
func BridgeLoss(transmittance, length, inside, outside float64) (float64, error) {
	if !(math.Abs(transmittance) <= 2) {
		return 0, beyond("psi", "A linear thermal bridge has -2 to 2 W/(m·K); this is %s. Check the figure and its unit.",
			number(transmittance))
	}
	if err := cmp.Or(positive("L", "The length", length), roomTemperatures(inside, outside)); err != nil {
		return 0, err
	}
	return transmittance * length * (inside - outside), nil
}

func roomTemperatures(inside, outside float64) error {
	return cmp.Or(roomTemperature("ti", inside), roomTemperature("te", outside))
}

func roomTemperature(name string, t float64) error {
	if t >= roomColdest && t <= roomHottest {
		return nil
	}
	return beyond(name, "Rooms and what lies around them are worked from -50 °C to 100 °C; this is %s. "+
		"Check the temperature and its unit.", celsius(t))
}

func buildingSubject() Subject {
	return Subject{
		Key: "building", Title: "Heat lost by rooms",
		About: "Resistance of layers, and what a room loses through its walls, its bridges and its air. Conductivities, surface " +
			"resistances and design temperatures come from the brief.",
		Entries: append(layerEntries(), lossOfRoomEntries()...),
	}
}

func layerEntries() []Entry {
	conductivity := quantity.MustUnit("W/(m·K)")
	resistance := quantity.MustUnit("m²·K/W")
	thickness := formula.Param{Name: "d", Unit: unitSize, About: "thickness of the layer"}
	lambda := formula.Param{Name: "lambda", Unit: conductivity, About: "conductivity of the layer"}
	return []Entry{
		{Function: formula.Function{Name: "layer", About: "Thermal resistance of a layer.", Source: "ISO 6946",
			Params: []formula.Param{thickness, lambda}, Result: resistance, Call: of2(LayerResistance), Turns: steady(2)},
			Formula: "d/lambda", Range: "Thickness and conductivity above nothing.",
			Example: []string{"100 mm", "0.19 W/(m·K)"}, Gives: "0.526 m²·K/W",
			Chart: Chart{Over: "d", From: "10 mm", To: "200 mm"}},
		{Function: formula.Function{Name: "bridged", About: "Transmittance of an element with one bridged layer, by the combined method.",
			Source: "ISO 6946, combined method",
			Params: []formula.Param{thickness, lambda,
				{Name: "lambda_bridge", Unit: conductivity, About: "conductivity of what bridges the layer"},
				{Name: "share", Unit: quantity.One, About: "the bridge's share of the area"},
				{Name: "rest", Unit: resistance, About: "resistance of the other layers and both surfaces"}},
			// Steady, but between two shares that it holds for there may be one where the limits are too far apart.
			Result: unitTransmission, Call: of5(BridgedTransmittance)},
			Formula: "2/(1/((1 − share)/(rest + d/lambda) + share/(rest + d/lambda_bridge)) + rest + " +
				"d/((1 − share) × lambda + share × lambda_bridge))",
			Range: "Figures above nothing, a share from 0 to 1; the upper limit of the resistance at most 1.5 times the lower one, " +
				"so no bridges of metal.",
			Example: []string{"140 mm", "0.035 W/(m·K)", "0.13 W/(m·K)", "0.15", "0.42 m²·K/W"}, Gives: "0.2993 W/(m²·K)",
			Chart: Chart{Over: "share", From: "0", To: "0.3"}},
	}
}

func lossOfRoomEntries() []Entry {
	inside := formula.Param{Name: "ti", Unit: unitPoint, About: "temperature inside"}
	outside := formula.Param{Name: "te", Unit: unitPoint, About: "temperature on the other side"}
	const source = "EN 12831-1, simplified"
	const holds = "Figures above nothing; -50 °C to 100 °C. Below nothing where the other side is warmer."
	chart := Chart{Over: "te", From: "-10 °C", To: "15 °C"}
	return []Entry{
		{Function: formula.Function{Name: "fabric_loss", About: "Heat that an element of a room's fabric lets through.", Source: source,
			Params: []formula.Param{{Name: "A", Unit: quantity.MustUnit("m²"), About: "area"},
				{Name: "U", Unit: unitTransmission, About: "transmittance"}, inside, outside},
			Result: unitPower, Call: of4(FabricLoss), Turns: steady(4)},
			Formula: "A × U × (ti − te)", Range: holds,
			Example: []string{"11.8 m²", "0.3 W/(m²·K)", "21 °C", "-3 °C"}, Gives: "84.96 W", Chart: chart},
		{Function: formula.Function{Name: "ventilation_loss", About: "Heat that warms the air coming into a room.", Source: source,
			Params: []formula.Param{{Name: "n", Unit: quantity.MustUnit("1/h"), About: "air changes"},
				{Name: "V", Unit: quantity.MustUnit("m³"), About: "volume of the room"}, inside, outside},
			Result: unitPower, Call: of4(VentilationLoss), Turns: steady(4)},
			Formula: "0.34 W·h/(m³·K) × n × V × (ti − te)", Range: holds,
			Example: []string{"1.5 h⁻¹", "40.32 m³", "21 °C", "-3 °C"}, Gives: "493.5 W", Chart: chart},
		{Function: formula.Function{Name: "bridge_loss", About: "Heat that a linear thermal bridge lets through.",
			Source: "ISO 14683; EN 12831-1, simplified",
			Params: []formula.Param{{Name: "psi", Unit: quantity.MustUnit("W/(m·K)"), About: "linear transmittance"},
				{Name: "L", Unit: unitLength, About: "length of the bridge"}, inside, outside},
			Result: unitPower, Call: of4(BridgeLoss), Turns: steady(4)},
			Formula: "psi × L × (ti − te)",
			Range: "A transmittance from -2 to 2 W/(m·K), a length above nothing; -50 °C to 100 °C. Below nothing where the other " +
				"side is warmer.",
			Example: []string{"0.06 W/(m·K)", "11.4 m", "21 °C", "-3 °C"}, Gives: "16.416 W", Chart: chart},
	}
}
