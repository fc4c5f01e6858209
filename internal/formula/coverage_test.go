package formula

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestSelection: nth, symmetric and shortest give what sorting everything gives, equal values among them.
func TestSelection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-10, 10), rapid.SampledFrom([]float64{0, 1, 2})), 2, 300).Draw(t, "values")
		share := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 0.99, 0.3}).Draw(t, "share")
		sorted := slices.Sorted(slices.Values(values))
		n, k := len(values), rapid.IntRange(0, len(values)-1).Draw(t, "k")
		work := slices.Clone(values)
		if got := nth(work, k); got != sorted[k] || slices.Max(work[:k+1]) != got || slices.Min(work[k:]) != got {
			t.Fatalf("value %d of %v is %v, want %v; left as %v", k, values, got, sorted[k], work)
		}
		q := covering(n, share)
		r := max((n-q+1)/2, 1)
		if got, want := symmetric(slices.Clone(values), share), (Interval{sorted[r-1], sorted[r-1+q]}); got != want {
			t.Fatalf("%v of %v: symmetric %v, want %v", share, values, got, want)
		}
		width := sorted[n-1] - sorted[0]
		for i := 0; i+q < n; i++ {
			width = min(width, sorted[i+q]-sorted[i])
		}
		if got := shortest(slices.Clone(values), share); got.Hi-got.Lo != width || !slices.Contains(values, got.Lo) || !slices.Contains(values, got.Hi) {
			t.Fatalf("%v of %v: shortest %v, want a width of %v", share, values, got, width)
		}
	})
}

// TestSelectionWorstCase: values in any order take no longer than sorting does.
func TestSelectionWorstCase(t *testing.T) {
	const n = 200_000
	for name, value := range map[string]func(i int) float64{
		"equal": func(int) float64 { return 1 }, "rising": func(i int) float64 { return float64(i) }, "falling": func(i int) float64 { return float64(-i) },
		"an organ's pipes": func(i int) float64 { return float64(min(i, n-i)) },
	} {
		values := make([]float64, n)
		for i := range values {
			values[i] = value(i)
		}
		sorted := slices.Sorted(slices.Values(values))
		if got := nth(values, n/3); got != sorted[n/3] {
			t.Errorf("%s: %v, want %v", name, got, sorted[n/3])
		}
	}
}
