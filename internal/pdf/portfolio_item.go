package pdf

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
)

// item is one evidence item: what was asked, what was handed in, what was found and what a person put in its place.
func (p *sheets) item(it *portfolio.ItemSheet) []Block {
	bs := []Block{Heading{Level: 3, Title: fmt.Sprintf("%d  %s", it.Number, it.Item.Title), Anchor: it.Anchor}, before{Para{Text: p.itemFacts(it), Fine: true}}}
	for _, para := range paragraphs(it.Item.About) {
		bs = append(bs, leading(para))
	}
	switch it.Item.Form() {
	case brief.FormPhoto:
		bs = append(bs, leading(Para{Text: Join(Quiet("Must be visible: "), Plain(strings.Join(it.Item.Photo.Visible, "; ")+"."))}))
	case brief.FormDocument:
		bs = append(bs, leading(Para{Text: Join(Quiet("Asked: "), Plain(it.Item.Document.Is))}))
	case brief.FormReading:
		bs = append(bs, p.reading(it)...)
	case brief.FormTest:
		bs = append(bs, p.grid(it)...)
	case brief.FormSequence:
		bs = append(bs, p.sequence(it)...)
	case brief.FormFigure:
		bs = append(bs, p.figure(it)...)
	case brief.FormObservation, brief.FormChoice, brief.FormAnswer, brief.FormConfirm:
		bs = append(bs, p.words(it)...)
	}
	bs = append(bs, p.overrides(it)...)
	if !it.Filled() {
		bs = append(bs, Para{Text: Plain("Nothing was handed in for this item.")})
	}
	if len(it.Files) > 0 && it.Item.Photo == nil && it.Item.Document == nil {
		bs = append(bs, leading(Para{Text: Quiet("From paper, photo of the sheet:")}))
	}
	return append(bs, p.pictures(it.Files)...)
}

// before is a paragraph that leads up to what comes after it and stays with it.
type before struct{ Para }

func (before) introduces() {}

func (b before) least(f *flow) float64 { return float64(len(b.set(f)))*b.look().lead + 5 }

// leading makes a short paragraph one that leads up to what follows; a long one stands for itself.
func leading(p Para) Block {
	const most = 400 // letters: some six lines
	n := 0
	for _, r := range p.Text {
		n += len(r.Text)
	}
	if n > most {
		return p
	}
	return before{p}
}

func (p *sheets) itemFacts(it *portfolio.ItemSheet) Text {
	facts := []string{strings.ReplaceAll(string(it.Item.Form()), "-", " ")}
	switch n := len(it.Criteria); {
	case n == 1:
		facts = append(facts, "criterion "+it.Criteria[0])
	case n > 1:
		facts = append(facts, "criteria "+strings.Join(it.Criteria, ", "))
	}
	if it.Item.Safety() {
		facts = append(facts, "safety-critical")
	}
	if it.Item.MustBeSeen {
		facts = append(facts, "the tutor had to watch it being done")
	}
	if it.Item.Optional {
		facts = append(facts, "may be left out")
	}
	return Plain(strings.Join(facts, " · "))
}

// finding finds the marker's word on a part and phase; nil where it has none.
func finding(it *portfolio.ItemSheet, part string, phase brief.Phase) *portfolio.Finding {
	for i := range it.Findings {
		if f := &it.Findings[i]; f.Part == part && f.Phase == phase {
			return f
		}
	}
	return nil
}

// found is a finding's word, and beside it the word that a person put in its place.
func found(f *portfolio.Finding) Text {
	if f == nil {
		return Quiet("not checked")
	}
	t := verdict(f.Verdict)
	o := f.Standing()
	if o != nil {
		t = Join(t, Plain("\n"), Strong("overridden: "), verdict(marking.Verdict(o.Outcome)))
	}
	if f.Blocks && (o == nil || !marking.Verdict(o.Outcome).Full()) {
		t = Join(t, Quiet("\nkeeps its criteria from being met"))
	}
	return t
}

