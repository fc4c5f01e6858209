package pdf

import (
	"fmt"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// widestGrid is how many columns a grid may have; a wider one is set row by row.
const widestGrid = 7

// grid is a functional test: what was set, what was expected and what was found.
func (p *sheets) grid(it *portfolio.ItemSheet) []Block {
	ft := it.Item.Test
	var bs []Block
	if ft.Ordered {
		bs = append(bs, leading(Para{Text: Quiet("The rows were to be done in this order.")}))
	}
	if len(ft.Demands)+len(ft.Checks) <= widestGrid {
		bs = append(bs, p.matrix(it))
	} else {
		bs = append(bs, p.rowByRow(it))
	}
	for i := range it.Findings {
		f := &it.Findings[i]
		if !f.Verdict.Full() || len(f.Flags) > 0 {
			bs = append(bs, Para{Text: Join(Strong(capitalised(partName(it, f.Part))+": "), verdict(f.Verdict), Plain(". "+f.Tutor))})
			for _, flag := range f.Flags {
				bs = append(bs, Para{Text: Plain(flag.Text), Fine: true})
			}
		}
	}
	if d := it.Diagnosis; d != nil {
		bs = append(bs, Para{Text: Join(Strong("What the grid points at, as advice and no mark: "), Plain(d.Tutor))})
	}
	return append(bs, p.superseded(it)...)
}

func capitalised(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// matrix sets a row of the test in a row of the table: each cell says what was found, and what was expected.
func (p *sheets) matrix(it *portfolio.ItemSheet) Table {
	ft := it.Item.Test
	t := Table{Caption: "Set, expected and found", RuleAt: len(ft.Demands) + 1, Columns: []Column{{Title: "Row", Fixed: 26}}}
	for _, d := range ft.Demands {
		t.Columns = append(t.Columns, Column{Title: "Set: " + d, Share: 1})
	}
	for _, c := range ft.Checks {
		t.Columns = append(t.Columns, Column{Title: "Found: " + c.Title, Share: 1})
	}
	last := 70.0
	if slices.ContainsFunc(it.Lines, func(l portfolio.Line) bool { return l.Current != nil && early(l.Current.Order, 0) != nil }) {
		last = 108 // for its words
	}
	t.Columns = append(t.Columns, Column{Title: "Last entered", Fixed: last})
	for i, r := range ft.Rows {
		row := Row{Cells: []Cell{{Text: Plain(fmt.Sprint(i + 1))}}}
		for j := range ft.Demands {
			row.Cells = append(row.Cells, Cell{Text: Plain(nth(r.Set, j))})
		}
		for j, c := range ft.Checks {
			row.Cells = append(row.Cells, Cell{Text: cell(it, r.Key+"/"+c.Key, nth(r.Expect, j))})
		}
		row.Cells = append(row.Cells, Cell{Text: p.rowTime(it, r.Key)})
		t.Rows = append(t.Rows, row)
	}
	return t
}

func nth(ss []string, i int) string {
	if i < len(ss) {
		return ss[i]
	}
	return "–"
}

// cell is what was found in one cell and what was expected, in words where the two differ. What the marker took for the same
// as in the row before is as right as the word for holding.
func cell(it *portfolio.ItemSheet, part, expected string) Text {
	l, f := lineOf(it, part), finding(it, part, brief.NoPhase)
	switch {
	case l == nil || l.Current == nil:
		return Join(Strong("not done"), Quiet("\nexpected "+expected))
	case l.Current.Text == expected:
		return Join(Text{{Text: l.Current.Text, Bold: true, Tone: Good}}, Quiet("\nas expected"))
	case f != nil && f.Verdict.Full():
		return Join(Text{{Text: l.Current.Text, Bold: true, Tone: Good}}, Quiet("\nas in the row before; expected "+expected))
	}
	t := Join(Text{{Text: l.Current.Text, Bold: true, Tone: Wrong}}, Quiet("\nexpected "+expected))
	if f != nil && f.Standing() != nil {
		t = Join(t, Quiet("\noverridden"))
	}
	return t
}

func lineOf(it *portfolio.ItemSheet, part string) *portfolio.Line {
	for i := range it.Lines {
		if it.Lines[i].Part == part {
			return &it.Lines[i]
		}
	}
	return nil
}

// rowTime is when a row's last cell was entered, below what the times of its cells say against them.
func (p *sheets) rowTime(it *portfolio.ItemSheet, key string) Text {
	var last *portfolio.Entry
	var row []*portfolio.Entry
	for i := range it.Lines {
		l := &it.Lines[i]
		if of, _, _ := strings.Cut(l.Part, "/"); of != key || l.Current == nil {
			continue
		}
		if row = append(row, l.Current); last == nil || !l.Current.ReceivedAt.Before(last.ReceivedAt) {
			last = l.Current
		}
	}
	switch {
	case last == nil:
		return Quiet("–")
	case last.CapturedAt.IsZero():
		return Join(rowEarly(row), Plain(p.when(last.ReceivedAt, "2 Jan 2006\n15:04:05 MST")))
	}
	return Join(rowEarly(row), Plain(p.when(last.CapturedAt, "2 Jan 2006\n15:04:05 MST")))
}

// rowEarly is early for the cells of a row, with how many they are where they are not all.
func rowEarly(row []*portfolio.Entry) Text {
	var t Text
	for _, o := range []decision.Order{decision.Before, decision.NotProved} {
		n, of := 0, 0
		for _, e := range row {
			if e.Order == o {
				n, of = n+1, e.HoldOf
			}
		}
		if n > 0 && n < len(row) {
			t = Join(t, Strong(fmt.Sprintf("%d of %d: ", n, len(row))))
		}
		if n > 0 {
			t = Join(t, early(o, of))
		}
	}
	return t
}

// rowByRow sets a wide test with a line for each check under the state that was set up.
func (p *sheets) rowByRow(it *portfolio.ItemSheet) Table {
	ft := it.Item.Test
	t := Table{Caption: "Set, expected and found", Columns: []Column{{Title: "Check", Share: 1}, {Title: "Expected", Share: 1}, {Title: "Found", Share: 1}, {Title: "Finding", Share: 1}}}
	for i, r := range ft.Rows {
		var set []string
		for j, d := range ft.Demands {
			set = append(set, d+" "+nth(r.Set, j))
		}
		t.Rows = append(t.Rows, Row{Group: true, Cells: []Cell{{Text: Join(Plain(fmt.Sprintf("%d  Set: %s", i+1, strings.Join(set, ", "))), Quiet("  "), p.rowTime(it, r.Key))}}})
		for j, c := range ft.Checks {
			part, seen := r.Key+"/"+c.Key, Strong("not done")
			if l := lineOf(it, part); l != nil && l.Current != nil {
				seen = Strong(l.Current.Text)
			}
			t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Plain(c.Title)}, {Text: Plain(nth(r.Expect, j))}, {Text: seen}, {Text: found(finding(it, part, brief.NoPhase))}}})
		}
	}
	return t
}

