package marking

import "testing"

// What uncertainty costs: the same sheet without accuracies, with them, and with a limit so near that trials decide.
func BenchmarkUncertainty(b *testing.B) {
	for _, row := range []struct {
		name     string
		accuracy bool
		flow     string
	}{
		{"no-accuracy", false, "70.0"}, {"first-order", true, "74.0"}, {"trials", true, "67.8"},
	} {
		b.Run(row.name, func(b *testing.B) {
			c := compiled(b, measured)
			for i := range c.Items {
				if !row.accuracy {
					c.Items[i].Accuracy, c.Items[i].Guard = nil, nil
				}
			}
			s := ModelSheet(c)
			put("tf@as-left", row.flow)(&s)
			for b.Loop() {
				Mark(c, s)
			}
		})
	}
}
