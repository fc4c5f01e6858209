package quantity

// atom is one row of the unit table: a unit that is not made of others by products and powers.
type atom struct {
	symbol   string    // as printed, without a prefix
	ucum     string    // identifier for interchange only
	dim      Dimension // m kg s A K mol cd
	factor   string    // exact: decimal or fraction; multiplies a value into SI base units
	prefixes string    // the SI prefixes that the trade uses with it, and no others
	aliases  string    // other spellings, separated by spaces; ~ stands for a space
	source   source
	kind     Kind
	measures string // what it measures, where other units of its dimension measure something else: Nm and J
	offset   string // kelvin at zero of the scale, for temperature points
	scale    string // set for units that convert only into themselves and their own prefixes
}

// What units of one dimension measure that does not stand for one another in an answer.
const (
	anEnergy        = "an energy"
	aTorque         = "a torque"
	anActivePower   = "an active power"
	anApparentPower = "an apparent power"
	aReactivePower  = "a reactive power"
	aFrequency      = "a frequency"
	aRotation       = "a speed of rotation"
)

// source says where a factor comes from.
type source uint8

const (
	siBrochure source = iota // SI Brochure, 9th edition
	nist811                  // NIST SP 811 (2008), appendix B
	practice                 // common practice, no source
)

var (
	dimNumber      = Dimension{}
	dimLength      = Dimension{1}
	dimVolume      = Dimension{3}
	dimMass        = Dimension{0, 1}
	dimTime        = Dimension{0, 0, 1}
	dimTemperature = Dimension{0, 0, 0, 0, 1}
	dimForce       = Dimension{1, 1, -2}
	dimPressure    = Dimension{-1, 1, -2}
	dimEnergy      = Dimension{2, 1, -2}
	dimPower       = Dimension{2, 1, -3}
	dimRate        = Dimension{0, 0, -1}
)

