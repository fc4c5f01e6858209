package pdfcheck

import (
	"slices"

	"witnessmark/internal/pdfread"
)

// mostColumns keeps a span that a file states from costing time.
const mostColumns = 1000

// checkTable lays a table's cells out in their rows and columns.
func (c *checker) checkTable(table *node) {
	var rows []*node
	heads := map[*node]bool{}
	for _, kid := range table.kids {
		switch kid.kind {
		case "TR":
			rows = append(rows, kid)
		case "THead", "TBody", "TFoot":
			for _, row := range kid.kids {
				rows = append(rows, row)
				heads[row] = kid.kind == "THead"
			}
		}
	}
	var left []int // for each column, how many rows the cell above still takes
	for i, row := range rows {
		wide := c.layRow(row, &left)
		if i > 0 && wide != len(left) {
			c.say("columns", row.where, "the row is %d columns wide, those before it %d", wide, len(left))
			return
		}
		for k := range left {
			left[k]--
		}
	}
	if len(rows) > 0 && slices.Max(append(left, 0)) > 0 {
		c.say("columns", table.where, "a cell spans more rows than the table has")
	}
}

// layRow puts a row's cells into the columns that are free and gives how many
// columns are taken then. The first row makes the columns.
func (c *checker) layRow(row *node, left *[]int) int {
	firstRow := len(*left) == 0
	at, taken := 0, 0
	for _, cell := range row.kids {
		if cell.kind != "TH" && cell.kind != "TD" {
			continue
		}
		about := c.attributes(cell, "Table")
		wide, high := c.span(cell, about, "ColSpan"), c.span(cell, about, "RowSpan")
		c.checkScope(cell, about)
		for at < len(*left) && (*left)[at] > 0 {
			at++
			taken++
		}
		for range wide {
			switch {
			case firstRow && at < mostColumns:
				*left = append(*left, high)
			case at < len(*left) && (*left)[at] > 0:
				c.say("columns", cell.where, "the cell overlaps one of a row above")
			case at < len(*left):
				(*left)[at] = high
			}
			at++
			taken++
		}
	}
	for ; at < len(*left) && (*left)[at] > 0; at++ {
		taken++
	}
	return taken
}

func (c *checker) span(cell *node, about pdfread.Dict, key pdfread.Name) int {
	v, ok := about[key]
	if !ok {
		return 1
	}
	n, _ := c.f.Integer(v)
	if n < 1 || n > mostColumns {
		c.say("columns", cell.where, "the cell's /%s is %d", key, n)
		return 1
	}
	return int(n)
}

func (c *checker) checkScope(cell *node, about pdfread.Dict) {
	if cell.kind != "TH" {
		return
	}
	if scope := c.f.Name(about["Scope"]); !slices.Contains([]pdfread.Name{"Row", "Column", "Both"}, scope) {
		c.say("scope", cell.where, "the header cell's scope is %s", or(string(scope), "not stated"))
	}
}
