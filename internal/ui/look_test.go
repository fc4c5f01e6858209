package ui

import (
	"html/template"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
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

func TestFiguresAndChoicesAreWorkedOutOnThePage(t *testing.T) {
	u := newUI(t)
	v := newSheetView(sampleSheet(t, decision.Checked), Form{})
	v.Judge = true
	page := draw(t, u, newJudgePage(v))
	for _, want := range []string{"How it is worked out", "worked out above", "Accepted:", "their own earlier figures", `role="math" aria-label="heat equals`, "<mfrac>", "so it is this one: it gives the load.", `<span class="soft">does not hold</span>`} {
		if !strings.Contains(page, want) {
			t.Errorf("the tutor's sheet does not hold %q", want)
		}
	}
	own := newSheetView(sampleSheet(t, decision.Checked), Form{})
	if page := draw(t, u, &WorkPage{Sheet: own}); strings.Contains(page, "worked out") || strings.Contains(page, "<math") {
		t.Error("a trainee's sheet shows working while it waits for the tutor")
	}
}

// A reference is shown with one digit more than was stated, and never with so few that it says another thing than the
// sentence beside it.
func TestReferencesHaveDigitsEnough(t *testing.T) {
	for _, c := range []struct {
		ref      float64
		decimals int // as stated; -1 where nothing could be read
		want     string
	}{{15.789755, 1, "15.79"}, {6.8291418, 0, "6.83"}, {0.12485214, 2, "0.125"}, {0.000094178, 1, "0.0000942"}, {18, 0, "18.0"}, {0, 1, "0.00"}, {6.8291418, -1, "6.829"}} {
		if got := shown(c.ref, c.decimals); got != c.want {
			t.Errorf("%v beside %d decimals: %q, want %q", c.ref, c.decimals, got, c.want)
		}
	}
}

// A unit stands beside an answer only where the trainee stated it or the form prints it.
func TestNoUnitIsPutIntoAnAnswer(t *testing.T) {
	for _, c := range []struct {
		text, typed string
		ask         bool
		want        string
	}{{"18.5", "", false, "kW"}, {"18.5", "W", false, "W"}, {"18.5", "", true, ""}, {"18.5", "kW", true, "kW"}, {"18.5 kW", "", false, ""}, {"97 %", "", false, ""}, {"OL", "", false, ""}, {"> 200.", "", false, "kW"}} {
		l := LineView{Of: &ItemView{}}
		l.Of.Item = &brief.Item{Figure: &brief.Figure{AskUnit: c.ask}}
		l.Unit = "kW"
		l.Entry = &app.LineEntry{Text: c.text, Unit: c.typed}
		if got := l.StatedUnit(); got != c.want {
			t.Errorf("%q in %q, asked for: %v: unit %q, want %q", c.text, c.typed, c.ask, got, c.want)
		}
	}
}
