package pdf

import "witnessmark/internal/pdf/writer"

// Align is where a cell's text stands in its column.
type Align int

// Decimal puts figures' decimal points under one another; text with no figure
// in it, or too wide for that, starts at the left.
const (
	Left Align = iota
	Right
	Decimal
)

// Column is a column's title and width: Fixed points, or a Share of what the
// fixed columns leave.
type Column struct {
	Title string
	Fixed float64
	Share float64
	Align Align
}

// Cell is one cell; Span is how many columns it covers (0 counts as 1).
type Cell struct {
	Text Text
	Span int
}

// Row is one row. A group row (Group) is a heading inside the table. A
// witnessed row carries the witness mark across the table's rule.
type Row struct {
	Cells     []Cell
	Anchor    string
	Group     bool
	Witnessed bool
}

// Table is rows under column titles that come again on every page. A row goes
// over to the next page whole unless it is taller than a third of one; then
// it breaks between lines.
type Table struct {
	Caption string
	Columns []Column
	Rows    []Row
	RuleAt  int // an upright rule before this column parts evidence from decision; 0: none

	noHead bool
}

const (
	cellPad  = 5.0 // left and right of a cell's text
	rowPad   = 3.4 // above and below
	ruleRoom = 5.0 // more beside the rule that parts evidence from decision
	tallest  = (textBottom - textTop) / 3
	headRoom = (textBottom - textTop) / 2
)

var (
	cellLook   = look{size: 8, lead: 11.2}
	titleLook  = look{size: 7.2, lead: 9.8, bold: true, tone: Soft}
	headerLook = look{size: 9, lead: 13, bold: true}
)

// grid is a table measured for a width.
type grid struct {
	Table
	x, wide []float64 // of columns
	titles  [][]line
	head    float64
	points  []float64 // where decimal points stand, from a column's text edge
}

func (t Table) measured(f *flow) grid {
	g := grid{Table: t, x: make([]float64, len(t.Columns)), wide: make([]float64, len(t.Columns)),
		points: make([]float64, len(t.Columns))}
	free, shares := f.wide(), 0.0
	for i, c := range t.Columns {
		g.wide[i] = c.Fixed
		if c.Fixed > 0 { // no title breaks inside a word
			g.wide[i] = max(c.Fixed, f.widestWord(c.Title, titleLook)+g.before(i)+g.after(i))
		}
		free -= g.wide[i]
		shares += c.Share
	}
	x := f.left
	for i, c := range t.Columns {
		g.x[i] = x
		if shares > 0 {
			g.wide[i] += max(0, free) * c.Share / shares
		}
		x += g.wide[i]
		if !t.noHead {
			ls := f.set(Plain(c.Title), titleLook, g.inner(i, 1))
			g.titles = append(g.titles, ls)
			g.head = max(g.head, float64(len(ls))*titleLook.lead+2*rowPad)
		}
	}
	g.measurePoints(f)
	return g
}

func (f *flow) widestWord(s string, l look) float64 {
	wide := 0.0
	words, _ := f.tokens(Plain(s), l)
	for _, t := range words {
		wide = max(wide, t.wide)
	}
	return wide + 0.01
}

// measurePoints finds, for each column aligned on the point, the widest text
// before a point.
func (g *grid) measurePoints(f *flow) {
	for _, row := range g.Rows {
		for i, c := range row.Cells {
			if i >= len(g.Columns) || g.Columns[i].Align != Decimal || c.Span > 1 || row.Group {
				continue
			}
			if ls := f.set(c.Text, cellLook, g.inner(i, 1)); len(ls) == 1 {
				if before, ok := f.beforePoint(ls[0]); ok {
					g.points[i] = max(g.points[i], before)
				}
			}
		}
	}
}

// beforePoint is the width of a line up to its first figure's decimal point,
// or to the figure's end where it has none.
func (f *flow) beforePoint(l line) (float64, bool) {
	wide, seen := 0.0, false
	for _, p := range l.pieces {
		for at, r := range p.text {
			digit := r >= '0' && r <= '9'
			if seen && !digit {
				return wide + f.faces[p.face].Width(p.text[:at], p.size), true
			}
			seen = seen || digit
		}
		wide += p.wide
	}
	return wide, seen
}

// laid is a row set in its columns.
type laid struct {
	Row
	cells []laidCell
	count int // lines of the tallest cell
	in    *writer.Element
}

type laidCell struct {
	in     *writer.Element
	span   int
	lines  []line
	column int
	x      float64 // of its text
	wide   float64 // for its text
}

func (l laid) high() float64 { return float64(l.count)*cellLook.lead + 2*rowPad }

func (g *grid) lay(f *flow, r Row) laid {
	out := laid{Row: r, count: 1}
	column := 0
	for _, c := range r.Cells {
		if column >= len(g.Columns) {
			break
		}
		span := min(max(1, c.Span), len(g.Columns)-column)
		if r.Group {
			span = len(g.Columns) - column
		}
		l := cellLook
		l.bold = r.Group
		wide := g.inner(column, span)
		lc := laidCell{lines: f.set(c.Text, l, wide), column: column, span: span, x: g.x[column] + g.before(column), wide: wide}
		out.cells = append(out.cells, lc)
		out.count = max(out.count, len(lc.lines))
		column += span
	}
	return out
}

// offset is where a line starts in its cell.
func (g *grid) offset(f *flow, c laidCell, l line) float64 {
	switch g.Columns[c.column].Align {
	case Right:
		return max(0, c.wide-l.wide)
	case Decimal:
		if before, ok := f.beforePoint(l); ok && len(c.lines) == 1 {
			if shift := g.points[c.column] - before; shift > 0 && shift+l.wide <= c.wide {
				return shift
			}
		}
	}
	return 0
}

// before and after are the spaces beside a cell's text; next to the rule
// there is room for the witness mark.
func (g *grid) before(column int) float64 {
	if g.RuleAt > 0 && column == g.RuleAt {
		return cellPad + ruleRoom
	}
	return cellPad
}

func (g *grid) after(column int) float64 {
	if g.RuleAt > 0 && column == g.RuleAt-1 {
		return cellPad + ruleRoom
	}
	return cellPad
}

// inner is the width for text in a cell that covers span columns.
func (g *grid) inner(column, span int) float64 {
	wide := -g.before(column) - g.after(column+span-1)
	for i := column; i < column+span; i++ {
		wide += g.wide[i]
	}
	return wide
}
