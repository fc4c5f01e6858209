package pdf

import (
	"fmt"
	"strings"

	"witnessmark/internal/portfolio"
)

// logged is where in the centre's log the decisions stand.
func (p *sheets) logged() []Block {
	bs := []Block{Heading{Level: 1, Title: "Appendix: proofs of the decision log", OnNew: true, Anchor: "log"}}
	l := p.log
	if l == nil {
		return append(bs, Para{Text: Plain("This document was made without proofs of a log: nothing in it shows on its own that a decision was not changed afterwards.")})
	}
	bs = append(bs,
		Para{Text: Plain("The centre enters each decision in a log that can only grow. Every entry is a digest that tells nothing of whom it is about; the digests are joined into one tree, and the centre signs its root. " +
			"An entry whose path leads to a signed root was there when the root was signed, word for word.")},
		Facts{Rows: p.logFacts(l)},
		Working{Label: "The signed state of the log", Lines: lines(l.Checkpoint)},
		QR{Text: l.Checkpoint, Wide: 150, Alt: "The signed state of the log, as printed above, as a code for a phone's camera.",
			Says: Plain("The same as a code. Whoever has kept the state of the log from another day can hold it against this one: the later must continue the earlier.")},
	)
	t := Table{Caption: "Entries that this document rests on", Columns: []Column{
		{Title: "Entry", Fixed: 44, Align: Right}, {Title: "What it records", Share: 1}, {Title: "Entered", Fixed: 112}, {Title: "Start of its digest", Fixed: 104},
	}}
	for _, e := range l.Entries {
		what := Strong(e.Kind)
		if e.What != "" {
			what = Join(what, Plain(", "+e.What))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Plain(fmt.Sprint(e.Index))}, {Text: what}, {Text: Plain(p.when(e.At, "2 Jan 2006, 15:04 MST"))}, {Text: Join(Fixed(first16(e.Digest)), Plain("…"))}}})
	}
	if len(t.Rows) == 0 {
		return append(bs, Para{Text: Plain("None of this document's decisions stands in the log yet.")})
	}
	return append(bs, t)
}

func (p *sheets) logFacts(l *portfolio.LogPage) []Fact {
	facts := []Fact{{"Log", Plain(l.Origin)}, {"Entries in it", Plain(fmt.Sprint(l.Size))}}
	for _, k := range l.Keys {
		facts = append(facts, Fact{"Key of the log", Fixed(k)})
	}
	for _, k := range l.Witnesses {
		facts = append(facts, Fact{"Key of a witness", Fixed(k)})
	}
	if len(l.Witnesses) == 0 {
		facts = append(facts, Fact{"Witnesses", Plain("none: the time of the entries is stated by the centre alone")})
	}
	return facts
}

// lines are the lines of a text.
func lines(s string) []Text {
	var ts []Text
	for line := range strings.Lines(strings.TrimRight(s, "\n")) {
		ts = append(ts, Plain(strings.TrimSuffix(line, "\n")))
	}
	return ts
}
