package quantity

import "strings"

// compoundKey names a compound by its parts in their order.
type compoundKey [maxUnitAtoms]struct {
	id  uint16 // of the atom with its prefix; 0 where there is no part
	exp int8
}

func (p *unitParser) key() compoundKey {
	var k compoundKey
	for i, t := range p.terms[:p.n] {
		u := t.unit
		if u.kind == TemperaturePoint {
			u = u.Difference()
		}
		k[i].id, k[i].exp = u.id, int8(t.exp)
	}
	return k
}

// knownCompounds holds the compounds that the trade writes daily, so that reading one costs no arithmetic with fractions.
// Any other is worked out when it is read.
var knownCompounds = buildCompounds(dailyCompounds)

const dailyCompounds = `
	m² mm² cm² m³ cm³ mm³ ft² ft³ in² in³ km² dm³
	L/s L/min L/h mL/min mL/s m³/h m³/s m³/min gal/min gal/h ft³/h ft³/min kg/s kg/h kg/min g/s lb/h
	m/s m/min m/h mm/s km/h ft/min ft/s m/s² mm/m m/m
	kg/m³ g/cm³ g/L kg/L mg/L g/m³ mg/m³ L/m L/m² m³/kg kg/m kg/m² L/kg L/kW L/kWh kg/kWh
	Pa/m kPa/m mbar/m mbar/h mmH2O/m Pa·s m²/s mm²/s kPa·s kgf/cm² N/m² N/mm²
	W/m² W/m kW/m² W/(m·K) W/(m²·K) W/(m³·K) kW/(m²·K) W/K kW/K m²·K/W m·K/W K/W mm/K mm/(m·K)
	kJ/kg J/kg MJ/kg kJ/(kg·K) J/(kg·K) Wh/(kg·K) kWh/(kg·K) MJ/(kg·K) kJ/m³ MJ/m³ kWh/m³ MJ/L kWh/L kWh/kg
	kJ/(m³·K) J/(m³·K) Wh/(m³·K) kWh/(m³·K) MJ/(m³·K) J/(L·K) kJ/(L·K) Wh/(L·K) kJ/K
	kW·h W·h kW·h/m³ kWh/m² kWh/d kWh/h J/s kJ/s MJ/h Btu/h kcal/h Btu/ft³ Btu/(h·ft²·Δ°F) therm/h
	V·A A·h A/mm² A/m² Ω·m Ω/m mΩ/m Ω/km V/m V/A mV/A mV/(A·m) N·m kN·m N/m kN/m² kN/m V/s
	1/h 1/s 1/min 1/K 1/m 1/d h/d kg·m/s m·s kg/mol mol/L mol/m³ lm/W lm/m² W/(L/s) kW/(m³/s) L/(s·kW) L/(s·m²)
	m³/(h·m²) m³/(h·kPa) L/(min·bar) kg/(s·m²) kW/L W/L W/kg`

func buildCompounds(list string) map[compoundKey]Unit {
	known := map[compoundKey]Unit{}
	for text := range strings.FieldsSeq(list) {
		p := unitParser{s: text}
		if err := p.all(); err != nil {
			panic("quantity: the list of compounds holds one that cannot be read: " + text)
		}
		known[p.key()] = p.multiply()
	}
	return known
}
