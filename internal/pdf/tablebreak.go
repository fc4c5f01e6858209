package pdf

import "witnessmark/internal/pdf/writer"

func (t Table) least(f *flow) float64 {
	g := t.measured(f)
	h := g.head
	if t.Caption != "" {
		h += headerLook.lead + 5
	}
	// A group row stays with the first row of its group, and one fact does not
	// stand alone at the foot of a page.
	first := 1
	if t.noHead {
		first = 2
	}
	for _, r := range t.Rows {
		h += min(g.lay(f, r).high(), tallest)
		if !r.Group {
			first--
		}
		if first == 0 {
			break
		}
	}
	return h
}

func (t Table) place(f *flow) {
	f.within(writer.TableTag, writer.Attributes{}, func() { t.draw(f) })
	f.y += 12
}

func (t Table) draw(f *flow) {
	g := t.measured(f)
	f.within(writer.CaptionTag, writer.Attributes{}, func() { g.caption(f, t.Caption) })
	f.within(writer.HeadTag, writer.Attributes{}, func() {
		f.within(writer.RowTag, writer.Attributes{}, func() { g.header(f) })
	})
	f.within(writer.RowsTag, writer.Attributes{}, func() {
		for i, r := range t.Rows {
			if f.err != nil {
				return
			}
			row := g.lay(f, r)
			keep := 0.0 // a group row does not end a page
			if r.Group && i+1 < len(t.Rows) {
				keep = min(g.lay(f, t.Rows[i+1]).high(), tallest)
			}
			g.tag(f, &row)
			g.row(f, row, keep)
			row.in.Close()
		}
	})
	f.stroke(f.left, f.y, f.right, f.y, 0.7, Ink)
}

// tag gives a row and its cells their places in the structure: the first cell
// says what its row is about, a group row what the rows under it are. A row that
// ends early is filled up, so that every row has as many cells.
func (g *grid) tag(f *flow, r *laid) {
	r.in = f.open(writer.RowTag, writer.Attributes{})
	covered := 0
	for i := range r.cells {
		c := &r.cells[i]
		tag, about := writer.CellTag, writer.Attributes{Span: c.span}
		switch {
		case r.Group:
			tag, about.Scope = writer.HeaderTag, "Column"
		case i == 0 && len(r.Cells[0].Text) > 0:
			tag, about.Scope = writer.HeaderTag, "Row"
		}
		c.in = r.in.Add(tag, about)
		covered = c.column + c.span
	}
	if covered < len(g.Columns) {
		r.in.Add(writer.CellTag, writer.Attributes{Span: len(g.Columns) - covered})
	}
}

func (g *grid) caption(f *flow, s string) {
	if s == "" {
		return
	}
	f.text(f.left, f.y+10, f.fit(s, headerLook, f.wide()))
	f.y += headerLook.lead + 5
}

// header draws the column titles on a tint between two rules.
func (g *grid) header(f *flow) {
	f.stroke(f.left, f.y, f.right, f.y, 0.7, Ink)
	if g.noHead {
		return
	}
	f.tint(f.left, f.y, f.wide(), g.head, paper)
	f.stroke(f.left, f.y, f.right, f.y, 0.7, Ink)
	for i := range g.titles {
		f.within(writer.HeaderTag, writer.Attributes{Scope: "Column"}, func() { g.title(f, i) })
	}
	f.y += g.head
	f.stroke(f.left, f.y, f.right, f.y, 0.4, Ink)
}

// title draws the title of a column.
func (g *grid) title(f *flow, i int) {
	ls := g.titles[i]
	y := f.y + g.head - rowPad - float64(len(ls))*titleLook.lead
	for _, l := range ls {
		x := g.x[i] + g.before(i)
		if g.Columns[i].Align == Right {
			x = g.x[i] + g.wide[i] - g.after(i) - l.wide
		}
		f.text(x, y+titleLook.lead*0.76, l)
		y += titleLook.lead
	}
}

// again carries the table over to the next page, under its caption and
// titles unless these would take half of it.
func (g *grid) again(f *flow) {
	f.stroke(f.left, f.y, f.right, f.y, 0.4, Ink)
	f.next()
	f.outside(writer.PageHead, func() {
		if g.Caption != "" {
			g.caption(f, g.Caption+" (continued)")
		}
		if g.head < headRoom {
			g.header(f)
		}
	})
}

// row draws one row, breaking it between lines where it must break.
func (g *grid) row(f *flow, r laid, keep float64) {
	if h := r.high(); h+keep > f.room() && h <= tallest {
		g.again(f)
	}
	f.anchor(r.Anchor)
	for from := 0; ; {
		fits := int((f.room() - 2*rowPad) / cellLook.lead)
		left := r.count - from
		if left <= fits {
			g.part(f, r, from, r.count)
			return
		}
		fits = min(fits, left-2) // two lines at the least go over
		if fits >= 2 || fits >= 1 && f.y < textTop+headRoom+40 {
			g.part(f, r, from, from+fits)
			from += fits
		}
		g.again(f)
		if f.err != nil {
			return
		}
	}
}

// part draws lines from to to of each cell.
func (g *grid) part(f *flow, r laid, from, to int) {
	high := float64(to-from)*cellLook.lead + 2*rowPad
	if r.Group {
		f.tint(f.left, f.y, f.wide(), high, paper)
	}
	for _, c := range r.cells {
		f.inside(c.in, func() {
			for i := from; i < min(to, len(c.lines)); i++ {
				y := f.y + rowPad + float64(i-from)*cellLook.lead + cellLook.lead*0.76
				f.text(c.x+g.offset(f, c, c.lines[i]), y, c.lines[i])
			}
		})
	}
	f.stroke(f.left, f.y+high, f.right, f.y+high, 0.35, Rule)
	if g.RuleAt > 0 && g.RuleAt < len(g.x) && !r.Group {
		x := g.x[g.RuleAt]
		f.stroke(x, f.y, x, f.y+high, 0.7, Ink)
		if r.Witnessed && from == 0 {
			f.witness(x, f.y+high/2, 13)
		}
	}
	f.y += high
}
