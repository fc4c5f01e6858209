package marking

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

// sizes is bay7.yaml with the vessel's size taken exactly and the slips given: each a key and a formula.
func sizes(t *testing.T, slips ...brief.Slip) *brief.Compiled {
	t.Helper()
	b := *compiled(t, "bay7.yaml").Brief
	b.Stages = slices.Clone(b.Stages)
	for i := range b.Stages {
		b.Stages[i].Items = slices.Clone(b.Stages[i].Items)
		for j := range b.Stages[i].Items {
			if it := &b.Stages[i].Items[j]; it.Key == "size" {
				choice, size := *it.Choice, *it.Choice.Size
				size.Larger, choice.Size, choice.Slips = false, &size, slips
				it.Choice = &choice
			}
		}
	}
	c, problems := brief.Compile(&b, functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

// Twice 3.84 L asks for 8 L; once leads to 5 L, and to 12 L from the 12 L that one trainee stated.
func TestPolicy15SlipsOfASize(t *testing.T) {
	single := brief.Slip{Key: "single", Is: "forgot to double", Formula: "Ve"}
	nearly := brief.Slip{Key: "nearly", Is: "added a little", Formula: "Ve × 1.1"}
	five := brief.Slip{Key: "five", Is: "took the smallest", Option: "5 L"}
	for _, row := range []struct {
		name  string
		slips []brief.Slip
		do    []change
		slip  string
		also  string
	}{
		{"from the given values", []brief.Slip{single}, []change{put("size", "5 L")}, "single", ""},
		{"from the trainee's own", []brief.Slip{single}, []change{put("Ve", "12"), put("size", "12 L")}, "single", ""},
		{"none leads there", []brief.Slip{single}, []change{put("size", "12 L")}, "", ""},
		{"two lead there", []brief.Slip{single, nearly}, []change{put("size", "5 L")}, "", "forgot to double; added a little"},
		{"by its option", []brief.Slip{five}, []change{put("size", "5 L")}, "five", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := sizes(t, row.slips...)
			s := bay7(t, c)
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), "size")
			var also []string
			for _, m := range f.Candidates {
				also = append(also, m.Is)
			}
			if got := strings.Join(also, "; "); f.Verdict != Wrong || slipOf(f) != row.slip || got != row.also {
				t.Errorf("got %s, slip %q, candidates %q; want %q, %q\n%s", f.Verdict, slipOf(f), got, row.slip, row.also, f.Tutor)
			}
			if row.also != "" && !strings.Contains(f.Tutor, "More than one slip fits: "+row.also) {
				t.Errorf("the tutor reads %q", f.Tutor)
			}
		})
	}
}
