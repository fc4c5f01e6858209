package pdf

import "slices"

// piece is text of one face, size, tone and destination.
type piece struct {
	style
	text string
	wide float64
	// Where text stands in what it was cut from: pieces of one line that follow
	// one another there are one piece again.
	from string
	at   int
}

type style struct {
	face    int
	size    float64
	tone    Tone
	to, out string
}

// line is pieces set side by side.
type line struct {
	pieces []piece
	wide   float64
	goesOn bool // in the next line, where a space would stand between them
}

// before is the line as one that another one on the page goes on.
func (n line) before() line {
	n.goesOn = true
	return n
}

// bare is the line without its links.
func (n line) bare() line {
	pieces := slices.Clone(n.pieces)
	for i := range pieces {
		pieces[i].to, pieces[i].out = "", ""
	}
	n.pieces = pieces
	return n
}

// set breaks a text into lines at most wide points wide. Lines break at
// spaces; a word wider than a line breaks where it must. There is always at
// least one line, and the lines are not the caller's to change.
func (f *flow) set(t Text, l look, wide float64) []line {
	key, lines, steady := f.recall(t, l, wide)
	if lines == nil {
		lines = f.broken(t, l, wide)
		if steady {
			f.remember(key, t, lines)
		}
	}
	return lines
}

func (f *flow) broken(t Text, l look, wide float64) []line {
	var lines []line
	var now line
	var gap token
	tokens, turns := f.tokens(t, l)
	finish := func() {
		if turns {
			now.pieces = joined(visual(now.pieces, f.width))
		}
		lines = append(lines, now)
		now, gap = line{}, token{}
	}
	for _, tok := range tokens {
		switch {
		case tok.ends:
			finish()
		case tok.space && len(now.pieces) == 0 && !l.keep:
		case tok.space:
			gap = tok
		default:
			if len(now.pieces) > 0 && now.wide+gap.wide+tok.wide > wide {
				now.goesOn = len(gap.pieces) > 0
				finish()
			}
			now.add(gap, turns)
			gap = token{}
			for tok.wide > wide {
				head, rest := f.cut(tok, max(wide-now.wide, l.size))
				now.add(head, turns)
				if len(rest.pieces) == 0 {
					tok = token{}
					break
				}
				finish()
				tok = rest
			}
			now.add(tok, turns)
		}
	}
	finish()
	return lines
}

// width is how wide a piece is drawn.
func (f *flow) width(p piece) float64 { return f.faces[p.face].Width(p.text, p.size) }

// add puts a token at the end of a line. Pieces that follow one another in what
// they were cut from become one, unless the line's order is still to turn.
func (n *line) add(t token, turns bool) {
	n.wide += t.wide
	for _, p := range t.pieces {
		if last := len(n.pieces) - 1; last >= 0 && !turns {
			q := &n.pieces[last]
			if q.style == p.style && q.at+len(q.text) == p.at && q.from == p.from {
				q.text, q.wide = p.from[q.at:p.at+len(p.text)], q.wide+p.wide
				continue
			}
		}
		n.pieces = append(n.pieces, p)
	}
}

// joined makes one of neighbours that are set alike.
func joined(pieces []piece) []piece {
	var out []piece
	for _, p := range pieces {
		if last := len(out) - 1; last >= 0 && out[last].style == p.style {
			out[last].text += p.text
			out[last].wide += p.wide
			continue
		}
		out = append(out, p)
	}
	return out
}

// cut takes as much of a word as fits, one rune at the least.
func (f *flow) cut(t token, wide float64) (head, rest token) {
	for i, p := range t.pieces {
		for at, r := range p.text {
			w := f.faces[p.face].Width(string(r), p.size)
			if head.wide+w > wide && (head.wide > 0 || at > 0) {
				first, second := p, p
				first.text, second.text, second.at = p.text[:at], p.text[at:], p.at+at
				first.wide = f.faces[p.face].Width(first.text, p.size)
				second.wide = p.wide - first.wide
				if at > 0 {
					head.pieces = append(head.pieces, first)
				}
				// The word is this function's own by now: it is cut in place.
				rest.pieces, rest.wide = t.pieces[i:], t.wide-head.wide
				rest.pieces[0] = second
				return head, rest
			}
			head.wide += w
		}
		head.pieces = append(head.pieces, p)
	}
	return head, rest
}
