package sampling

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"testing"
)

// zero_found.csv was computed beforehand by C(N-D,n)/C(N,n) <= 1 - confidence in exact integers, with D the share rounded up.
func TestSmallest(t *testing.T) {
	f, err := os.Open("testdata/zero_found.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 100 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		if row[0] == "inf" || row[0] == "infinite" {
			continue
		}
		all, share, wrong, want := whole(t, row[0]), whole(t, row[1]), whole(t, row[3]), whole(t, row[4])
		confidence, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := atLeast(all, share); got != wrong {
			t.Errorf("%d %% of %d: got %d, want %d", share, all, got, wrong)
		}
		if got := Smallest(all, wrong, confidence); got != want {
			t.Errorf("%v: got %d, want %d", row, got, want)
		}
	}
}

func whole(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// exactly is the probability in whole numbers (math/big's binomials).
func exactly(all, wrong, n, k int) float64 {
	over := new(big.Int).Mul(new(big.Int).Binomial(int64(wrong), int64(k)), new(big.Int).Binomial(int64(all-wrong), int64(n-k)))
	p, _ := new(big.Rat).SetFrac(over, new(big.Int).Binomial(int64(all), int64(n))).Float64()
	return p
}

func TestExactlyAgainstWholeNumbers(t *testing.T) {
	for _, all := range []int{1, 7, 20, 96, 500, 3000} {
		for wrong := 0; wrong <= all; wrong += 1 + all/7 {
			for n := 0; n <= all; n += 1 + all/5 {
				var sum float64
				for k := 0; k <= n; k += 1 + n/9 {
					got, want := Exactly(all, wrong, n, k), 0.0
					if k <= wrong && n-k <= all-wrong {
						want = exactly(all, wrong, n, k)
					}
					if math.Abs(got-want) > 1e-10*math.Max(want, 1e-3) {
						t.Errorf("all %d, wrong %d, n %d, k %d: got %g, want %g", all, wrong, n, k, got, want)
					}
				}
				for k := 0; k <= n && all <= 96; k++ {
					sum += Exactly(all, wrong, n, k)
				}
				if all <= 96 && math.Abs(sum-1) > 1e-9 {
					t.Errorf("all %d, wrong %d, n %d: together %g", all, wrong, n, sum)
				}
			}
		}
	}
}

// The bound and the smallest sample say the same thing from two sides; for a large list the bound comes to the binomial's, whose
// published one-sided 95 % values are 59/0 4.95 %, 30/0 9.50 %, 30/1 14.86 %, 50/2 12.06 % (Clopper and Pearson; from memory).
func TestBound(t *testing.T) {
	for all := 5; all <= 120; all += 23 {
		for n := 1; n <= all; n++ {
			b := Bound(all, n, 0, Confidence)
			if b < all && Smallest(all, b+1, Confidence) > n {
				t.Errorf("a clean %d of %d excludes %d wrong, but %d are needed for that", n, all, b+1, Smallest(all, b+1, Confidence))
			}
			if b > 0 && Smallest(all, b, Confidence) <= n {
				t.Errorf("a clean %d of %d does not exclude %d wrong, but %d are enough", n, all, b, Smallest(all, b, Confidence))
			}
		}
	}
	for _, c := range []struct {
		n, found int
		share    float64
	}{{59, 0, 0.0495}, {30, 0, 0.0950}, {30, 1, 0.1486}, {50, 2, 0.1206}} {
		const all = 200_000
		if got := float64(Bound(all, c.n, c.found, Confidence)) / all; math.Abs(got-c.share) > 1e-4 {
			t.Errorf("%d with %d found: got %.4f, want %.4f", c.n, c.found, got, c.share)
		}
	}
	if got := Bound(96, 96, 3, Confidence); got != 3 {
		t.Errorf("all looked at: got %d, want what was found", got)
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Before(96, 10), "A clean 10 of 96 only excludes about one in four being wrong: as many as 23 of the 96 could still be (at 95 % confidence)."},
		{Before(96, 96), "Looking at all 96 leaves nothing open."},
		{Before(4, 2), "A clean 2 of 4 would show next to nothing: 2 of them, half, could still be wrong."},
		{Before(96, 2), "A clean 2 of 96 would show next to nothing: 74 of them, more than half, could still be wrong."},
		{Before(0, 0), "There is nothing to sample."},
		{After(96, 24, 2), "2 of the 24 looked at were disagreed with: of the whole list of 96 as many as 21 could be wrong (at 95 % confidence)."},
		{After(10, 10, 1), "1 of 10 were disagreed with, and nothing else was left out."},
		{oneIn(1, 40), "one in 40"},
	} {
		if c.got != c.want {
			t.Errorf("got  %s\nwant %s", c.got, c.want)
		}
	}
	for _, c := range []struct{ all, share, strata, want int }{{96, 10, 4, 10}, {96, 10, 14, 14}, {3, 1, 0, 1}, {2, 100, 5, 2}} {
		if got := Size(c.all, c.share, c.strata); got != c.want {
			t.Errorf("Size(%d, %d, %d) = %d, want %d", c.all, c.share, c.strata, got, c.want)
		}
	}
	if got := EnoughFor(96); got[1] != (Enough{10, 24}) || got[0] != (Enough{20, 12}) {
		t.Errorf("EnoughFor(96) = %v", got)
	}
}
