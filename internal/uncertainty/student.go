package uncertainty

import "math"

// manyDoF is where Student's t is so near to the normal distribution that two terms of their difference are enough: what
// is left out is below 1e-8 (Abramowitz and Stegun, 26.7.5).
const manyDoF = 2000

// studentFactor is t with the share p of Student's t on n degrees of freedom, a whole number, between −t and t.
func studentFactor(p, n float64) float64 {
	if n > manyDoF {
		z := float64(normalFactor(p))
		return z + float64(z*(float64(z*z)+1)/(4*n)) + float64(z*(float64((float64(5*z*z)+16)*z*z)+3)/(96*n*n))
	}
	low, high := 0.0, math.Pi/2
	for range 60 { // halving the angle, beyond what float64 can tell apart
		mid := (low + high) / 2
		if studentShare(mid, int(n)) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Sqrt(n) * math.Tan((low+high)/2)
}

// studentShare is the share of Student's t on n degrees of freedom between −t and t, where t = √n tan θ. For whole n it
// is a finite sum (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4).
func studentShare(theta float64, n int) float64 {
	sin, cos := math.Sincos(theta)
	term, sum := 1.0, 0.0
	if n%2 == 0 {
		for j := 0; j < n/2; j++ {
			if j > 0 {
				term *= cos * cos * float64(2*j-1) / float64(2*j)
			}
			sum += term
		}
		return sin * sum
	}
	term = cos
	for j := 1; j <= (n-1)/2; j++ {
		if j > 1 {
			term *= cos * cos * float64(2*j-2) / float64(2*j-1)
		}
		sum += term
	}
	return 2 / math.Pi * (theta + float64(sin*sum))
}
