package pdf

import (
	"cmp"
	"fmt"
	"strings"

	"witnessmark/internal/portfolio"
)

// task is the brief as it was set, then every attempt.
func (p *sheets) task(t *portfolio.TaskSheet) []Block {
	bs := []Block{
		Heading{Level: 1, Title: fmt.Sprintf("Task %d: %s", t.Number, t.Brief.Title), OnNew: true, Anchor: t.Anchor},
		Facts{Rows: []Fact{
			{"Brief", Join(Plain(t.Brief.Key), Quiet(fmt.Sprintf(", version %d", t.Version)))},
			{"SHA-256 of the brief", Fixed(t.Digest)},
			{"Set by", Plain(fmt.Sprintf("%s, %s", orDash(t.SetBy), p.minute(t.SetAt)))},
			{"Due", Plain(date(t.DueOn))},
			{"Attempts", attempts(t)},
		}},
	}
	bs = append(bs, p.brief(t)...)
	if len(t.Attempts) == 0 {
		bs = append(bs, Para{Text: Plain("No attempt has been made at this task.")})
	}
	for i := range t.Attempts {
		bs = append(bs, p.attempt(t, &t.Attempts[i])...)
	}
	return bs
}

func attempts(t *portfolio.TaskSheet) Text {
	if len(t.Attempts) == 0 {
		return Plain("none")
	}
	var all Text
	for i, at := range t.Attempts {
		if i > 0 {
			all = Join(all, Plain("\n"))
		}
		all = Join(all, To(at.Anchor, fmt.Sprintf("Attempt %d", at.Number)), Quiet(": "+at.State.Words()+",\u00a0p.\u00a0"), PageOf(at.Anchor))
	}
	return all
}

// brief is what the trainee was asked to do.
func (p *sheets) brief(t *portfolio.TaskSheet) []Block {
	b := t.Brief
	bs := []Block{Heading{Level: 2, Title: "The brief as it was set"}}
	for _, para := range paragraphs(b.About) {
		bs = append(bs, para)
	}
	for _, c := range b.Cautions {
		bs = append(bs, Caution{Text: Plain(c)})
	}
	if len(b.Conventions) > 0 {
		bs = append(bs, Heading{Level: 3, Title: "Conventions"}, List{Items: plainItems(b.Conventions)})
	}
	if len(t.Given) > 0 {
		bs = append(bs, Gap{}, givenTable("Given values", t.Given))
	}
	c := Table{Caption: "Criteria that the task bears on", Columns: []Column{{Title: "Criterion", Fixed: 74}, {Title: "What it asks", Share: 1}}}
	for _, k := range t.Criteria {
		text := Plain(k.Text)
		if k.Text == "" {
			text = Quiet("of another unit; its words stand in that unit's portfolio")
		}
		c.Rows = append(c.Rows, Row{Cells: []Cell{{Text: Strong(k.Code)}, {Text: text}}})
	}
	if len(c.Rows) > 0 {
		bs = append(bs, c)
	}
	return bs
}

func givenTable(caption string, rows []portfolio.GivenRow) Table {
	t := Table{Caption: caption, Columns: []Column{{Title: "Name", Fixed: 62}, {Title: "What it is", Share: 1}, {Title: "This trainee's value", Fixed: 96, Align: Decimal}, {Title: "How it was set", Share: 0.9}}}
	for _, g := range rows {
		how := cmp.Or(g.Source, "the same for everybody")
		if g.From != "" {
			how = fmt.Sprintf("drawn from %s to %s in steps of %s", g.From, g.To, g.Step)
		}
		drawn := Plain(thin(g.Drawn))
		if g.Drawn == "" {
			drawn = Quiet("not drawn yet")
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Fixed(g.Name)}, {Text: Plain(g.Is)}, {Text: drawn}, {Text: Quiet(how)}}})
	}
	return t
}

// thin holds a typed quantity's number and unit together with a thin space.
func thin(s string) string {
	number, unit, ok := strings.Cut(strings.TrimSpace(s), " ")
	if !ok {
		return s
	}
	return number + "\u2009" + unit
}

// paragraphs are a text's paragraphs; lines inside one run on.
func paragraphs(s string) []Para {
	var bs []Para
	for _, para := range strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n\n") {
		if para = strings.TrimSpace(para); para != "" {
			bs = append(bs, Para{Text: Plain(strings.Join(strings.Fields(para), " "))})
		}
	}
	return bs
}

func plainItems(ss []string) []Text {
	var ts []Text
	for _, s := range ss {
		ts = append(ts, Plain(s))
	}
	return ts
}
