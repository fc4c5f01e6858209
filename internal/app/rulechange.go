package app

import (
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// RuleChange is a rule that differs between two editions of a set: in its limit, its value or its table. What it is called
// is no difference, nor is another way of writing the same quantity.
type RuleChange struct {
	Key string
	Is  string // in words, as the later edition has it
	Was string // in words; "" where the rule is new
	Now string // in words; "" where the rule is gone
}

// ruleChanges lists what differs, in the order of the later edition, what is gone last.
func ruleChanges(was, now *brief.RuleSet) []RuleChange {
	var out []RuleChange
	for i := range now.Rules {
		r := &now.Rules[i]
		old := ruleOf(was, r.Key)
		switch {
		case old == nil:
			out = append(out, RuleChange{Key: r.Key, Is: r.Is, Now: RuleWords(r)})
		case !sameRule(old, r):
			before, after := RuleWords(old), RuleWords(r)
			if old.Table != nil && r.Table != nil {
				before, after = tableChange(old.Table, r.Table)
			}
			out = append(out, RuleChange{Key: r.Key, Is: r.Is, Was: before, Now: after})
		}
	}
	for i := range was.Rules {
		if r := &was.Rules[i]; ruleOf(now, r.Key) == nil {
			out = append(out, RuleChange{Key: r.Key, Is: r.Is, Was: RuleWords(r)})
		}
	}
	return out
}

func ruleOf(rs *brief.RuleSet, key string) *brief.Rule {
	i := slices.IndexFunc(rs.Rules, func(r brief.Rule) bool { return r.Key == key })
	if i < 0 {
		return nil
	}
	return &rs.Rules[i]
}

// sameRule says whether two rules judge alike.
func sameRule(a, b *brief.Rule) bool {
	if !sameQuantity(a.AtLeast, b.AtLeast) || !sameQuantity(a.AtMost, b.AtMost) || !sameQuantity(a.Value, b.Value) || a.Margin != b.Margin {
		return false
	}
	if a.Table == nil || b.Table == nil {
		return a.Table == b.Table
	}
	return a.Table.Of == b.Table.Of && a.Table.Gives == b.Table.Gives && a.Table.Between == b.Table.Between &&
		slices.EqualFunc(a.Table.Rows, b.Table.Rows, func(x, y brief.TableRow) bool { return sameQuantity(x.At, y.At) && sameQuantity(x.Is, y.Is) })
}

// sameQuantity says whether two quantities are one, however they are written. What cannot be read is compared as it stands.
func sameQuantity(a, b string) bool {
	if a == b {
		return true
	}
	x, errX := quantity.ParseQuantity(a)
	y, errY := quantity.ParseQuantity(b)
	return errX == nil && errY == nil && quantity.CheckConvertible(x.Unit, y.Unit) == nil && x.SI() == y.SI()
}

// RuleWords is a rule in words, such as "at least 1 MΩ, at most 3 MΩ".
func RuleWords(r *brief.Rule) string {
	switch {
	case r.Value != "":
		return thin(r.Value)
	case r.Table != nil:
		return rowWords(r.Table, r.Table.Rows)
	}
	var words []string
	if r.AtLeast != "" {
		words = append(words, "at least "+thin(r.AtLeast))
	}
	if r.AtMost != "" {
		words = append(words, "at most "+thin(r.AtMost))
	}
	if r.Margin {
		words = append(words, "its margin included")
	}
	return strings.Join(words, ", ")
}

// rowWords are rows of a table in words, "22 mm: 9 m; 28 mm: 18 m".
func rowWords(t *brief.RuleTable, rows []brief.TableRow) string {
	var words []string
	for _, row := range rows {
		words = append(words, withUnit(row.At, t.Of)+": "+withUnit(row.Is, t.Gives))
	}
	return strings.Join(words, "; ")
}

func withUnit(number, unit string) string {
	if unit == "" {
		return number
	}
	return number + "\u2009" + unit
}

// thin puts a thin space, at which no line breaks on our pages, between a quantity's number and its unit.
func thin(q string) string { return strings.Replace(q, " ", "\u2009", 1) }

// tableChange are the rows in which two tables differ, or the whole of both where something else does as well.
func tableChange(was, now *brief.RuleTable) (before, after string) {
	if was.Of != now.Of || was.Gives != now.Gives || was.Between != now.Between {
		return rowWords(was, was.Rows) + " (between: " + was.Between + ")", rowWords(now, now.Rows) + " (between: " + now.Between + ")"
	}
	left := func(of, than *brief.RuleTable) []brief.TableRow {
		return slices.DeleteFunc(slices.Clone(of.Rows), func(x brief.TableRow) bool {
			return slices.ContainsFunc(than.Rows, func(y brief.TableRow) bool { return sameQuantity(x.At, y.At) && sameQuantity(x.Is, y.Is) })
		})
	}
	before, after = rowWords(was, left(was, now)), rowWords(now, left(now, was))
	if before == "" {
		before = "no such row"
	}
	if after == "" {
		after = "no such row"
	}
	return before, after
}
