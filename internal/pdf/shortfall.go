package pdf

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
)

// Shortfall says which signs of the whole document its faces cannot show, and
// which show otherwise than they are written. The list comes from the passes
// before, so that it is whole wherever it stands.
type Shortfall struct{}

func (s Shortfall) least(f *flow) float64 { return body.lead }

func (s Shortfall) place(f *flow) {
	for _, b := range s.blocks(f.known.lacking, f.known.unjoined) {
		f.need(b.least(f))
		b.place(f)
	}
}

func (s Shortfall) blocks(lacking, unjoined []rune) []Block {
	var bs []Block
	if len(lacking) == 0 && len(unjoined) == 0 {
		return []Block{Para{Text: Plain("Every sign of every name and text is shown as it was written.")}}
	}
	if len(lacking) > 0 {
		bs = append(bs, Para{Text: Plain("The faces of this document lack these signs. Each shows as a box or a question mark in a black diamond where it " +
			"stands; the text behind it, which can be copied out of the file, is right.")}, s.table("Signs that are not shown", lacking))
	}
	if len(unjoined) > 0 {
		bs = append(bs, Para{Text: Plain("The letters of these scripts join one another in writing. Here they stand one by one, each of them right.")},
			s.table("Letters that do not join", unjoined))
	}
	return bs
}

// table lists signs by their scripts: they cannot be shown, so their numbers in
// Unicode stand for them.
func (s Shortfall) table(caption string, signs []rune) Table {
	t := Table{Caption: caption, Columns: []Column{{Title: "Script", Fixed: 112}, {Title: "Signs, by their numbers in Unicode", Share: 1}}}
	byScript := map[string][]string{}
	for _, r := range signs {
		k := script(r)
		byScript[k] = append(byScript[k], fmt.Sprintf("U+%04X", r))
	}
	for _, k := range slices.Sorted(maps.Keys(byScript)) {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Plain(k)}, {Text: Fixed(strings.Join(byScript[k], " "))}}})
	}
	return t
}

// script is the script that a sign belongs to.
func script(r rune) string {
	for _, name := range slices.Sorted(maps.Keys(unicode.Scripts)) {
		if unicode.Is(unicode.Scripts[name], r) {
			if name == "Common" || name == "Inherited" {
				return "no one script"
			}
			return strings.ReplaceAll(name, "_", " ")
		}
	}
	return "none"
}
