package uncertainty

import "math"

// Coverage is the share that expanded uncertainties cover: 95.45 %, which is 2u either side of a normal value.
const Coverage = 0.954499736103641585599

// Factor is the coverage factor k: k·u either side covers the share p (0 < p < 1). dof is truncated down, to 1 at least,
// and Student's t applies; 0 stands for infinitely many, where the normal distribution does (JCGM 100, G.3 and G.4).
func Factor(p, dof float64) float64 {
	if dof == 0 || math.IsInf(dof, 1) {
		return normalFactor(p)
	}
	return studentFactor(p, max(math.Floor(dof), 1))
}

// normalFactor is z with the share p of a standard normal value between −z and z.
func normalFactor(p float64) float64 { return math.Sqrt2 * math.Erfinv(p) }

// phi is the share of a standard normal value below x.
func phi(x float64) float64 { return float64(math.Erfc(-x/math.Sqrt2) / 2) }

// density is the standard normal density.
func density(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
