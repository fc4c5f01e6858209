package quantity

import (
	"testing"

	"pgregory.net/rapid"
)

// TestScanPlain: the short way reads what numberScanner reads.
func TestScanPlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[0-9]{0,10}[.]?[0-9]{0,9}[ )×.,eEx/½0a%-]{0,2}[0-9a ,]{0,3}`).Draw(t, "s")
		n, size, ok := scanPlain(s)
		if !ok {
			return
		}
		sc := numberScanner{s: s}
		want, err := sc.scan()
		if err != nil || n != want || size != sc.pos {
			t.Fatalf("%q: %+v, %d; want %+v, %d, %v", s, n, size, want, sc.pos, err)
		}
	})
}