// atoms is the table. The imperial pressure and power factors are fractions because their decimals do not end:
// psi is lbf/in² (0.45359237 × 9.80665 / 0.0254²), hp is 550 ft·lbf/s.
var atoms = []atom{
	{symbol: "m", ucum: "m", dim: dimLength, factor: "1", prefixes: "kcmμnd", aliases: "metre metres meter meters"},
	{symbol: "g", ucum: "g", dim: dimMass, factor: "1/1000", prefixes: "kmμ", aliases: "gram grams"},
	{symbol: "t", ucum: "t", dim: dimMass, factor: "1000", aliases: "tonne tonnes"},
	{symbol: "s", ucum: "s", dim: dimTime, factor: "1", prefixes: "mμn", aliases: "sec secs second seconds"},
	{symbol: "min", ucum: "min", dim: dimTime, factor: "60", aliases: "mins minute minutes"},
	{symbol: "h", ucum: "h", dim: dimTime, factor: "3600", aliases: "hr hrs hour hours"},
	{symbol: "d", ucum: "d", dim: dimTime, factor: "86400", aliases: "day days"},
	{symbol: "A", ucum: "A", dim: Dimension{0, 0, 0, 1}, factor: "1", prefixes: "kmμ", aliases: "amp amps ampere amperes"},
	{symbol: "K", ucum: "K", dim: dimTemperature, factor: "1", prefixes: "m", aliases: "kelvin degK ΔK Δ°C Δ°K", kind: TemperatureDifference},
	{symbol: "Δ°F", dim: dimTemperature, factor: "5/9", aliases: "ΔdegF", kind: TemperatureDifference, source: nist811},
	{symbol: "°C", ucum: "Cel", dim: dimTemperature, factor: "1", offset: "273.15", aliases: "degC deg~C °~C celsius centigrade", kind: TemperaturePoint},
	{symbol: "°F", ucum: "[degF]", dim: dimTemperature, factor: "5/9", offset: "45967/180", aliases: "degF deg~F fahrenheit", kind: TemperaturePoint, source: nist811},
	{symbol: "K(abs)", ucum: "K", dim: dimTemperature, factor: "1", offset: "0", aliases: "Kabs", kind: TemperaturePoint},
	{symbol: "mol", ucum: "mol", dim: Dimension{0, 0, 0, 0, 0, 1}, factor: "1", prefixes: "m"},
	{symbol: "cd", ucum: "cd", dim: Dimension{0, 0, 0, 0, 0, 0, 1}, factor: "1"},
	{symbol: "L", ucum: "L", dim: dimVolume, factor: "1/1000", prefixes: "mcdμ", aliases: "l litre litres liter liters ltr ltrs"},
	{symbol: "N", ucum: "N", dim: dimForce, factor: "1", prefixes: "kmM", aliases: "newton newtons"},
	{symbol: "Pa", ucum: "Pa", dim: dimPressure, factor: "1", prefixes: "kMhm", aliases: "pascal pascals"},
	{symbol: "bar", ucum: "bar", dim: dimPressure, factor: "100000", prefixes: "m", aliases: "bars"},
	{symbol: "J", ucum: "J", dim: dimEnergy, factor: "1", prefixes: "kMGm", aliases: "joule joules", measures: anEnergy},
	{symbol: "W", ucum: "W", dim: dimPower, factor: "1", prefixes: "kMmμ", aliases: "watt watts", measures: anActivePower},
	{symbol: "Wh", ucum: "W.h", dim: dimEnergy, factor: "3600", prefixes: "kM", measures: anEnergy},
	{symbol: "V", ucum: "V", dim: Dimension{2, 1, -3, -1}, factor: "1", prefixes: "kmμ", aliases: "volt volts"},
	{symbol: "Ω", ucum: "Ohm", dim: Dimension{2, 1, -3, -2}, factor: "1", prefixes: "kMmμ", aliases: "ohm ohms R"},
	{symbol: "S", ucum: "S", dim: Dimension{-2, -1, 3, 2}, factor: "1", prefixes: "mμ", aliases: "siemens"},
	{symbol: "VA", ucum: "V.A", dim: dimPower, factor: "1", prefixes: "k", measures: anApparentPower},
	{symbol: "var", ucum: "V.A", dim: dimPower, factor: "1", prefixes: "k", aliases: "VAr", measures: aReactivePower},
	{symbol: "Ah", ucum: "A.h", dim: Dimension{0, 0, 1, 1}, factor: "3600", prefixes: "m"},
	{symbol: "C", ucum: "C", dim: Dimension{0, 0, 1, 1}, factor: "1", prefixes: "mμ"},
	{symbol: "F", ucum: "F", dim: Dimension{-2, -1, 4, 2}, factor: "1", prefixes: "mμnp", aliases: "farad"},
	{symbol: "H", ucum: "H", dim: Dimension{2, 1, -2, -2}, factor: "1", prefixes: "mμ", aliases: "henry"},
	{symbol: "Wb", ucum: "Wb", dim: Dimension{2, 1, -2, -1}, factor: "1", prefixes: "m"},
	{symbol: "T", ucum: "T", dim: Dimension{0, 1, -2, -1}, factor: "1", prefixes: "mμ"},
	{symbol: "Hz", ucum: "Hz", dim: dimRate, factor: "1", prefixes: "kMG", aliases: "hertz", measures: aFrequency},
	{symbol: "rpm", ucum: "{revolutions}/min", dim: dimRate, factor: "1/60", aliases: "rev/min", source: nist811, measures: aRotation},
	{symbol: "lx", ucum: "lx", dim: Dimension{-2, 0, 0, 0, 0, 0, 1}, factor: "1", prefixes: "k", aliases: "lux"},
	{symbol: "lm", ucum: "lm", dim: Dimension{0, 0, 0, 0, 0, 0, 1}, factor: "1", aliases: "lumen"},
	{symbol: "rad", ucum: "rad", dim: dimNumber, factor: "1", prefixes: "m", kind: Angle},
	// π to 33 digits: the only factor that no fraction gives.
	{symbol: "°", ucum: "deg", dim: dimNumber, factor: "3.14159265358979323846264338327950/180", aliases: "deg degree degrees", kind: Angle},
	{symbol: "%", ucum: "%", dim: dimNumber, factor: "1/100", aliases: "percent pc"},
	{symbol: "‰", ucum: "[ppth]", dim: dimNumber, factor: "1/1000", aliases: "permille"},
	{symbol: "ppm", ucum: "[ppm]", dim: dimNumber, factor: "1/1000000"},
	{symbol: "ft", ucum: "[ft_i]", dim: dimLength, factor: "0.3048", aliases: "feet foot", source: nist811},
	{symbol: "in", ucum: "[in_i]", dim: dimLength, factor: "0.0254", aliases: "inch inches \"", source: nist811},
	{symbol: "yd", ucum: "[yd_i]", dim: dimLength, factor: "0.9144", aliases: "yard yards", source: nist811},
	{symbol: "gal", ucum: "[gal_br]", dim: dimVolume, factor: "0.00454609", aliases: "gallon gallons", source: nist811},
	{symbol: "USgal", ucum: "[gal_us]", dim: dimVolume, factor: "0.003785411784", source: nist811},
	{symbol: "pt", ucum: "[pt_br]", dim: dimVolume, factor: "0.00056826125", aliases: "pint pints", source: nist811},
	{symbol: "lb", ucum: "[lb_av]", dim: dimMass, factor: "0.45359237", aliases: "lbs", source: nist811},
	{symbol: "kgf", ucum: "kgf", dim: dimForce, factor: "9.80665", aliases: "kp", source: nist811},
	{symbol: "lbf", ucum: "[lbf_av]", dim: dimForce, factor: "4.4482216152605", source: nist811},
	{symbol: "psi", ucum: "[psi]", dim: dimPressure, factor: "8896443230521/1290320000", aliases: "lb/in2 lbf/in2", source: nist811},
	{symbol: "atm", ucum: "atm", dim: dimPressure, factor: "101325", source: nist811},
	{symbol: "mH2O", ucum: "m[H2O]", dim: dimPressure, factor: "9806.65", aliases: "mwg mWG mWC", source: nist811},
	{symbol: "cmH2O", ucum: "cm[H2O]", dim: dimPressure, factor: "98.0665", source: nist811},
	{symbol: "mmH2O", ucum: "mm[H2O]", dim: dimPressure, factor: "9.80665", aliases: "mmWG mmwg mm~wg mm~WG mm~H2O mmWC", source: nist811},
	{symbol: "inH2O", ucum: "[in_i'H2O]", dim: dimPressure, factor: "249.08891", aliases: "inWG inwg in~wg in~WG \"wg \"WG in~H2O", source: nist811},
	{symbol: "mmHg", ucum: "mm[Hg]", dim: dimPressure, factor: "133.322387415", source: nist811},
	{symbol: "Btu", ucum: "[Btu_IT]", dim: dimEnergy, factor: "1055.05585262", aliases: "BTU btu", source: nist811, measures: anEnergy},
	{symbol: "therm", ucum: "100000.[Btu_IT]", dim: dimEnergy, factor: "105505585.262", aliases: "therms", source: nist811, measures: anEnergy},
	{symbol: "cal", ucum: "cal_IT", dim: dimEnergy, factor: "4.1868", prefixes: "k", source: nist811, measures: anEnergy},
	{symbol: "hp", ucum: "[HP]", dim: dimPower, factor: "37284993579113511/50000000000000", aliases: "bhp", source: nist811, measures: anActivePower},
	{symbol: "PS", dim: dimPower, factor: "735.49875", aliases: "metric~hp", source: nist811, measures: anActivePower},
	{symbol: "Nm", ucum: "N.m", dim: dimEnergy, factor: "1", prefixes: "k", measures: aTorque},
	{symbol: "cSt", ucum: "cSt", dim: Dimension{2, 0, -1}, factor: "1/1000000", source: nist811},
	{symbol: "cP", ucum: "cP", dim: Dimension{-1, 1, -1}, factor: "1/1000", source: nist811},
	{symbol: "dB", ucum: "dB", dim: dimNumber, factor: "1", kind: Level, scale: "dB"},
	{symbol: "dBm", dim: dimNumber, factor: "1", kind: Level, scale: "dBm"},
	{symbol: "pH", ucum: "[pH]", dim: dimNumber, factor: "1", kind: Level, scale: "pH"},
	{symbol: "°dH", dim: dimNumber, factor: "1", aliases: "dH", scale: "°dH", source: practice},
	{symbol: "°e", dim: dimNumber, factor: "1", aliases: "clark", scale: "°e", source: practice},
	{symbol: "LU", dim: dimNumber, factor: "1", scale: "LU", source: practice},
	{symbol: "bottles", dim: dimNumber, factor: "1", aliases: "bottle cylinders cylinder", scale: "bottles", source: practice},
}