// said is the marker's sentence on a line and what it asks, as rows of Facts.
func said(f *portfolio.Finding, label string) []Fact {
	var fs []Fact
	if f.Tutor != "" {
		fs = append(fs, Fact{label, Plain(f.Tutor)})
	}
	for _, flag := range f.Flags {
		if !strings.Contains(f.Tutor, flag.Text) {
			fs = append(fs, Fact{"Asks", Plain(flag.Text)})
		}
	}
	return fs
}

// overrides stand beside the finding they replace, with their reason.
func (p *sheets) overrides(it *portfolio.ItemSheet) []Block {
	var bs []Block
	for i := range it.Findings {
		f := &it.Findings[i]
		for j := range f.Overrides {
			o := &f.Overrides[j]
			word := marking.Verdict(o.Outcome).Words()
			text := Join(Plain(fmt.Sprintf("%s. ", capitalised(where(it, f)+"the marker said “"+f.Verdict.Words()+"”"))), Strong(p.by(o)), Plain(": “"+o.Words+"”"))
			if o.Superseded {
				bs = append(bs, Para{Text: Join(Strong("Overridden as "+word+", since superseded: "), text), Fine: true})
				continue
			}
			tone := Wrong
			if marking.Verdict(o.Outcome).Full() {
				tone = Good
			}
			bs = append(bs, Stamp{Word: "overridden: " + word, Tone: tone, Text: text})
		}
	}
	return bs
}

// where names the line of an item that a finding is about; "" where the item has one line only.
func where(it *portfolio.ItemSheet, f *portfolio.Finding) string {
	if len(it.Findings) < 2 {
		return ""
	}
	if f.Phase != brief.NoPhase {
		return f.Phase.Words() + ": "
	}
	return partName(it, f.Part) + ": "
}

// partName is a part of an item as people call it.
func partName(it *portfolio.ItemSheet, part string) string {
	for _, l := range it.Lines {
		if l.Part != part {
			continue
		}
		if row, _, ok := strings.Cut(part, "/"); ok && it.Item.Test != nil {
			for i, r := range it.Item.Test.Rows {
				if r.Key == row {
					return fmt.Sprintf("row %d, %s", i+1, l.Label)
				}
			}
		}
		if l.Label != "" {
			return l.Label
		}
	}
	return part
}

// earlier is an entry that a later one superseded.
type earlier struct {
	line  string
	entry *portfolio.Entry
	unit  string
}

// superseded lists what stood on an item's lines before: nothing is overwritten.
func (p *sheets) superseded(it *portfolio.ItemSheet) []Block {
	var rows []earlier
	for i := range it.Lines {
		l := &it.Lines[i]
		for j := range l.Earlier {
			rows = append(rows, earlier{partName(it, l.Part), &l.Earlier[j], l.Unit})
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return []Block{p.earlierTable("Earlier entries, superseded", rows)}
}

func (p *sheets) earlierTable(caption string, rows []earlier) Table {
	t := Table{Caption: caption, Columns: []Column{{Title: "Line", Fixed: 84}, {Title: "What stood there", Share: 1}, {Title: "When", Fixed: 148}}}
	for _, r := range rows {
		e := r.entry
		text := Plain(value(e.Text, e.Unit, r.unit))
		if e.Text == "" && e.Working == "" {
			text = Quiet("cleared")
		}
		if e.Working != "" {
			text = Join(text, Quiet("\nWorking: "), Fixed(e.Working))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Plain(r.line)}, {Text: Join(text, note(e))}, {Text: p.times(e)}}})
	}
	return t
}

// note is what was said beside an entry.
func note(e *portfolio.Entry) Text {
	if strings.TrimSpace(e.Note) == "" {
		return nil
	}
	return Join(Quiet("\nNote: "), Plain(e.Note))
}
