package sampling

import "math"

// slack is what a probability may be over its bound, relatively, before it counts as over: sums of logarithms of factorials carry
// about 1e-10 for the largest lists here, and exact ties (one wrong in twenty, nineteen looked at) are common.
const slack = 1e-9

// Confidence is the level that is spoken of where none is named (common practice).
const Confidence = 0.95

// choose is the logarithm of how many ways there are to take k of n; 0 <= k <= n.
func choose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n) + 1)
	b, _ := math.Lgamma(float64(k) + 1)
	c, _ := math.Lgamma(float64(n-k) + 1)
	return a - b - c
}

// Exactly is the probability that a sample of n out of a list of all, of which wrong are wrong, has k wrong ones in it: the
// hypergeometric distribution. It is 0 where that cannot be. Needs 0 <= wrong, n <= all.
func Exactly(all, wrong, n, k int) float64 {
	if k < 0 || k > wrong || k > n || n-k > all-wrong {
		return 0
	}
	return math.Exp(choose(wrong, k) + choose(all-wrong, n-k) - choose(all, n))
}

// AtMost is the probability that the sample has no more than k wrong ones in it.
func AtMost(all, wrong, n, k int) float64 {
	var p float64
	for i := max(0, n-(all-wrong)); i <= min(k, wrong, n); i++ {
		p += Exactly(all, wrong, n, i)
	}
	return min(p, 1)
}

// Smallest is the fewest attempts that have to be looked at, and none found wrong, to say at the confidence that fewer than
// wrong of all are: so many that with exactly wrong of them a clean sample would be likely no more than 1 - confidence.
func Smallest(all, wrong int, confidence float64) int {
	if wrong < 1 {
		return all
	}
	return first(1, all, func(n int) bool { return rare(Exactly(all, wrong, n, 0), confidence) })
}

// Bound is the most wrong ones that a list of all may have when found wrong ones were in a sample of n, at the confidence:
// with one more than that, finding so few would be likely no more than 1 - confidence.
func Bound(all, n, found int, confidence float64) int {
	return first(found, all-(n-found)+1, func(wrong int) bool { return rare(AtMost(all, wrong, n, found), confidence) }) - 1
}

// rare says whether a probability is no more than what the confidence leaves over.
func rare(p, confidence float64) bool { return p <= (1-confidence)*(1+slack) }

// first is the smallest number from lo to hi of which yes holds, which holds of every number after; hi where it holds of none.
func first(lo, hi int, yes func(int) bool) int {
	for lo < hi {
		mid := lo + (hi-lo)/2
		if yes(mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}
