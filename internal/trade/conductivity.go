package trade

import (
	"math"

	"witnessmark/internal/formula"
)

// conductivityL is table 2 of R15-11: rows by the power of (1/T̄ − 1), columns by the power of (ρ̄ − 1).
var conductivityL = [5][6]float64{
	{1.60397357, -0.646013523, 0.111443906, 0.102997357, -0.0504123634, 0.00609859258},
	{2.33771842, -2.78843778, 1.53616167, -0.463045512, 0.0832827019, -0.00719201245},
	{2.19650529, -4.54580785, 3.55777244, -1.40944978, 0.275418278, -0.0205938816},
	{-1.21051378, 1.60812989, -0.621178141, 0.0716373224, 0, 0},
	{-2.7203370, 4.57586331, -3.18369245, 1.11683480, -0.192683050, 0.0129138420},
}

// The last two columns of table 6 of R15-11, which stand for the compressibility at the reference temperature. The
// first three belong to densities below 400 kg/m³; liquid in IF97's region 1 never falls below 574 kg/m³.
var (
	// conductivityA4 is for reduced densities from 1.242 236 025 to 1.863 354 037.
	conductivityA4 = [6]float64{1.55225959906681, 0.464621290821181, 8.93237374861479, -11.0321960061126,
		6.16780999933360, -0.965458722086812}
	// conductivityA5 is for reduced densities above that.
	conductivityA5 = [6]float64{1.11999926419994, 0.595748562571649, 9.88952565078920, -10.3255051147040,
		4.66861294457414, -0.503243546373828}
)

// WaterConductivity is the thermal conductivity of liquid water, W/(m·K), at t kelvin and p pascal absolute.
//
// Range as WaterVolume. Source: IAPWS R15-11 with the critical enhancement in its industrial form, the
// density, heat capacities and compressibility of IF97 and the viscosity of R12-08.
// Example: at 95 °C and 2.5 bar absolute, 0.675 258 82 W/(m·K).
func WaterConductivity(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	s := region1At(t, p)
	density := 1 / s.volume(t)
	return 1e-3 * (backgroundConductivity(t, density) + criticalConductivity(t, density, s)), nil
}

// backgroundConductivity is λ̄₀·λ̄₁, equations 16 and 17, in mW/(m·K).
func backgroundConductivity(t, density float64) float64 {
	tr := t / criticalT
	x := 1/tr - 1
	y := density/criticalDensity - 1

	inverse := 1 / tr
	dilute := 2.443221e-3 + float64(inverse*(1.323095e-2+float64(inverse*(6.770357e-3+
		float64(inverse*(-3.454586e-3+float64(inverse*4.096266e-4)))))))

	sum := 0.0
	for i := len(conductivityL) - 1; i >= 0; i-- {
		row := 0.0
		for j := len(conductivityL[i]) - 1; j >= 0; j-- {
			row = float64(row*y) + conductivityL[i][j]
		}
		sum = float64(sum*x) + row
	}
	return math.Sqrt(tr) / dilute * formula.Exp(density/criticalDensity*sum)
}

// criticalConductivity is λ̄₂, equations 18 to 25, in mW/(m·K): what fluctuations near the critical point add. It is
// nothing below about 150 °C, and 4 % at its most in region 1.
func criticalConductivity(t, density float64, s gibbs) float64 {
	const (
		gasConstant = 461.51805 // of R15-11, which differs from IF97's
		amplitude   = 177.8514
		length      = 0.13 / 0.40 // ξ₀·q_D, both in nm
		gamma       = 0.06
		exponent    = 0.630 / 1.239
		reference   = 1.5
	)
	tr := t / criticalT
	dr := density / criticalDensity

	row := &conductivityA5
	if dr <= 1.863354037 {
		row = &conductivityA4
	}
	sum := 0.0
	for i := len(row) - 1; i >= 0; i-- {
		sum = float64(sum*dr) + row[i]
	}
	compressibility := s.densityByPressure(t) * criticalPressure / criticalDensity
	excess := dr * (compressibility - reference/(tr*sum))
	if excess <= 0 {
		return 0
	}
	y := length * formula.Power(excess/gamma, exponent)
	if y < 1.2e-7 {
		return 0
	}
	ratio := s.heatCapacityAtVolume() / s.heatCapacity()
	bounded := float64((1-ratio)*math.Atan(y)) + float64(ratio*y)
	z := 2 / (math.Pi * y) * (bounded - (1 - formula.Exp(-1/(1/y+y*y/(3*dr*dr)))))
	return amplitude * dr * s.heatCapacity() / gasConstant * tr / (viscosity(t, density) * 1e6) * z
}

// transportEntries offers viscosity and conductivity, which share a range and a way of working.
func transportEntries() []Entry {
	const viscosities = "IAPWS R12-08 with the density of R7-97(2012)"
	const conductivities = "IAPWS R15-11 with the properties of R7-97(2012)"
	t := []formula.Param{paramT}
	tp := []formula.Param{paramT, paramP}
	cold := []string{"10 °C", "1.01325 bar(a)"}
	return []Entry{
		{Function: formula.Function{Name: "mu", About: "Dynamic viscosity of water " + rangeConvention, Source: viscosities,
			Params: t, Result: unitViscosity, Call: conventional(WaterViscosity), Turns: steady(1)},
			Formula: "mu_at(t, 2.5 bar(a))", Range: holdsConvention, Example: []string{"60 °C"}, Gives: "0.00046608 Pa·s", Chart: overT},
		{Function: formula.Function{Name: "mu_at", About: "Dynamic viscosity of water at a stated pressure: " + rangeStated, Source: viscosities,
			Params: tp, Result: unitViscosity, Call: of2(WaterViscosity)},
			Method: "that of the thin gas, times the exponential of a polynomial in temperature and density", Range: holdsStated,
			Example: cold, Gives: "0.0013059 Pa·s", Chart: overT},
		{Function: formula.Function{Name: "nu", About: "Kinematic viscosity of water " + rangeConvention, Source: viscosities,
			Params: t, Result: unitKinematic, Call: conventional(WaterKinematicViscosity), Turns: steady(1)},
			Formula: "mu(t) / rho(t)", Range: holdsConvention, Example: []string{"60 °C"}, Gives: "0.00000047401 m²/s", Chart: overT},
		{Function: formula.Function{Name: "nu_at", About: "Kinematic viscosity of water at a stated pressure: " + rangeStated, Source: viscosities,
			Params: tp, Result: unitKinematic, Call: of2(WaterKinematicViscosity)},
			Formula: "mu_at(t, p) / rho_at(t, p)", Range: holdsStated, Example: cold, Gives: "0.0000013063 m²/s", Chart: overT},
		{Function: formula.Function{Name: "conductivity", About: "Thermal conductivity of water " + rangeConvention, Source: conductivities,
			Params: t, Result: unitConductivity, Call: conventional(WaterConductivity), Turns: steady(1)},
			Formula: "conductivity_at(t, 2.5 bar(a))", Range: holdsConvention, Example: []string{"95 °C"}, Gives: "0.67526 W/(m·K)", Chart: overT},
		{Function: formula.Function{Name: "conductivity_at", About: "Thermal conductivity of water at a stated pressure: " + rangeStated, Source: conductivities,
			Params: tp, Result: unitConductivity, Call: of2(WaterConductivity)},
			Method: "that of the thin gas, times the exponential of a polynomial in temperature and density, and what is added near the critical point",
			Range:  holdsStated, Example: cold, Gives: "0.57878 W/(m·K)", Chart: overT},
	}
}
