package brief

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// tables makes functions of the brief's tables.
func (c *compiler) tables() {
	if len(c.out.Brief.Tables) == 0 {
		return
	}
	functions := map[string]formula.Function{} // the caller's are not to be changed
	maps.Copy(functions, c.env.Functions)
	c.env.Functions, c.out.Functions = functions, functions
	for i := range c.out.Brief.Tables {
		t, path := &c.out.Brief.Tables[i], "tables["+strconv.Itoa(i)+"]"
		before := len(c.problems)
		if t.Rule != "" {
			c.unfilled(t.Rule, path)
			c.broken[t.Name] = true
		} else if f := c.table(t, path); len(c.problems) == before {
			if _, twice := functions[t.Name]; !twice { // Check says so
				functions[t.Name] = f
			}
		}
		if len(c.problems) > before {
			c.broken[t.Name] = true
		}
	}
}

// callsBroken says whether text calls a table that has problems of its own.
func (c *compiler) callsBroken(text string) bool {
	return slices.ContainsFunc(c.out.Brief.Tables, func(t Table) bool {
		return c.broken[t.Name] && (strings.HasPrefix(text, t.Name) || wordAt(text, t.Name) > 0)
	})
}

// unfilled says that a rule was not put in: of each rule set once, where the brief first names it.
func (c *compiler) unfilled(rule, path string) {
	set, _, _ := strings.Cut(rule, "/")
	if slices.Contains(c.unfilledSets, set) {
		return
	}
	c.unfilledSets = append(c.unfilledSets, set)
	c.say(path+".rule", 0, "The rule “"+shorten(rule)+"” is not filled in here: no rule set was looked at.")
}

// table reads a table; where it has problems the function cannot be called.
func (c *compiler) table(t *Table, path string) formula.Function {
	before := len(c.problems)
	l := &lookup{exact: t.Between == BetweenExact}
	l.of, _ = c.unit(t.Of, path+".of")
	l.gives, _ = c.unit(t.Gives, path+".gives")
	if !slices.Contains(betweens, t.Between) {
		c.say(path+".between", 0, "A table says what lies between its rows: “between: exact” for nothing, “between: straight” for straight lines.")
	}
	if len(t.Rows) < 2 {
		c.say(path+".rows", 0, "A table has two rows at least.")
	}
	for i, r := range t.Rows {
		at := path + ".rows[" + strconv.Itoa(i) + "]"
		x, ok := c.plain(r.At, "of", at+".at")
		y, ok2 := c.plain(r.Is, "gives", at+".is")
		if !ok || !ok2 {
			continue
		}
		if n := len(l.at); n > 0 && x <= l.at[n-1] {
			c.say(at+".at", 0, rising(r.At, l.texts[n-1]))
		}
		l.at, l.is, l.texts = append(l.at, x), append(l.is, y), append(l.texts, r.At)
	}
	if len(c.problems) > before {
		return formula.Function{}
	}
	return formula.Function{
		Name: t.Name, About: t.Is, Source: t.Source, Params: []formula.Param{{Name: "value", Unit: l.of, About: "what the table goes by"}},
		Result: l.gives, Call: l.call, Turns: [][]float64{l.turns()}, Steps: l.exact,
	}
}

// rising says that a row does not follow the one before it.
func rising(at, before string) string {
	if at == before {
		return "There is a row for " + at + " already. Keep one of the two."
	}
	return "Rows rise: " + at + " stands below " + before + "."
}

// plain reads a plain number of a table, whose unit the member named has.
func (c *compiler) plain(text, member, path string) (float64, bool) {
	n, err := quantity.ParseNumber(text)
	if err != nil {
		if q, err := quantity.ParseQuantity(text); err == nil && q.UnitText != "" {
			c.say(path, 0, "A row has plain numbers. Their unit stands once, in “"+member+"” above the rows.")
			return 0, false
		}
		c.fail(path, err)
		return 0, false
	}
	if n.Bound != quantity.Exactly {
		c.say(path, 0, "A row has plain numbers, without < or >.")
		return 0, false
	}
	return n.Value(), true
}

func orPlain(unit string) string {
	if unit == "" {
		return "a plain number"
	}
	return unit
}

// lookup is a table's rows, in its units.
type lookup struct {
	of, gives quantity.Unit
	at, is    []float64
	texts     []string // at, as written
	exact     bool
}

// sameRow is how near a value is taken to be a row's own: conversion of units costs some last digits.
const sameRow = 1e-9

// call looks a value up. Rows give their value exactly.
func (l *lookup) call(args []float64) (float64, error) {
	x := l.of.FromSI(args[0])
	i, _ := slices.BinarySearch(l.at, x) // the first row not below x
	for _, row := range []int{i - 1, i} {
		if row >= 0 && row < len(l.at) && l.on(row, x) {
			return l.gives.ToSI(l.is[row]), nil
		}
	}
	if l.exact || i == 0 || i == len(l.at) {
		return 0, l.missing(x)
	}
	share := (x - l.at[i-1]) / (l.at[i] - l.at[i-1])
	return l.gives.ToSI(l.is[i-1] + float64(share*(l.is[i]-l.is[i-1]))), nil
}

// on says whether x is a row's own value.
func (l *lookup) on(row int, x float64) bool {
	next := row + 1
	if next == len(l.at) {
		next = row - 1
	}
	return math.Abs(x-l.at[row]) <= sameRow*max(math.Abs(l.at[row]), math.Abs(l.at[next]-l.at[row]))
}

// missing says which rows there are.
func (l *lookup) missing(x float64) error {
	asked, last := strconv.FormatFloat(x, 'g', 6, 64)+l.unitBehind(), len(l.texts)-1
	if !l.exact {
		return fmt.Errorf("%s lies outside the table, which goes from %s to %s", asked, l.texts[0], l.texts[last]+l.unitBehind())
	}
	rows := slices.Clone(l.texts)
	if most := 12; len(rows) > most {
		rows = append(rows[:most-2], "…", l.texts[last])
	}
	return fmt.Errorf("there is no row for %s; the rows are %s", asked, andList(rows)+l.unitBehind())
}

func (l *lookup) unitBehind() string {
	if l.of.String() == "" {
		return ""
	}
	return " " + l.of.String()
}

// turns are where the table stops rising or falling, in SI. Between the rows of an exact table there is no value: the middle
// of each gap stands for it, so that a range over more than one row cannot be worked out.
func (l *lookup) turns() []float64 {
	turns := []float64{}
	for i := 1; i < len(l.at); i++ {
		switch {
		case l.exact:
			turns = append(turns, l.of.ToSI((l.at[i-1]+l.at[i])/2))
		case i+1 < len(l.at) && (l.is[i]-l.is[i-1])*(l.is[i+1]-l.is[i]) <= 0:
			turns = append(turns, l.of.ToSI(l.at[i]))
		}
	}
	return turns
}
