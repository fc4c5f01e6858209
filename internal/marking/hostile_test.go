package marking

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"
)

// ladder is a brief whose figures each rest on the two before it, so that there are more ways through it than can be walked.
func ladder(rungs int) []byte {
	b := []byte(`brief: 1
key: ladder
title: Ladder
about: Each figure rests on the two before it.
criteria: [{unit: BSE-101, codes: ["1.1"]}]
given: [{name: a, is: a length, value: 2 m}, {name: b, is: a length, value: 3 m}]
stages:
  - key: work
    title: Work
    items:
`)
	before := [2]string{"a", "b"}
	for i := range rungs {
		key := fmt.Sprintf("f%d", i)
		b = fmt.Appendf(b, "      - {key: %s, title: Rung %d, criteria: [\"1.1\"], figure: {ask: a length, unit: m, formula: \"%s/2 + %s/2\", tolerance: {relative: 1 %%}}}\n", key, i, before[0], before[1])
		before = [2]string{before[1], key}
	}
	return b
}

// A brief of many figures that rest on one another is compiled, marked and explained in steps that its lines bound.
func TestFiguresThatRestOnManyOthers(t *testing.T) {
	c := compile(t, ladder(80))
	r := Mark(c, ModelSheet(c))
	if len(r.Findings) != 80 {
		t.Fatalf("%d findings, want 80", len(r.Findings))
	}
	if len(ExplainAll(c, ModelSheet(c))) == 0 {
		t.Error("nothing is explained")
	}
	NewBulk(c, 8)
}

// Working whose every line goes on from the one above is read in one go, and refused for its length.
func TestWorkingThatNeverEnds(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	working("P", strings.Repeat("=1\n", 300_000))(&s)
	if f := find(t, Mark(c, s), "P"); !hasFlag(f, FlagWorkingUnread) {
		t.Errorf("flags %v, want %s", f.Flags, FlagWorkingUnread)
	}
}

// One compiled brief is shared: whoever asks first makes its slips, and all get the same bytes.
func TestOneBriefMarkedByManyAtOnce(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := submitted(t)
	want := asJSON(t, Mark(compiled(t, "bay7.yaml"), s))
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			if got := asJSON(t, Mark(c, s)); !bytes.Equal(got, want) {
				t.Error("the same brief and sheet gave other bytes")
			}
			b := NewBulk(c, 4)
			block := b.NewBlock()
			b.Add(block, s)
			b.Mark(block, b.NewCodes())
			ExplainAll(c, s)
		})
	}
	group.Wait()
}
