package marking

import (
	"strings"
	"testing"
)

const loopBrief = `brief: 1
key: loop
title: Loop
about: A rig.
criteria: [{unit: BSE-101, codes: ["1.1"]}]
given:
  - {name: Ze, is: impedance of the supply, value: 0.24 Ω}
  - {name: R, is: resistance of the cable, from: 0.40000 Ω, to: 0.44000 Ω, step: 0.00001 Ω}
stages:
  - key: work
    title: Work
    items:
      - key: Z
        title: Loop
        criteria: ["1.1"]
        figure:
          ask: loop impedance
          unit: Ω
          formula: Ze + R
          tolerance: {absolute: 0.02 Ω}
          slips:
            - {key: no-supply, is: left the supply out, formula: R}
`

// The supply taken for milliohms adds 0.00024 Ω to the cable: at three figures that mostly shows the digits of the supply
// left out, which the brief declares. Worked by hand.
func TestPolicy15MadeSlipsGiveWayOnTheStatedDigits(t *testing.T) {
	c := compile(t, []byte(loopBrief))
	for _, row := range []struct {
		name, r, stated string
		slip            string
		also            string
	}{
		{"both show 0.431", "0.4307", "0.431", "no-supply", ""},
		{"in another unit", "0.4307", "431 mΩ", "no-supply", ""},
		{"told apart by a fourth digit", "0.4307", "0.4309", "unit Ze mΩ", ""},
		{"the declared one to a fourth digit", "0.4307", "0.4307", "no-supply", ""},
		{"the made one alone rounds to it", "0.4303", "0.4305", "unit Ze mΩ", ""},
		{"zeros that need not count tell them apart", "0.42976", "430000 μΩ", "", "no-supply, unit Ze mΩ"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := ModelSheet(c)
			given("R", row.r)(&s)
			text, unit, _ := strings.Cut(row.stated, " ")
			put("Z", text, unit)(&s)
			f := find(t, Mark(c, s), "Z")
			var also []string
			for _, m := range f.Candidates {
				also = append(also, m.Key)
			}
			if got := strings.Join(also, ", "); slipOf(f) != row.slip || got != row.also {
				t.Errorf("got %q and %q, want %q and %q\n%s", slipOf(f), got, row.slip, row.also, f.Tutor)
			}
			b := NewBulk(c, 1)
			block, codes := b.NewBlock(), b.NewCodes()
			b.Add(block, s)
			b.Mark(block, codes)
			if got, want := codeWords(b.Figures()[0], codes[0][0]), findingWords(f); got != want {
				t.Errorf("bulk says %s, Mark %s", got, want)
			}
		})
	}
}
