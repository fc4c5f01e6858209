package ui

import (
	"html/template"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/decision"
)

// What the marker finds right is one line; what it does not is listed beside its criterion with a link to it.
func TestWhatStandsOutIsListed(t *testing.T) {
	v := newSheetView(sampleSheet(t, decision.Checked), Form{})
	v.Judge = true
	p := newJudgePage(v)
	if p.Next() == nil || p.Next().Ref != p.Criteria[0].Ref {
		t.Errorf("next is %v, want the first criterion", p.Next())
	}
	var why []string
	for _, k := range p.Criteria {
		for _, l := range k.Look() {
			if l.Item.Key == "heat" { // fillSheet has two of its digits changed round
				why = l.Why
			}
			if l.Item.Key == "qv" { // recorded, and that is all
				t.Errorf("the flow is recorded, and stands out all the same: %v", l.Why)
			}
		}
	}
	if !slices.Contains(why, "not right yet") {
		t.Errorf("the heat stands out for %q, want \"not right yet\"", why)
	}
	for _, st := range v.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Attend() && l.Quiet() {
					t.Errorf("%s is quiet and wants attention", l.Name())
				}
			}
		}
	}
}

func TestLaterLeavesTheSameDayOut(t *testing.T) {
	for _, c := range []struct {
		after time.Duration
		want  string
	}{{time.Hour, "15:05"}, {24 * time.Hour, "4 May 2026, 14:05"}, {10 * time.Hour, "4 May 2026, 00:05"}} {
		if got := later(when, when.Add(c.after)); got != c.want { // when is 14:05 in London's summer time
			t.Errorf("%v later: %q, want %q", c.after, got, c.want)
		}
	}
}

func TestFormulasAreTypesetAndEscaped(t *testing.T) {
	for _, c := range []struct {
		source string
		want   template.HTML
	}{
		{"(tf - tr) / 2", "<mfrac>"},
		{"sqrt(p1)", "<msqrt>"},
		{"tf -", "<code>tf -</code>"},
		{`<img src=x onerror="alert(1)">`, "<code>&lt;img src=x onerror=&#34;alert(1)&#34;&gt;</code>"},
	} {
		if got := typeset(c.source); !strings.Contains(string(got), string(c.want)) {
			t.Errorf("%s: %s, want %s in it", c.source, got, c.want)
		}
	}
}

func TestFiguresAreWorkedOutOnThePage(t *testing.T) {
	u := newUI(t)
	v := newSheetView(sampleSheet(t, decision.Checked), Form{})
	v.Judge = true
	page := draw(t, u, newJudgePage(v))
	for _, want := range []string{"How it is worked out", "worked out above", "Accepted:", "their own earlier figures", `role="math" aria-label="heat equals`, "<mfrac>"} {
		if !strings.Contains(page, want) {
			t.Errorf("the tutor's sheet does not hold %q", want)
		}
	}
	own := newSheetView(sampleSheet(t, decision.Checked), Form{})
	if page := draw(t, u, &WorkPage{Sheet: own}); strings.Contains(page, "worked out") || strings.Contains(page, "<math") {
		t.Error("a trainee's sheet shows working while it waits for the tutor")
	}
}
