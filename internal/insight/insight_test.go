package insight

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Five right of ten, with scores 9, 8, 8, 7, 7 against 6, 5, 5, 4, 2: by hand (M1 7.8, M0 4.4, s 2.0224, p = q = 0.5) the
// coefficient is 0.8406; Pearson's formula on the same pairs gives the same.
func TestCorrelationByHand(t *testing.T) {
	var pairs []pair
	for _, x := range []float64{9, 8, 8, 7, 7} {
		pairs = append(pairs, pair{right: true, rest: x})
	}
	for _, x := range []float64{6, 5, 5, 4, 2} {
		pairs = append(pairs, pair{rest: x})
	}
	got, ok := correlation(pairs)
	if !ok || math.Abs(got-0.8406) > 5e-5 {
		t.Errorf("got %v %v, want 0.8406", got, ok)
	}
}

// The point-biserial coefficient is Pearson's of a variable of two values.
func TestCorrelationIsPearsons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		var pairs []pair
		var sx, sy, sxx, syy, sxy float64
		for range n {
			p := pair{right: rapid.Bool().Draw(t, "right"), rest: float64(rapid.IntRange(0, 12).Draw(t, "rest")) / 12}
			pairs = append(pairs, p)
			x := 0.0
			if p.right {
				x = 1
			}
			sx, sy, sxx, syy, sxy = sx+x, sy+p.rest, sxx+x*x, syy+p.rest*p.rest, sxy+x*p.rest
		}
		got, ok := correlation(pairs)
		m := float64(n)
		below := math.Sqrt((m*sxx - sx*sx) * (m*syy - sy*sy))
		if ok != (below > 1e-9) {
			t.Fatalf("known is %v where the spread is %v", ok, below)
		}
		if want := (m*sxy - sx*sy) / below; ok && math.Abs(got-want) > 1e-9 {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

// cohort has n attempts at three lines: the stronger half has the first two right, and the third by odd.
func cohort(n int, third func(strong bool) Mark) [][]Mark {
	var out [][]Mark
	for i := range n {
		strong := i%2 == 0
		m := []Mark{Wrong, Wrong, third(strong)}
		if strong {
			m[0], m[1] = Right, Right
		}
		out = append(out, m)
	}
	return out
}

func TestItems(t *testing.T) {
	only := func(who bool) func(bool) Mark {
		return func(strong bool) Mark {
			if strong == who {
				return Right
			}
			return Wrong
		}
	}
	for _, c := range []struct {
		name           string
		attempts       [][]Mark
		right          int
		known, suspect bool
		sign           float64
	}{
		{"the strong have it right", cohort(40, only(true)), 20, true, false, 1},
		{"the strong have it wrong", cohort(40, only(false)), 20, true, true, -1},
		{"everybody has it wrong", cohort(40, func(bool) Mark { return Wrong }), 0, false, true, 0},
		{"everybody has it right", cohort(40, func(bool) Mark { return Right }), 40, false, false, 0},
		{"too few for a coefficient", cohort(12, only(false)), 6, false, true, 0},
		{"too few to suspect anything", cohort(4, only(false)), 2, false, false, 0},
		{"nobody answered", cohort(40, func(bool) Mark { return Open }), 0, false, false, 0},
	} {
		it := Items(c.attempts)[2]
		if it.Right != c.right || it.Known != c.known || it.Suspect != c.suspect || c.sign*it.Discrimination < 0 || c.known && it.Discrimination == 0 {
			t.Errorf("%s: %+v", c.name, it)
		}
	}
	if Items(nil) != nil {
		t.Error("no attempts have items")
	}
}
