package pdf

import (
	"slices"
	"strings"
	"unicode"
)

// visual puts words of scripts that run from right to left into the order in
// which they are drawn, left to right. Stretches of such words turn round as
// a whole, and brackets within them the other way; figures inside them keep
// their order. Signs at either end of a stretch stay where they are, unless the
// line has nothing else. It is the plain case of Unicode's rules (UAX 9):
// letters are not joined as Arabic ones should be. How wide a piece is tells
// wide, for signs that come to stand with another piece.
func visual(pieces []piece, wide func(piece) float64) []piece {
	if !slices.ContainsFunc(pieces, leftward) {
		return pieces
	}
	out := slices.Clone(pieces)
	for from := 0; from < len(out); from++ {
		if !leftward(out[from]) {
			continue
		}
		last := from // spaces and signs inside a stretch turn with it
		for i := from; i < len(out) && (leftward(out[i]) || neutral(out[i])); i++ {
			if leftward(out[i]) {
				last = i
			}
		}
		turn(out[from:last+1], len(out), wide)
		from = last
	}
	return out
}

// turn turns a stretch of a line of so many pieces round.
func turn(stretch []piece, line int, wide func(piece) float64) {
	first, last := &stretch[0], &stretch[len(stretch)-1]
	var head, tail string
	if len(stretch) < line || strings.ContainsFunc(first.text+last.text, rightward) {
		core := strings.TrimLeftFunc(first.text, sign)
		head, first.text = first.text[:len(first.text)-len(core)], core
		core = strings.TrimRightFunc(last.text, sign)
		tail, last.text = last.text[len(core):], core
	}
	for i := range stretch {
		if leftward(stretch[i]) || !strings.ContainsFunc(stretch[i].text, unicode.IsDigit) {
			stretch[i].text = turned(stretch[i].text)
		}
	}
	slices.Reverse(stretch)
	if head+tail != "" {
		first.text = head + first.text
		last.text += tail // of the same piece, perhaps
		first.wide, last.wide = wide(*first), wide(*last)
	}
}

// sign says that a rune is neither part of a word nor of a figure.
func sign(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.M, r)
}

// rightward says that a rune is a letter that runs from left to right.
func rightward(r rune) bool { return unicode.IsLetter(r) && !runsLeft(r) }

func leftward(p piece) bool {
	for _, r := range p.text {
		if runsLeft(r) {
			return true
		}
	}
	return false
}

func neutral(p piece) bool { return !strings.ContainsFunc(p.text, unicode.IsLetter) }

// firstLeftward is where the first script begins that runs from right to left:
// Hebrew.
const firstLeftward = 0x590

func runsLeft(r rune) bool {
	return r >= firstLeftward && unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko) && unicode.IsLetter(r)
}

// mirrored are signs that are drawn the other way in words that run to the left
// (Unicode's BidiMirroring.txt; from memory).
var mirrored = map[rune]rune{'(': ')', ')': '(', '[': ']', ']': '[', '{': '}', '}': '{', '<': '>', '>': '<', '«': '»', '»': '«', '‹': '›', '›': '‹', '≤': '≥', '≥': '≤'}

// turned reverses a word, keeping marks behind their letter and runs of
// figures, with their decimal signs, or left-to-right letters as they are.
func turned(s string) string {
	var groups [][]rune
	kind := 0
	runes := []rune(s)
	for i, r := range runes {
		k := 1
		within := i > 0 && i+1 < len(runes) && strings.ContainsRune(".,:/", r) && unicode.IsDigit(runes[i-1]) && unicode.IsDigit(runes[i+1])
		if (unicode.IsDigit(r) || unicode.IsLetter(r)) && !runsLeft(r) || within {
			k = 2
		}
		if other, ok := mirrored[r]; ok {
			r = other
		}
		joins := unicode.Is(unicode.M, r) || k == 2 && kind == 2
		if joins && len(groups) > 0 {
			groups[len(groups)-1] = append(groups[len(groups)-1], r)
		} else {
			groups = append(groups, []rune{r})
		}
		if !unicode.Is(unicode.M, r) {
			kind = k
		}
	}
	slices.Reverse(groups)
	return string(slices.Concat(groups...))
}
