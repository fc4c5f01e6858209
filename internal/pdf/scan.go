package pdf

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// token is a word, the space between words, or the end of a line.
type token struct {
	pieces []piece
	wide   float64
	space  bool
	ends   bool
}

// scan is a text being split into tokens. The pieces of all tokens stand one
// after the other in one list; those from open on belong to the word under way.
// A flow has one, whose lists are used again for the next text.
type scan struct {
	*flow
	all    []token
	pieces []piece
	open   int
	wide   float64 // of the word under way
}

// tokens splits runs into words and spaces; a word may span runs. Turns says
// that there are letters of a script that runs from right to left. The tokens
// stand until the next call.
func (f *flow) tokens(t Text, l look) (all []token, turns bool) {
	s := &f.scan
	s.flow, s.all, s.pieces, s.open, s.wide = f, s.all[:0], s.pieces[:0], 0, 0
	for _, run := range t {
		p := style{face: sans, size: l.size, tone: run.Tone, to: run.To, out: run.Out}
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
		text = clean(text)
		turns = turns || !plain(text) && strings.ContainsFunc(text, runsLeft)
		s.run(text, p)
	}
	s.end()
	return s.all, turns
}

// end ends the word under way.
func (s *scan) end() {
	if n := len(s.pieces); n > s.open {
		s.all = append(s.all, token{pieces: s.pieces[s.open:n:n], wide: s.wide})
		s.open, s.wide = n, 0
	}
}

// run splits one run of a text that is clean.
func (s *scan) run(text string, in style) {
	for at := 0; at < len(text); {
		n := strings.IndexAny(text[at:], " \n")
		if n < 0 {
			n = len(text) - at
		}
		if n > 0 {
			first := len(s.pieces)
			s.pieces = s.byFace(s.pieces, text, at, at+n, in)
			for _, p := range s.pieces[first:] {
				s.wide += p.wide
			}
			at += n
			continue
		}
		s.end()
		if text[at] == '\n' {
			s.all = append(s.all, token{ends: true})
			at++
			continue
		}
		n = len(text) - at - len(strings.TrimLeft(text[at:], " "))
		p := piece{style: in, text: text[at : at+n], from: text, at: at}
		p.wide = s.faces[in.face].Width(p.text, in.size)
		s.pieces = append(s.pieces, p)
		s.open = len(s.pieces)
		s.all = append(s.all, token{pieces: s.pieces[s.open-1 : s.open : s.open], wide: p.wide, space: true})
		at += n
	}
}

// byFace appends a word, which stands in text from from to to, split where its
// face lacks a rune that the plain face has.
func (f *flow) byFace(out []piece, text string, from, to int, in style) []piece {
	first := len(out)
	for i, r := range text[from:to] {
		face := in.face
		_, advance, has := f.faces[face].Glyph(r)
		if !has {
			if _, other, inSans := f.faces[sans].Glyph(r); inSans {
				face, advance = sans, other
			} else {
				f.lacking[r] = true
			}
		}
		if r >= firstJoined && unicode.In(r, unicode.Arabic, unicode.Syriac, unicode.Nko, unicode.Mongolian) && unicode.IsLetter(r) {
			f.unjoined[r] = true
		}
		if last := len(out) - 1; last < first || out[last].face != face {
			p := piece{style: in, from: text, at: from + i}
			p.face = face
			out = append(out, p)
		}
		p := &out[len(out)-1]
		p.text = text[p.at : from+i+utf8.RuneLen(r)]
		p.wide += float64(advance) // in the face's units, until the word is whole
	}
	for i := first; i < len(out); i++ {
		out[i].wide *= out[i].size / float64(f.faces[out[i].face].UnitsPerEm())
	}
	return out
}

// firstJoined is where the first script begins whose letters join: Arabic.
const firstJoined = 0x600

// plain says that a text is of letters, signs and line feeds of ASCII alone.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < ' ' || c > '~') && c != '\n' {
			return false
		}
	}
	return true
}

// clean composes letters with their accents, turns tabs and other breaks into
// what set knows, and drops what has no shape of its own (controls, joiners,
// variation selectors), which a face would show as a sign.
func clean(s string) string {
	if plain(s) {
		return s
	}
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r >= ' ' && r <= '~' || r > '\u00ad' && r < '\u0300':
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
