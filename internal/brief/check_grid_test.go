package brief_test

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// gridCase is a mistake in the sample's grid or steps, and what Check says of it.
type gridCase struct {
	name    string
	change  func(*brief.Brief)
	path    string // below the item
	text    string
	warning bool
}

const demand, isolation = "stages[1].items[0].functional-test.", "stages[0].items[1].sequence."

func test(b *brief.Brief) *brief.FunctionalTest { return item(b, "demand").Test }

func step(b *brief.Brief) *brief.Step { return &item(b, "isolation").Sequence.Steps[2] }

func TestCheckGrids(t *testing.T) {
	for _, c := range []gridCase{
		{"held is no option", func(b *brief.Brief) { test(b).Checks[1].Held = "helt" }, demand + "checks[1].held", "none of the options of “valve”. Did you mean “held”?", false},
		{"held without an order", func(b *brief.Brief) { test(b).Ordered = false }, demand + "checks[1].held", "Add “ordered: true”", false},
		{"held before anything", func(b *brief.Brief) { r := test(b).Rows; r[0], r[2] = r[2], r[0] }, demand + "rows[0].expect[1]", "Nobody knows what was held", true},
		{"a state missing", func(b *brief.Brief) {
			test(b).Rows = test(b).Rows[:3]
		}, demand + "complete", "1 of 4 states have no row: “room thermostat satisfied, cylinder thermostat calls”. Add a row", false},
		{"many states missing", func(b *brief.Brief) {
			test(b).Rows = append(test(b).Rows,
				brief.TestRow{Key: "a", Set: []string{"broken", "calls"}, Expect: []string{"stands", "held"}},
				brief.TestRow{Key: "b", Set: []string{"calls", "broken"}, Expect: []string{"stands", "held"}})
		}, demand + "complete", "3 of 9 states have no row", false},
		{"more states than rows", func(b *brief.Brief) {
			for j := range 5 {
				test(b).Demands = append(test(b).Demands, fmt.Sprint("switch ", j))
				for i := range test(b).Rows {
					test(b).Rows[i].Set = append(test(b).Rows[i].Set, fmt.Sprint(i))
				}
			}
		}, demand + "complete", "more than 100 states", false},
		{"fault in no row", func(b *brief.Brief) { test(b).Faults[0].Shows[0].Row = "heating" }, demand + "faults[0].shows[0].row", "no row “heating”", false},
		{"fault twice in a row", func(b *brief.Brief) { test(b).Faults[0].Shows[1].Row = "heat" }, demand + "faults[0].shows[1].row", "second time", false},
		{"fault of too few cells", func(b *brief.Brief) { test(b).Faults[0].Shows[0].Cells = []string{"stands"} }, demand + "faults[0].shows[0].cells", "there are 2 checks", false},
		{"fault with another word", func(b *brief.Brief) { test(b).Faults[0].Shows[0].Cells[0] = "stand" }, demand + "faults[0].shows[0].cells[0]", "Did you mean “stands”?", false},
		{"fault that shows nothing", func(b *brief.Brief) {
			test(b).Faults[0].Shows = []brief.FaultRow{{Row: "heat", Cells: []string{"runs", ""}}}
		}, demand + "faults[0].shows", "the grid is as expected", false},
		{"fault that shows what is held", func(b *brief.Brief) {
			// "none" comes after "both", which leaves the valve at mid.
			test(b).Faults[0].Shows = []brief.FaultRow{{Row: "none", Cells: []string{"", "mid"}}}
		}, demand + "faults[0].shows", "the grid is as expected", false},
		{"faults of one name", func(b *brief.Brief) {
			other := test(b).Faults[0]
			other.Shows = other.Shows[:1]
			test(b).Faults = append(test(b).Faults, other)
		}, demand + "faults[1].key", "second time", false},
		{"faults that show the same", func(b *brief.Brief) {
			other := test(b).Faults[0]
			other.Key = "grey-loose"
			test(b).Faults = append(test(b).Faults, other)
		}, demand + "faults[1]", "“grey-broken” and “grey-loose” cannot be told apart", true},
		{"where to look without a caution", func(b *brief.Brief) { test(b).Faults[0].Look = "at the cylinder thermostat" }, demand + "faults[0].look", "End it with “dead and isolated”", true},
		{"first step after nothing", func(b *brief.Brief) { item(b, "isolation").Sequence.Steps[0].Wait = "10 s" }, isolation + "steps[0]", "this is the first one", false},
		{"time in another unit", func(b *brief.Brief) { step(b).Wait = "10 m" }, isolation + "steps[2].wait", "", false},
		{"time without a unit", func(b *brief.Brief) { step(b).Wait = "10" }, isolation + "steps[2].wait", "The unit is missing", false},
		{"no time at all", func(b *brief.Brief) { step(b).Within = "0 s" }, isolation + "steps[2].within", "more than nothing", false},
		{"times that nobody keeps", func(b *brief.Brief) { step(b).Wait = "20 min" }, isolation + "steps[2]", "Nobody can keep both", false},
		{"months", func(b *brief.Brief) { step(b).Wait, step(b).Within = "1000 h", "" }, isolation + "steps[2].wait", "longer than a month", false},
		{"question of nothing", func(b *brief.Brief) { b.Stages[0].Questions[0].Ask = " " }, "stages[0].questions[0].ask", "is empty", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := sample.Brief()
			c.change(b)
			ps := brief.Check(b, functions(), known)
			found := false
			for _, p := range ps {
				found = found || p.Path == c.path && strings.Contains(p.Text+" "+p.Hint, c.text) && p.Warning == c.warning
			}
			if !found || len(ps) > 3 {
				t.Errorf("want a problem (warning %v) at %s with %q, and not more than three; got:\n%v", c.warning, c.path, c.text, ps)
			}
		})
	}
}

// A place without mains needs no caution, nor does a test that is done dead.
func TestCheckLook(t *testing.T) {
	for _, change := range []func(*brief.Brief){
		func(b *brief.Brief) { test(b).Faults[0].Look = "at the valve's ports: which pipe is warm?" },
		func(b *brief.Brief) { test(b).Faults[0].Look = "At the wiring centre, grey; dead and isolated." },
		func(b *brief.Brief) { test(b).Faults[0].Look, test(b).Live = "at the wiring centre, grey", false },
	} {
		b := sample.Brief()
		change(b)
		if ps := brief.Check(b, functions(), known); len(ps) > 0 {
			t.Errorf("%q:\n%v", test(b).Faults[0].Look, ps)
		}
	}
}
