package trade

import (
	"math"

	"witnessmark/internal/formula"
)

// What reduces temperature (K), density (kg/m³) and pressure (Pa) in R12-08 and R15-11: water's critical point.
const (
	criticalT        = 647.096
	criticalDensity  = 322.0
	criticalPressure = 22.064e6
)

// viscosityH is table 2 of R12-08: rows by the power of (1/T̄ − 1), columns by the power of (ρ̄ − 1).
var viscosityH = [6][7]float64{
	{0.520094, 0.222531, -0.281378, 0.161913, -0.0325372, 0, 0},
	{0.0850895, 0.999115, -0.906851, 0.257399, 0, 0, 0},
	{-1.08374, 1.88797, -0.772479, 0, 0, 0, 0},
	{-0.289555, 1.26613, -0.489837, 0, 0.0698452, 0, -0.00435673},
	{0, 0, -0.257040, 0, 0, 0.00872102, 0},
	{0, 0.120573, 0, 0, 0, 0, -0.000593264},
}

// WaterViscosity is the dynamic viscosity of liquid water, Pa·s, at t kelvin and p pascal absolute.
//
// Range as WaterVolume. Source: IAPWS R12-08, equations 10 to 12 with the density of IF97 and the critical enhancement
// left at 1, as the release allows for industrial use (it matters only within about 2 K of the critical point).
// Example: at 60 °C and 2.5 bar absolute, 4.6608e-4 Pa·s.
func WaterViscosity(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	return viscosity(t, 1/region1Volume(t, p)), nil
}

// WaterKinematicViscosity is the kinematic viscosity of liquid water, m²/s: the dynamic viscosity over the density.
//
// Range and source as WaterViscosity. Example: at 60 °C and 2.5 bar absolute, 4.7401e-7 m²/s.
func WaterKinematicViscosity(t, p float64) (float64, error) {
	if err := liquid(t, p); err != nil {
		return 0, err
	}
	v := region1Volume(t, p)
	return viscosity(t, 1/v) * v, nil
}

// viscosity is equation 10 of R12-08 with μ̄₂ = 1, in Pa·s, at t kelvin and density kg/m³.
func viscosity(t, density float64) float64 {
	tr := t / criticalT
	x := 1/tr - 1
	y := density/criticalDensity - 1

	// Equation 11: the dilute gas.
	inverse := 1 / tr
	dilute := 1.67752 + float64(inverse*(2.20462+float64(inverse*(0.6366564+float64(inverse*-0.241605)))))
	mu0 := 100 * math.Sqrt(tr) / dilute

	// Equation 12: the finite density, by Horner's rule in both directions.
	sum := 0.0
	for i := len(viscosityH) - 1; i >= 0; i-- {
		row := 0.0
		for j := len(viscosityH[i]) - 1; j >= 0; j-- {
			row = float64(row*y) + viscosityH[i][j]
		}
		sum = float64(sum*x) + row
	}
	return mu0 * formula.Exp(density/criticalDensity*sum) * 1e-6
}
