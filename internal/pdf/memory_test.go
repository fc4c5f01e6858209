package pdf

import (
	"reflect"
	"testing"
)

// A text that was set before is not set again, another of the same look is, and one that quotes a page never stays.
func TestTextsAreRemembered(t *testing.T) {
	f := measuring(t)
	first := f.set(Plain("one two three"), body, 45)
	if again := f.set(Plain("one two three"), body, 45); &again[0] != &first[0] {
		t.Error("set twice")
	}
	for name, other := range map[string][]line{
		"wider": f.set(Plain("one two three"), body, 100), "smaller": f.set(Plain("one two three"), small, 45),
		"bold": f.set(Strong("one two three"), body, 45), "in two runs": f.set(Join(Plain("one two"), Plain(" three")), body, 45),
	} {
		if reflect.DeepEqual(other, first) {
			t.Errorf("%s counts as the same", name)
		}
	}
	f.known.pages, f.known.digits = map[string]int{"a": 7}, map[string]int{"a": 1}
	before := f.set(PageOf("a"), body, 45)[0].String()
	f.known.pages["a"] = 8
	if after := f.set(PageOf("a"), body, 45)[0].String(); before != "7" || after != "8" {
		t.Errorf("page %s, then %s", before, after)
	}
}

// Texts with one digest are told apart by their words.
func TestTextsOfOneDigest(t *testing.T) {
	f := measuring(t)
	key, _, _ := f.recall(Plain("one"), body, 45)
	f.remember(key, Plain("two"), []line{{wide: 1}})
	if _, lines, steady := f.recall(Plain("one"), body, 45); lines != nil || !steady {
		t.Errorf("one text stands in for another: %v", lines)
	}
}