// prefixFactors are the SI prefixes as fractions (SI Brochure, table 7), with their words.
var prefixFactors = []struct{ symbol, word, factor string }{
	{"G", "giga", "1000000000"}, {"M", "mega", "1000000"}, {"k", "kilo", "1000"}, {"h", "hecto", "100"},
	{"d", "deci", "1/10"}, {"c", "centi", "1/100"}, {"m", "milli", "1/1000"}, {"μ", "micro", "1/1000000"},
	{"n", "nano", "1/1000000000"}, {"p", "pico", "1/1000000000000"},
}

// wholeSpellings are spellings of the trade that the grammar of units would read otherwise or not at all. They are
// matched as a whole, after exponents were made plain digits and K stands for every degree: letters are never split.
var wholeSpellings = map[string]string{
	"W/mK": "W/(m·K)", "W/m2K": "W/(m2·K)", "W/m3K": "W/(m3·K)", "mW/mK": "mW/(m·K)", "kW/m2K": "kW/(m2·K)",
	"kJ/kgK": "kJ/(kg·K)", "J/kgK": "J/(kg·K)", "Wh/kgK": "Wh/(kg·K)", "kWh/kgK": "kWh/(kg·K)", "MJ/kgK": "MJ/(kg·K)",
	"kJ/m3K": "kJ/(m3·K)", "J/m3K": "J/(m3·K)", "Wh/m3K": "Wh/(m3·K)", "kWh/m3K": "kWh/(m3·K)", "MJ/m3K": "MJ/(m3·K)",
	"m2K/W": "m2·K/W", "mK/W": "m·K/W",
	"gpm": "gal/min", "cfm": "ft3/min", "cfh": "ft3/h", "lpm": "L/min", "lps": "L/s", "lph": "L/h", "LPM": "L/min",
	"ach": "1/h", "ac/h": "1/h", "cc": "cm3", "km/hr": "km/h", "kph": "km/h",
	"cuft": "ft3", "cu.ft": "ft3", "cu ft": "ft3", "cu m": "m3", "cu.m": "m3", "sq m": "m2", "sq.m": "m2", "sqm": "m2",
	"sq ft": "ft2", "sq mm": "mm2", "cu ft/h": "ft3/h", "cu ft/min": "ft3/min", "cu m/h": "m3/h", "cubic metres": "m3",
	"kWh/24h": "kWh/d", "kWh/24 h": "kWh/d", "cubic feet": "ft3", "m head": "mH2O", "mhead": "mH2O", "lb/in2": "psi", "lbf/in2": "psi",
}
