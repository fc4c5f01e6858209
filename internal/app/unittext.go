package app

import (
	"bytes"
	"fmt"
	"strings"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
	"witnessmark/internal/table"
)

// UnitText writes a unit's outcomes as an outline: a line each, the code first; a criterion below its outcome, and "-" before a
// range statement below its criterion. ReadUnitText reads it back.
func UnitText(outcomes []store.Outcome) string {
	var b strings.Builder
	for _, o := range outcomes {
		fmt.Fprintf(&b, "%s %s\n", o.Code, o.Title)
		for _, k := range o.Criteria {
			fmt.Fprintf(&b, "  %s %s\n", k.Code, k.Text)
			for _, r := range k.Range {
				fmt.Fprintf(&b, "    - %s\n", r)
			}
		}
	}
	return b.String()
}

// ReadUnitText reads an outline. A line is a criterion where its code begins with the outcome's and a dot, or where the line is
// further in than the outcome's.
func ReadUnitText(text string) ([]store.Outcome, error) {
	var out []store.Outcome
	in := 0 // of the outcome's line
	for n, line := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		words := strings.TrimSpace(line)
		if words == "" {
			continue
		}
		indent := len(line) - len(strings.TrimLeft(line, " \t"))
		last := len(out) - 1
		if rest, ok := strings.CutPrefix(words, "- "); ok {
			if last < 0 || len(out[last].Criteria) == 0 {
				return nil, fault.Invalid("outcomes", "Line %d is a range statement, and there is no criterion above it.", n+1)
			}
			k := &out[last].Criteria[len(out[last].Criteria)-1]
			k.Range = append(k.Range, strings.TrimSpace(rest))
			continue
		}
		code, rest, _ := strings.Cut(words, " ")
		rest = strings.TrimSpace(rest)
		if rest == "" {
			return nil, fault.Invalid("outcomes", "Line %d has a code and no words, or words and no code.", n+1)
		}
		if last >= 0 && (indent > in || strings.HasPrefix(code, out[last].Code+".")) {
			out[last].Criteria = append(out[last].Criteria, store.Criterion{Code: code, Text: rest})
			continue
		}
		out, in = append(out, store.Outcome{Code: code, Title: rest}), indent
	}
	return out, nil
}

// UnitColumns is the columns of a unit's list, a row a criterion.
func UnitColumns() []table.Column {
	return []table.Column{
		{Name: "Outcome", Needed: true, Most: 40}, {Name: "Outcome title", Most: unitMostText},
		{Name: "Criterion", Needed: true, Most: 40}, {Name: "Text", Also: []string{"Criterion text"}, Needed: true, Most: unitMostText},
		{Name: "Range", Also: []string{"Range statements"}, Most: 4 * unitMostText},
	}
}

// ReadUnitList reads a unit's outcomes from a list. An outcome's title stands on its first row; range statements are lines of a
// cell, or parted by semicolons.
func ReadUnitList(list []byte) ([]store.Outcome, []table.Problem) {
	rows, problems := table.Read(bytes.NewReader(list), UnitColumns(), table.Limits{Rows: unitMostCriteria})
	var out []store.Outcome
	for _, r := range rows {
		at := -1
		for i := range out {
			if out[i].Code == r.Cells[0] {
				at = i
			}
		}
		if at < 0 {
			if r.Cells[1] == "" {
				problems = append(problems, table.Problem{Line: r.Line, Column: "Outcome title", Message: fmt.Sprintf("Outcome %s comes first here, so its title belongs here.", r.Cells[0])})
			}
			out, at = append(out, store.Outcome{Code: r.Cells[0], Title: r.Cells[1]}), len(out)
		} else if r.Cells[1] != "" && r.Cells[1] != out[at].Title {
			problems = append(problems, table.Problem{Line: r.Line, Column: "Outcome title", Message: fmt.Sprintf("Outcome %s has another title further up.", r.Cells[0])})
		}
		k := store.Criterion{Code: r.Cells[2], Text: r.Cells[3]}
		for _, s := range strings.FieldsFunc(r.Cells[4], func(c rune) bool { return c == '\n' || c == ';' }) {
			if s = strings.TrimSpace(s); s != "" {
				k.Range = append(k.Range, s)
			}
		}
		out[at].Criteria = append(out[at].Criteria, k)
	}
	table.Sort(problems)
	return out, problems
}
