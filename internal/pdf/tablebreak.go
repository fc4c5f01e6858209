package pdf

func (t Table) least(f *flow) float64 {
	g := t.measured(f)
	h := g.head
	if t.Caption != "" {
		h += headerLook.lead + 5
	}
	// A group row stays with the first row of its group.
	for _, r := range t.Rows {
		h += min(g.lay(f, r).high(), tallest)
		if !r.Group {
			break
		}
	}
	return h
}

func (t Table) place(f *flow) {
	g := t.measured(f)
	g.caption(f, t.Caption)
	g.header(f)
	for i, r := range t.Rows {
		if f.err != nil {
			return
		}
		row := g.lay(f, r)
		keep := 0.0 // a group row does not end a page
		if r.Group && i+1 < len(t.Rows) {
			keep = min(g.lay(f, t.Rows[i+1]).high(), tallest)
		}
		g.row(f, row, keep)
	}
	f.stroke(f.left, f.y, f.right, f.y, 0.7, Ink)
	f.y += 12
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
	for i, ls := range g.titles {
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
	f.y += g.head
	f.stroke(f.left, f.y, f.right, f.y, 0.4, Ink)
}

// again carries the table over to the next page, under its caption and
// titles unless these would take half of it.
func (g *grid) again(f *flow) {
	f.stroke(f.left, f.y, f.right, f.y, 0.4, Ink)
	f.next()
	if g.Caption != "" {
		g.caption(f, g.Caption+" (continued)")
	}
	if g.head < headRoom {
		g.header(f)
	}
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
		for i := from; i < min(to, len(c.lines)); i++ {
			y := f.y + rowPad + float64(i-from)*cellLook.lead + cellLook.lead*0.76
			f.text(c.x+g.offset(f, c, c.lines[i]), y, c.lines[i])
		}
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
