package quantity

import "strings"

// Dimension holds the exponents of the seven SI base units in the order m, kg, s, A, K, mol, cd. The zero value is a
// plain number.
type Dimension [7]int8

// Mul gives the dimension of a product. Exponents beyond ±63 are cut off there: callers bound them long before.
func (d Dimension) Mul(o Dimension) Dimension {
	for i := range d {
		d[i] = clampExp(int(d[i]) + int(o[i]))
	}
	return d
}

// Div gives the dimension of a quotient.
func (d Dimension) Div(o Dimension) Dimension { return d.Mul(o.Pow(-1)) }

// Pow gives the dimension of the n-th power.
func (d Dimension) Pow(n int) Dimension {
	for i := range d {
		d[i] = clampExp(int(d[i]) * n)
	}
	return d
}

// Root gives the dimension of the n-th root; ok is false where an exponent does not divide.
func (d Dimension) Root(n int) (root Dimension, ok bool) {
	if n <= 0 {
		return d, false
	}
	for i := range d {
		if int(d[i])%n != 0 {
			return d, false
		}
		d[i] /= int8(n)
	}
	return d, true
}

// IsNumber reports whether the dimension is that of a plain number.
func (d Dimension) IsNumber() bool { return d == Dimension{} }

func clampExp(n int) int8 { return int8(min(max(n, -63), 63)) }

// String gives the SI base units, for example kg·m²/s³; a plain number gives "".
func (d Dimension) String() string {
	var terms []term
	for _, base := range [...]struct {
		at     int
		symbol string
	}{{1, "kg"}, {0, "m"}, {2, "s"}, {3, "A"}, {4, "K"}, {5, "mol"}, {6, "cd"}} {
		if d[base.at] != 0 {
			terms = append(terms, term{symbol: base.symbol, exp: int(d[base.at])})
		}
	}
	return printTerms(terms)
}

// Name says in the trade's words what the dimension measures, for example "a power (W)"; where there is no word it
// gives the SI base units.
func (d Dimension) Name() string {
	for _, n := range dimensionNames {
		if n.dim == d {
			return n.name
		}
	}
	return d.String()
}

// dimensionNames is searched in order; common practice, no source.
var dimensionNames = []struct {
	dim  Dimension
	name string
}{
	{Dimension{}, "a plain number"},
	{Dimension{1}, "a length (m)"},
	{Dimension{2}, "an area (m²)"},
	{Dimension{3}, "a volume (m³)"},
	{Dimension{0, 1}, "a mass (kg)"},
	{Dimension{0, 0, 1}, "a time (s)"},
	{Dimension{0, 0, 0, 1}, "a current (A)"},
	{Dimension{0, 0, 0, 0, 1}, "a temperature difference (K)"},
	{Dimension{1, 0, -1}, "a velocity (m/s)"},
	{Dimension{1, 0, -2}, "an acceleration (m/s²)"},
	{Dimension{3, 0, -1}, "a volume flow (m³/s)"},
	{Dimension{0, 1, -1}, "a mass flow (kg/s)"},
	{Dimension{-3, 1}, "a density (kg/m³)"},
	{Dimension{-1, 1, -2}, "a pressure (Pa)"},
	{Dimension{-2, 1, -2}, "a pressure per metre (Pa/m)"},
	{Dimension{1, 1, -2}, "a force (N)"},
	{Dimension{2, 1, -2}, "an energy (J)"},
	{Dimension{2, 1, -3}, "a power (W)"},
	{Dimension{2, 1, -3, -1}, "a voltage (V)"},
	{Dimension{2, 1, -3, -2}, "a resistance (Ω)"},
	{Dimension{1, 1, -3, -2}, "a resistance per metre (Ω/m)"},
	{Dimension{2, 0, -2, 0, -1}, "a specific heat capacity (J/(kg·K))"},
	{Dimension{0, 1, -3, 0, -1}, "a heat transfer coefficient (W/(m²·K))"},
	{Dimension{0, -1, 3, 0, 1}, "a thermal resistance (m²·K/W)"},
	{Dimension{1, 1, -3, 0, -1}, "a thermal conductivity (W/(m·K))"},
	{Dimension{2, 1, -3, 0, -1}, "a heat loss per kelvin (W/K)"},
	{Dimension{0, 1, -3}, "a power per area (W/m²)"},
	{Dimension{1, 1, -3}, "a power per metre (W/m)"},
	{Dimension{2, 0, -1}, "a kinematic viscosity (m²/s)"},
	{Dimension{-1, 1, -1}, "a dynamic viscosity (Pa·s)"},
	{Dimension{2, 0, -2}, "an energy per mass (J/kg)"},
	{Dimension{0, 0, -1}, "a rate (1/s)"},
}

// term is one atom with its prefix and exponent, as printed.
type term struct {
	symbol string
	exp    int
}

// printTerms writes L·m²/(s·K): one slash at most, brackets where more than one term is divided.
func printTerms(terms []term) string {
	var num, den []string
	for _, t := range terms {
		if t.exp >= 0 {
			num = append(num, t.symbol+superscript(t.exp))
		} else {
			den = append(den, t.symbol+superscript(-t.exp))
		}
	}
	top := strings.Join(num, "·")
	switch {
	case len(den) == 0:
		return top
	case top == "":
		top = "1"
	}
	if len(den) == 1 {
		return top + "/" + den[0]
	}
	return top + "/(" + strings.Join(den, "·") + ")"
}

var superscripts = [10]string{"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"}

// superscript prints an exponent; 1 prints as nothing.
func superscript(n int) string {
	if n == 1 {
		return ""
	}
	return raised(n)
}

// raised prints a number from 0 up in raised digits.
func raised(n int) string {
	if n >= 10 {
		return raised(n/10) + superscripts[n%10]
	}
	return superscripts[n]
}
