package marking

import (
	"fmt"
	"math"
	"runtime"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// bulkBriefs are marked both ways: the rig's, and examples with chains of figures, choices and limits.
var bulkBriefs = []string{"bay7.yaml", "measured.yaml", "EX-01.yaml", "EX-02.yaml", "EX-05.yaml", "EX-09.yaml"}

// The two ways of marking agree on every figure: verdict, reason, slip, and the flags that a code has.
func TestBulkAgreesWithMark(t *testing.T) {
	tally := map[string]int{} // over all briefs: one alone may draw no figure that is right
	for _, name := range bulkBriefs {
		t.Run(name, func(t *testing.T) {
			c := compiled(t, name)
			b := NewBulk(c, 8)
			codes := b.NewCodes()
			rapid.Check(t, func(t *rapid.T) {
				block := b.NewBlock()
				var sheets []Sheet
				for range rapid.IntRange(1, 8).Draw(t, "rows") {
					s := drawSheet(t, c)
					b.Add(block, s)
					sheets = append(sheets, s)
				}
				b.Mark(block, codes)
				for row, s := range sheets {
					r := Mark(c, s)
					for i, it := range b.Figures() {
						f := findingOf(r, it.Item.Key)
						tally[f.Code]++
						if got, want := codeWords(it, codes[i][row]), findingWords(f); got != want {
							t.Fatalf("%s stated %q: bulk says %s, Mark %s", it.Item.Key, f.Stated, got, want)
						}
					}
				}
			})
		})
	}
	if tally[codeWithin]+tally[codeFollows] == 0 || tally[codeOutside] == 0 {
		t.Errorf("the sheets were all of one kind: %v", tally)
	}
}

func findingOf(r Result, item string) *Finding {
	for i := range r.Findings {
		if r.Findings[i].Item == item {
			return &r.Findings[i]
		}
	}
	return nil
}

// codeWords and findingWords say the same of what both ways of marking know.
func codeWords(it *brief.CompiledItem, c Code) string {
	slip := ""
	if i := c.Slip(); i >= 0 {
		slip = it.Wrongs().Ways[i].Key
	}
	return fmt.Sprintf("%s/%s slip %q several %v inconsistent %v label %v", c.Verdict(), c.Reason(), slip, c.Candidates(), c.Inconsistent(), c.UnitLabel())
}

func findingWords(f *Finding) string {
	slip := ""
	if f.Slip != nil {
		slip = f.Slip.Key
	}
	return fmt.Sprintf("%s/%s slip %q several %v inconsistent %v label %v", f.Verdict, f.Code, slip, len(f.Candidates) > 0, hasFlag(f, FlagInconsistent), hasFlag(f, FlagUnitLabel))
}

// drawSheet fills a sheet in from top to bottom as trainees do: mostly right, or right from an earlier slip, or slipped,
// or something else altogether.
func drawSheet(t *rapid.T, c *brief.Compiled) Sheet {
	model := ModelSheet(c)
	s := Sheet{Given: model.Given}
	for i := range c.Items {
		it := &c.Items[i]
		for _, slot := range it.Item.Slots() {
			e := Entry{Item: it.Item.Key, Part: slot.Part, Phase: slot.Phase}
			for _, have := range model.Entries {
				if have.Item == e.Item && have.Part == e.Part && have.Phase == e.Phase {
					e = have
				}
			}
			switch {
			case it.Item.Reading != nil:
				e.Text = drawReading(t, e.Text)
			case it.Item.Figure != nil:
				e.Text, e.Unit = drawFigure(t, c, s, i)
			}
			s.Entries = append(s.Entries, e)
		}
	}
	return s
}

func drawReading(t *rapid.T, model string) string {
	switch x, err := strconv.ParseFloat(model, 64); rapid.IntRange(0, 19).Draw(t, "reading") {
	case 0:
		return ""
	case 1:
		return ">200"
	case 2:
		return "1,5"
	default:
		if err != nil {
			return model
		}
		return strconv.FormatFloat(x*rapid.Float64Range(0.9, 1.1).Draw(t, "by"), 'g', 3, 64)
	}
}

// drawFigure states a figure over the sheet so far.
func drawFigure(t *rapid.T, c *brief.Compiled, s Sheet, item int) (text, unit string) {
	m := newMarker(c, s)
	for i := range item {
		m.item(i)
	}
	it := &c.Items[item]
	x := m.evaluate(it.Formula, it.Unit, rapid.Bool().Draw(t, "own"))
	switch rapid.IntRange(0, 11).Draw(t, "kind") {
	case 0:
		return rapid.SampledFrom([]string{"", "2,47", ">7", "OL", "about 7", "1e40", "7 furlongs", "0", "12 K"}).Draw(t, "odd"), ""
	case 1, 2, 3, 4:
		w := it.Wrongs()
		if len(w.Ways) == 0 {
			break
		}
		var in []float64
		for _, n := range w.Needs {
			v := m.values[n]
			in = append(in, v.given)
			if v.ownKnown && rapid.Bool().Draw(t, "from own") {
				in[len(in)-1] = v.own
			}
		}
		si, ok := w.Family.Result(w.Family.Eval(in, nil), rapid.IntRange(0, len(w.Ways)-1).Draw(t, "way"))
		x = reference{value: it.Unit.FromSI(si), known: ok}
	case 5:
		x.value *= rapid.SampledFrom([]float64{1000, 0.001, 60, 1 + 1e-9, 0.97, 1.03, 1.1}).Draw(t, "factor")
	}
	if !x.known || !finite(x.value) || math.Abs(x.value) > 1e20 {
		x.value = 7
	}
	return drawDigits(t, x.value), drawUnit(t, it.Unit)
}

func drawDigits(t *rapid.T, x float64) string {
	figures := rapid.IntRange(1, 8).Draw(t, "figures")
	text := strconv.FormatFloat(x, 'g', figures, 64)
	if rapid.Bool().Draw(t, "whole") { // 15 800, whose zeros may not count
		text = quantity.RoundFigures(x, figures)
	}
	return text
}

// drawUnit is mostly the asked unit or none; else its thousandfold or another altogether.
func drawUnit(t *rapid.T, asked quantity.Unit) string {
	u := rapid.SampledFrom([]string{"", asked.String(), asked.String(), asked.String(), asked.String(), asked.String(), "k", "m", rapid.SampledFrom([]string{"kg", "W", "°C", "mbar"}).Draw(t, "other")}).Draw(t, "unit")
	if len(u) == 1 && u != "W" {
		u += asked.String()
	}
	if _, err := quantity.ParseUnit(u); err != nil {
		return ""
	}
	return u
}

// A run takes what NewBulk took, however much passes through.
func TestBulkMarksWithoutAllocating(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	b := NewBulk(c, 64)
	block, codes := b.NewBlock(), b.NewCodes()
	for range 64 {
		b.Add(block, submitted(t))
	}
	b.Mark(block, codes) // the first run makes its room
	runtime.GC()
	if n := testing.AllocsPerRun(10, func() { b.Mark(block, codes) }); n > 0 {
		t.Errorf("%v allocations a block", n)
	}
}

func TestCodesSayWhatTheyHold(t *testing.T) {
	for i := range outcomes {
		if o := outcomeOf(outcomes[i].verdict, outcomes[i].reason); int(o) != i {
			t.Errorf("%v stands at %d and at %d", outcomes[i], i, o)
		}
	}
	c := Code(outcomeOutside) | codeUnitLabel
	if c.Slip() != -1 || c.Candidates() || !c.UnitLabel() || c.Inconsistent() || c.Verdict() != Wrong || c.Reason() != codeOutside {
		t.Errorf("got %s %s, slip %d", c.Verdict(), c.Reason(), c.Slip())
	}
	if c := c.withSlip(0); c.Slip() != 0 || c.Candidates() {
		t.Errorf("got slip %d", c.Slip())
	}
	if c := c.withSlip(severalSlips); c.Slip() != -1 || !c.Candidates() || !c.UnitLabel() {
		t.Errorf("got slip %d", c.Slip())
	}
	if c := Code(0); c.Verdict() != "" || c.Slip() != -1 {
		t.Errorf("the zero code says %q", c.Verdict())
	}
}
