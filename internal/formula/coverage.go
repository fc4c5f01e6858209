package formula

import (
	"math/bits"
	"slices"
)

// covering is how many of n values an interval takes in that covers the share given (JCGM 101, 7.7.2).
func covering(n int, share float64) int { return max(1, min(n-1, int(float64(share*float64(n))+0.5))) }

// symmetric is the interval that leaves out as many values below as above. It rearranges the values.
func symmetric(values []float64, share float64) Interval {
	n := len(values)
	if n == 1 {
		return Interval{values[0], values[0]}
	}
	q := covering(n, share)
	r := max((n-q+1)/2, 1)
	lo := nth(values, r-1)
	return Interval{lo, nth(values[r-1:], q)}
}

// shortest is the shortest interval that takes in as many values. Only the two tails have to be in order for it.
func shortest(values []float64, share float64) Interval {
	n := len(values)
	if n == 1 {
		return Interval{values[0], values[0]}
	}
	q := covering(n, share)
	tail := n - q
	if 2*tail >= n {
		slices.Sort(values)
	} else {
		nth(values, tail)
		slices.Sort(values[:tail])
		nth(values[tail:], q-tail)
		slices.Sort(values[q:])
	}
	best := Interval{values[0], values[q]}
	for r := 1; r < tail; r++ {
		if values[r+q]-values[r] < best.Hi-best.Lo {
			best = Interval{values[r], values[r+q]}
		}
	}
	return best
}

// nth puts the value that sorting would put at index k there, with none larger before it and none smaller behind it.
func nth(values []float64, k int) float64 {
	lo, hi := 0, len(values)-1
	for rounds := 2 * bits.Len(uint(len(values))); lo < hi; rounds-- {
		if rounds == 0 {
			slices.Sort(values[lo : hi+1])
			break
		}
		pivot := middle(values[lo], values[lo+(hi-lo)/2], values[hi])
		i, j := lo, hi
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return values[k]
		}
	}
	return values[k]
}

func middle(a, b, c float64) float64 { return max(min(a, b), min(max(a, b), c)) }