// sequence is steps with the times at which they were done.
func (p *sheets) sequence(it *portfolio.ItemSheet) []Block {
	t := Table{Caption: "Steps in order", Columns: []Column{{Title: "Step", Fixed: 30}, {Title: "What was to be done", Share: 1}, {Title: "Done", Fixed: 54}, {Title: "Phone and received", Fixed: 148}}}
	for i := range it.Lines {
		l := &it.Lines[i]
		done, when := Strong("not done"), Text(nil)
		if e := l.Current; e != nil {
			done, when = Text{{Text: e.Text, Bold: true, Tone: Good}}, p.times(e)
			if n := note(e); n != nil {
				when = Join(when, n)
			}
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Plain(fmt.Sprint(i + 1))}, {Text: Plain(l.Label)}, {Text: done}, {Text: when}}})
	}
	if f := finding(it, "", brief.NoPhase); f != nil {
		what := Quiet("Finding")
		for _, k := range said(f, "") {
			what = Join(what, Quiet("\n"), k.Text)
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{}, {Text: what}, {Text: found(f), Span: 2}}})
	}
	return append([]Block{t}, p.superseded(it)...)
}

// words is an item that is answered in words: an observation, a choice, a written answer, a confirmation.
func (p *sheets) words(it *portfolio.ItemSheet) []Block {
	asked, label := asks(it.Item)
	l := &it.Lines[0]
	facts := []Fact{{"Asked", Plain(asked)}}
	given := Quiet("–")
	if l.Current != nil {
		given = Strong(l.Current.Text)
		if it.Item.Form() == brief.FormAnswer {
			given = Plain(l.Current.Text)
		}
	}
	facts = append(facts, Fact{label, given})
	if f := finding(it, "", brief.NoPhase); f != nil {
		if f.Expected != "" && it.Item.Form() != brief.FormConfirm {
			facts = append(facts, Fact{"Checked answer", Plain(f.Expected)})
		}
		if f.ExpectedOwn != "" && f.ExpectedOwn != f.Expected {
			facts = append(facts, Fact{"From own figures", Plain(f.ExpectedOwn)})
		}
		facts = append(facts, Fact{"Finding", found(f)})
		if !f.Verdict.Full() || len(f.Flags) > 0 {
			facts = append(facts, said(f, "The marker")...)
		}
	} else if it.Item.Form() == brief.FormAnswer {
		facts = append(facts, Fact{"Finding", Quiet("written answers are read by the tutor; the decision on the criterion says what came of it")})
	}
	if l.Current != nil {
		facts = append(facts, p.entered(l.Current)...)
	}
	bs := []Block{Facts{Rows: facts}}
	if l.Current != nil && strings.TrimSpace(l.Current.Working) != "" {
		bs = append(bs, writtenWorking(l.Current.Working))
	}
	bs = append(bs, workedOut(it.Explained)...)
	return append(bs, p.superseded(it)...)
}

// asks is what an item answered in words asks, and what the answer is called.
func asks(it *brief.Item) (asked, label string) {
	switch it.Form() {
	case brief.FormObservation:
		return "one of: " + strings.Join(it.Observation.Options, "; "), "Seen"
	case brief.FormChoice:
		return it.Choice.Ask, "Chosen"
	case brief.FormAnswer:
		return it.Answer.Ask, "Written"
	case brief.FormConfirm:
		return "“" + it.Confirm.Text + "”", "Confirmed"
	}
	return it.Title, "Given"
}
