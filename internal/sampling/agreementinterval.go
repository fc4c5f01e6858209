package sampling

import "slices"

// resamples is how often the things are drawn afresh for an interval; the 2.5th and 97.5th of 100 then have 25 draws beyond
// them (common practice in resampling, no source).
const resamples = 1000

// interval is where the middle 95 % of alpha lie when as many things are drawn, with putting back, as there are. Draws in which
// everybody said the same have no alpha; where that is more than one in ten, there is no interval to speak of.
func (t tally) interval(seed uint64) (low, high Figure) {
	r := resampler(seed)
	things := make([]int, len(t.rows))
	var got []Figure
	for range resamples {
		for i := range things {
			things[i] = r.below(len(things))
		}
		if f := t.alpha(things); f.Known {
			got = append(got, f)
		}
	}
	if len(got) < resamples*9/10 {
		return Figure{}, Figure{}
	}
	slices.SortFunc(got, order)
	return got[len(got)*25/1000], got[len(got)-1-len(got)*25/1000]
}

// resampler gives numbers that look random and follow from its seed alone: splitmix64 (Steele, Lea and Flood 2014, "Fast
// splittable pseudorandom number generators", from memory).
type resampler uint64

func (r *resampler) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below is a number from 0 to n-1. The remainder leans to small numbers by less than n in 2^64, which no interval shows.
func (r *resampler) below(n int) int { return int(r.next() % uint64(n)) }
