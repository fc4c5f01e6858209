package quantity

// beside is which other units of the same kind the trade's instruments show where one is asked, and why. A unit that is not
// here stands alone. Common practice, no source, except where a row names one.
var beside = []struct {
	asked string
	also  []string
	why   string
}{
	{"W", []string{"kW"}, "plug-in meters and pumps show watts and change over at a thousand"},
	{"kW", []string{"W"}, "the same the other way"},
	{"Pa", []string{"mbar", "kPa"}, "manometers change over with one key"},
	{"mbar", []string{"Pa", "kPa"}, "manometers change over with one key"},
	{"kPa", []string{"mbar", "bar"}, "differential meters and pump displays show either"},
	{"bar", []string{"mbar", "kPa"}, "dials carry bar, makers' sheets kPa"},
	{"bar(g)", []string{"mbar(g)", "kPa(g)", "psi(g)"}, "dials carry two scales, and vessels are filled with tyre gauges"},
	{"mbar(g)", []string{"Pa(g)", "bar(g)"}, "manometers on a pipe that is under pressure"},
	{"mΩ", []string{"Ω"}, "low-resistance ohmmeters choose their range themselves"},
	{"Ω", []string{"mΩ", "kΩ"}, "ohmmeters choose their range themselves, and sensors have kilohms"},
	{"kΩ", []string{"Ω", "MΩ"}, "the same for sensors"},
	{"MΩ", []string{"kΩ"}, "insulation testers choose their range themselves"},
	{"mA", []string{"A"}, "clamp meters choose their range themselves"},
	{"A", []string{"mA"}, "clamp meters choose their range themselves"},
	{"V", []string{"mV"}, "so do voltmeters"},
	{"ms", []string{"s"}, "trip times are shown in either"},
	{"s", []string{"min"}, "stopwatches show minutes as well"},
	{"min", []string{"s"}, "stopwatches show seconds as well"},
	{"L/min", []string{"L/s", "m³/h"}, "flow meters and pump displays show any of the three"},
	{"L/s", []string{"L/min", "m³/h"}, "flow meters and pump displays show any of the three"},
	{"m³/h", []string{"L/s", "L/min"}, "flow meters and pump displays show any of the three"},
	{"L/h", []string{"L/min", "L/s"}, "balancing valves are tabulated in litres an hour"},
	{"mL", []string{"L"}, "measuring jugs"},
	{"L", []string{"mL", "m³"}, "measuring jugs, and water meters"},
	{"m³", []string{"L"}, "water meters have red digits for litres"},
	{"mm", []string{"cm", "m"}, "tapes carry all three"},
	{"m", []string{"cm", "mm"}, "tapes carry all three"},
	{"g", []string{"kg"}, "scales"},
	{"kg", []string{"g"}, "scales"},
	{"kWh", []string{"MJ"}, "heat meters count in either"},
	{"MJ", []string{"kWh"}, "heat meters count in either"},
}

// Beside gives the units that an answer asked in one may sensibly be stated in: the asked unit first, then others of the same
// dimension and kind that the trade's instruments show for it, at most three. One that stands alone gives itself.
func Beside(asked Unit) []Unit {
	us := []Unit{asked}
	for _, row := range beside {
		if row.asked != asked.symbol {
			continue
		}
		for _, s := range row.also {
			us = append(us, mustUnit(s))
		}
	}
	return us
}
