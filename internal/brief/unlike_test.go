package brief_test

import (
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

func TestUnlike(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*brief.Brief)
		want   string // part of what is said; "" for nothing
	}{
		{"nothing", func(*brief.Brief) {}, ""},
		{"a formula, a tolerance and a title", func(b *brief.Brief) {
			it, _, _ := b.Item("heat")
			it.Title, it.Figure.Formula, it.Figure.Tolerance.Relative = "Heat given out", "1.1 × "+it.Figure.Formula, "5 %"
		}, ""},
		{"an item gone", func(b *brief.Brief) { b.Stages[0].Items = b.Stages[0].Items[1:] }, "is gone"},
		{"an item new", func(b *brief.Brief) {
			b.Stages[0].Items = append(b.Stages[0].Items, brief.Item{Key: "more", Title: "More", Answer: &brief.Answer{}})
		}, "More is new"},
		{"another form", func(b *brief.Brief) {
			it, _, _ := b.Item("heat")
			it.Figure, it.Answer = nil, &brief.Answer{}
		}, "filled in another way"},
		{"more repeats", func(b *brief.Brief) {
			it, _, _ := b.Item("qv")
			it.Reading.Repeats = 4
		}, "filled in another way"},
		{"a criterion gone", func(b *brief.Brief) { b.Criteria = b.Criteria[:1] }, "other criteria"},
		{"a given value drawn", func(b *brief.Brief) { b.Given = append(b.Given, brief.Given{Name: "x", From: "1 m", To: "2 m"}) }, "drawn for each trainee"},
	} {
		now := sample.Brief()
		c.change(now)
		got := strings.Join(brief.Unlike(sample.Brief(), now), " ")
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want %q in it", c.name, got, c.want)
		}
	}
}
