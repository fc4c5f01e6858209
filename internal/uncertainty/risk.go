package uncertainty

import "math"

// Process is how the values of many like things spread before any is measured: normal about Mean.
type Process struct{ Mean, SD float64 }

// Risks are the shares of all things measured that are judged wrongly (JCGM 106, 9.5).
type Risks struct {
	Consumer float64 // accepted though out of the limits
	Producer float64 // rejected though within them
}

// GlobalRisks is what a measurement with standard uncertainty u does over a process, where a thing is accepted if its
// measured value keeps the acceptance limits. SD and u are above zero.
func GlobalRisks(p Process, u float64, limits, acceptance Limits) Risks {
	accepted := func(x float64) float64 { return Conformance(x, u, acceptance) }
	rejected := func(x float64) float64 { return 1 - accepted(x) }
	far := float64(10 * p.SD)
	low, high := math.Max(limits.Low, p.Mean-far), math.Min(limits.High, p.Mean+far)
	return Risks{
		Consumer: p.share(p.Mean-far, low, accepted) + p.share(high, p.Mean+far, accepted),
		Producer: p.share(low, high, rejected),
	}
}

// share integrates the process's density times f from a to b by Simpson's rule.
func (p Process) share(a, b float64, f func(float64) float64) float64 {
	if !(a < b) {
		return 0
	}
	const steps = 4000
	h := (b - a) / steps
	sum := 0.0
	for i := range steps + 1 {
		x := a + float64(float64(i)*h)
		weight := 2.0
		switch {
		case i == 0 || i == steps:
			weight = 1
		case i%2 == 1:
			weight = 4
		}
		sum += weight * f(x) * density((x-p.Mean)/p.SD) / p.SD
	}
	return sum * h / 3
}
