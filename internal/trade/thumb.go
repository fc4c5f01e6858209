package trade

import "witnessmark/internal/formula"

// The rules of thumb that the trade works water by; common practice, no source. A brief that wants the properties at
// temperature rules them out by their keys.
var (
	thumbGrowth  = formula.Thumb{Key: "flat-expansion", Is: "a flat 4 % for the growth of water", Value: 0.04}
	thumbDensity = formula.Thumb{Key: "constant-water", Is: "water at 1 kg/L", Value: 1000, Growth: &thumbGrowth}
	thumbHeat    = formula.Thumb{Key: "constant-water", Is: "water at 4.2 kJ/(kg·K)", Value: 4200}
)
