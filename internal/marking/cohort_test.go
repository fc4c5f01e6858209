package marking

import (
	"strings"
	"testing"
)

func TestCohortSumsUp(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	var sum Cohort
	if got := sum.Table(); got != "" {
		t.Errorf("nobody is in it, and it says %q", got)
	}
	right := bay7(t, c)
	slipped := bay7(t, c)
	put("P", "947", "kW")(&slipped)
	sum.Add("T-01\tright", Mark(c, right))
	sum.Add("T-02", Mark(c, slipped))
	sum.Add("T-03", Mark(c, slipped))
	sum.Add("T-04", Mark(c, Sheet{}))
	got := sum.Table()
	for _, want := range []string{
		"\nT-01 right ", "\nT-04 ", "4 submissions marked; nothing is left to be desired on 1",
		"litres per minute taken as litres per second (2)",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	for line := range strings.Lines(got) {
		if strings.HasPrefix(line, "P ") && !strings.HasPrefix(line, "P                 1      ·         2          ·        1 ") {
			t.Errorf("the row of P reads %q", line)
		}
	}
}
