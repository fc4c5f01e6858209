package pdf

import "witnessmark/internal/pdf/writer"

// Tone is what a colour means; the words beside it say the same.
type Tone int

// The tones, after the tokens of the project's look.
const (
	Ink Tone = iota
	Soft
	Copper
	Good
	Wrong
	Rule // lines only
)

var palette = [...]writer.RGB{
	Ink:    {0x18 / 255., 0x21 / 255., 0x1d / 255.},
	Soft:   {0x5a / 255., 0x65 / 255., 0x5e / 255.},
	Copper: {0x9a / 255., 0x4a / 255., 0x12 / 255.},
	Good:   {0x1d / 255., 0x6b / 255., 0x3a / 255.},
	Wrong:  {0xa3 / 255., 0x20 / 255., 0x20 / 255.},
	Rule:   {0xc9 / 255., 0xcf / 255., 0xc6 / 255.},
}

// paper is the tint under bars and headings of tables.
var paper = writer.RGB{0xf4 / 255., 0xf2 / 255., 0xea / 255.}

// Run is a stretch of text set in one way.
type Run struct {
	Text   string
	Bold   bool
	Mono   bool
	Tone   Tone
	To     string // anchor that the run leads to
	Out    string // address outside the file that the run leads to
	PageOf string // anchor whose page number is printed in place of Text
}

// Text is runs one after the other. A line feed starts a new line; thin and
// no-break spaces hold a value and its unit together.
type Text []Run

// Plain is s set as its surroundings are.
func Plain(s string) Text { return Text{{Text: s}} }

// Strong is s in bold.
func Strong(s string) Text { return Text{{Text: s, Bold: true}} }

// Quiet is s in soft ink.
func Quiet(s string) Text { return Text{{Text: s, Tone: Soft}} }

// Toned is s in a tone.
func Toned(t Tone, s string) Text { return Text{{Text: s, Tone: t}} }

// Fixed is s in the face with letters of one width, for digests and codes.
func Fixed(s string) Text { return Text{{Text: s, Mono: true}} }

// To is s leading to an anchor.
func To(anchor, s string) Text { return Text{{Text: s, To: anchor}} }

// PageOf is the number of the page on which an anchor stands, leading there.
func PageOf(anchor string) Text { return Text{{PageOf: anchor, To: anchor}} }

// Join puts texts one after the other.
func Join(parts ...Text) Text {
	var all Text
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// look is how a text is set where its runs do not say otherwise.
type look struct {
	size, lead float64
	bold, mono bool
	tone       Tone
	keep       bool // spaces at the start of a line stay
}

var (
	body    = look{size: 9, lead: 13.2}
	small   = look{size: 7.6, lead: 10.8}
	label   = look{size: 7.6, lead: 10.8, tone: Soft}
	caption = look{size: 8, lead: 11.2}
	working = look{size: 8.2, lead: 12.6, mono: true, keep: true}
)
