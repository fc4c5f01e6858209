package pdf

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// piece is text of one face, size, tone and destination.
type piece struct {
	face    int
	size    float64
	tone    Tone
	to, out string
	text    string
	wide    float64
}

// line is pieces set side by side.
type line struct {
	pieces []piece
	wide   float64
}

// token is a word, the space between words, or the end of a line.
type token struct {
	pieces []piece
	wide   float64
	space  bool
	ends   bool
}

// set breaks a text into lines at most wide points wide. Lines break at
// spaces; a word wider than a line breaks where it must. There is always at
// least one line.
func (f *flow) set(t Text, l look, wide float64) []line {
	var lines []line
	var now line
	var gap token
	finish := func() {
		lines = append(lines, now.finish())
		now, gap = line{}, token{}
	}
	for _, tok := range f.tokens(t, l) {
		switch {
		case tok.ends:
			finish()
		case tok.space && len(now.pieces) == 0 && !l.keep:
		case tok.space:
			gap = tok
		default:
			if len(now.pieces) > 0 && now.wide+gap.wide+tok.wide > wide {
				finish()
			}
			now.add(gap)
			gap = token{}
			for tok.wide > wide {
				head, rest := f.cut(tok, max(wide-now.wide, l.size))
				now.add(head)
				if len(rest.pieces) == 0 {
					tok = token{}
					break
				}
				finish()
				tok = rest
			}
			now.add(tok)
		}
	}
	return append(lines, now.finish())
}

func (n *line) add(t token) {
	n.pieces = append(n.pieces, t.pieces...)
	n.wide += t.wide
}

// finish orders a line for drawing and joins pieces that are set alike.
func (n line) finish() line {
	out := line{wide: n.wide}
	for _, p := range visual(n.pieces) {
		if last := len(out.pieces) - 1; last >= 0 {
			q := p
			q.text, q.wide = out.pieces[last].text, out.pieces[last].wide
			if q == out.pieces[last] {
				out.pieces[last].text += p.text
				out.pieces[last].wide += p.wide
				continue
			}
		}
		out.pieces = append(out.pieces, p)
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
				first.text, second.text = p.text[:at], p.text[at:]
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

// tokens splits runs into words and spaces; a word may span runs.
func (f *flow) tokens(t Text, l look) []token {
	var all []token
	var word token
	flush := func() {
		if len(word.pieces) > 0 {
			all = append(all, word)
		}
		word = token{}
	}
	for _, run := range t {
		p := piece{face: sans, size: l.size, tone: run.Tone, to: run.To, out: run.Out}
		if p.tone == Ink {
			p.tone = l.tone
		}
		switch {
		case run.Mono || l.mono:
			p.face = mono
			if run.Mono && !l.mono {
				p.size *= 0.94 // the fixed face looks larger than the others
			}
		case run.Bold || l.bold:
			p.face = bold
		}
		text := run.Text
		if run.PageOf != "" {
			text = f.known.page(run.PageOf)
			f.quoted[run.PageOf] = true
		}
		if run.To != "" {
			f.quoted[run.To] = true
		}
		f.split(clean(text), p, &all, &word, flush)
	}
	flush()
	return all
}

func (f *flow) split(text string, p piece, all *[]token, word *token, flush func()) {
	rest := text
	for rest != "" {
		n := strings.IndexAny(rest, " \n")
		if n < 0 {
			n = len(rest)
		}
		if n > 0 {
			for _, q := range f.byFace(rest[:n], p) {
				word.pieces = append(word.pieces, q)
				word.wide += q.wide
			}
			rest = rest[n:]
			continue
		}
		flush()
		if rest[0] == '\n' {
			*all = append(*all, token{ends: true})
			rest = rest[1:]
			continue
		}
		n = len(rest) - len(strings.TrimLeft(rest, " "))
		p.text = rest[:n]
		p.wide = f.faces[p.face].Width(p.text, p.size)
		*all = append(*all, token{pieces: []piece{p}, wide: p.wide, space: true})
		rest = rest[n:]
	}
}

// byFace splits a word where its face lacks a rune that the plain face has.
func (f *flow) byFace(s string, p piece) []piece {
	var out []piece
	for _, r := range s {
		q := p
		if _, _, has := f.faces[p.face].Glyph(r); !has {
			if _, _, has = f.faces[sans].Glyph(r); has {
				q.face = sans
			}
		}
		if unicode.In(r, unicode.Arabic, unicode.Syriac, unicode.Nko, unicode.Mongolian) && unicode.IsLetter(r) {
			f.unjoined[r] = true
		}
		q.text = string(r)
		if last := len(out) - 1; last >= 0 && out[last].face == q.face {
			out[last].text += q.text
		} else {
			out = append(out, q)
		}
	}
	for i := range out {
		out[i].wide = f.faces[out[i].face].Width(out[i].text, out[i].size)
	}
	return out
}

// clean composes letters with their accents, turns tabs and other breaks into
// what set knows, and drops what has no shape of its own (controls, joiners,
// variation selectors), which a face would show as a sign.
func clean(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\u2028' || r == '\u2029' || r == '\r':
			return '\n'
		case r == '\t':
			return ' '
		case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Variation_Selector, unicode.Noncharacter_Code_Point):
			return -1
		}
		return r
	}, norm.NFC.String(s))
}
