package uncertainty

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// JCGM 100:2008, Table G.2, to more digits than printed there.
func TestStudentTable(t *testing.T) {
	// The table's heads are rounded: 95.45 % is 2σ and 99.73 % 3σ in name, and the file's values are for just these
	// shares.
	n := 0
	for _, r := range rows(t) {
		head, ok := strings.CutPrefix(r.quantity, "t quantile p=")
		if !ok {
			continue
		}
		var p, dof float64
		if _, err := fmt.Sscanf(head, "%f%%", &p); err != nil {
			t.Fatal(err)
		}
		if _, err := fmt.Sscanf(r.inputs, "dof=%f", &dof); err != nil {
			t.Fatal(err)
		}
		same(t, r.quantity+" "+r.inputs, Factor(p/100, dof), r)
		n++
	}
	if n != 45 {
		t.Errorf("%d rows of the table, want 45", n)
	}
}

// The share below t, integrated from the density with Lgamma, does not know of the finite sums.
func TestStudentAgainstIntegration(t *testing.T) {
	for _, dof := range []float64{1, 2, 3, 4, 7, 16, 51, 200, 2000, 2001, 50000} {
		for _, p := range []float64{0.5, 0.6827, 0.9, Coverage, 0.99, 0.9973} {
			got := Factor(p, dof)
			near(t, fmt.Sprintf("share within %v on %v degrees", got, dof), integrated(got, dof), p, 2e-7)
		}
	}
}

// integrated is the share of Student's t between −t and t by Simpson's rule over the angle, where the density is smooth.
func integrated(x, dof float64) float64 {
	a, _ := math.Lgamma((dof + 1) / 2)
	b, _ := math.Lgamma(dof / 2)
	scale := math.Exp(a-b) / math.Sqrt(math.Pi)
	const n = 20000
	top := math.Atan(x / math.Sqrt(dof))
	h, sum := top/n, 0.0
	for i := range n + 1 {
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		sum += w * math.Pow(math.Cos(float64(i)*h), dof-1)
	}
	return 2 * scale * sum * h / 3
}

func TestFactor(t *testing.T) {
	near(t, "no end of degrees", Factor(Coverage, 0), 2, 1e-12)
	near(t, "infinity is the same", Factor(Coverage, math.Inf(1)), 2, 1e-12)
	near(t, "truncated down", Factor(0.95, 16.99), Factor(0.95, 16), 0)
	near(t, "below one counts as one", Factor(0.95, 0.3), Factor(0.95, 1), 0)
	near(t, "1.96", Factor(0.95, 0), 1.959963985, 1e-8)
	near(t, "no jump where one way gives way to the other", Factor(0.99, manyDoF), Factor(0.99, manyDoF+1), 2e-6)
	for _, p := range []float64{0.6, 0.95, 0.9973} {
		for n := 1.0; n < 300; n++ {
			if Factor(p, n) <= Factor(p, n+1) {
				t.Errorf("more degrees of freedom than %v do not lower t for %v", n, p)
			}
		}
	}
}
