package pdf

import (
	"slices"
	"unicode"
)

// visual puts words of scripts that run from right to left into the order in
// which they are drawn, left to right. Stretches of such words turn round as
// a whole; figures inside them keep their order. It is the plain case of
// Unicode's rules (UAX 9): letters are not joined as Arabic ones should be.
func visual(pieces []piece) []piece {
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
		for i := from; i <= last; i++ {
			out[i].text = turned(out[i].text)
		}
		slices.Reverse(out[from : last+1])
		from = last
	}
	return out
}

func leftward(p piece) bool {
	for _, r := range p.text {
		if runsLeft(r) {
			return true
		}
	}
	return false
}

func neutral(p piece) bool {
	for _, r := range p.text {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return false
		}
	}
	return true
}

// firstLeftward is where the first script begins that runs from right to left:
// Hebrew.
const firstLeftward = 0x590

func runsLeft(r rune) bool {
	return r >= firstLeftward && unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko) && unicode.IsLetter(r)
}

// turned reverses a word, keeping marks behind their letter and runs of
// figures or left-to-right letters as they are.
func turned(s string) string {
	var groups [][]rune
	kind := 0
	for _, r := range s {
		k := 1
		if (unicode.IsDigit(r) || unicode.IsLetter(r)) && !runsLeft(r) {
			k = 2
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
