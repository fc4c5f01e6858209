package pdf

import (
	"hash/maphash"
	"slices"

	"witnessmark/internal/pdf/typeface"
)

// memory is what the passes over one document share: its faces, what its texts
// need, and texts as they were set. Most texts are set several times in each
// pass, to see whether they fit and then to be drawn.
type memory struct {
	faces    [faceCount]*typeface.Face
	quoted   map[string]bool // anchors that something leads to
	lacking  map[rune]bool   // signs that no face has
	unjoined map[rune]bool
	scan     scan
	seed     maphash.Seed
	texts    map[textKey]remembered
}

// textKey is a text's digest with how it is to be set. Two texts may share one,
// so the text itself is held against it.
type textKey struct {
	digest uint64
	look   look
	wide   float64
}

type remembered struct {
	text  Text
	lines []line
}

// mostTexts bounds what is remembered: some megabytes, whatever is drawn.
const mostTexts = 1 << 14

func newMemory(faces [faceCount]*typeface.Face) *memory {
	return &memory{faces: faces, quoted: map[string]bool{}, lacking: map[rune]bool{}, unjoined: map[rune]bool{},
		seed: maphash.MakeSeed(), texts: map[textKey]remembered{}}
}

// recall gives a text as it was set before; steady says that it may be
// remembered: page numbers are others in each pass.
func (m *memory) recall(t Text, l look, wide float64) (key textKey, lines []line, steady bool) {
	digest := uint64(len(t))
	for i := range t {
		if t[i].PageOf != "" {
			return textKey{}, nil, false
		}
		digest = (digest*31+t[i].manner())*31 ^ maphash.String(m.seed, t[i].Text)
	}
	key = textKey{digest, l, wide}
	if r, ok := m.texts[key]; ok && slices.Equal(r.text, t) {
		return key, r.lines, true
	}
	return key, nil, true
}

// manner is a number for how a run is set, so that words in bold and the same
// in plain letters are remembered beside one another.
func (r *Run) manner() uint64 {
	n := uint64(r.Tone) << 2
	if r.Bold {
		n |= 1
	}
	if r.Mono {
		n |= 2
	}
	return n
}

func (m *memory) remember(key textKey, t Text, lines []line) {
	if len(m.texts) < mostTexts {
		m.texts[key] = remembered{t, lines}
	}
}
