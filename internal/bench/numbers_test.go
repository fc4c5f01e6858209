package main

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"
)

// Every id is a UUID in its canonical form, later numbers sort later, and putting the number in the place of its mark gives
// the id back: what pgbench reckons is what the program's side reckons.
func TestNumbers(t *testing.T) {
	var last string
	for _, i := range []int64{0, 1, 255, 256, 99_999_999} {
		n := numberOf(i)
		ids := []string{n.attempt(), personID(n.trainee()), n.entry(0), n.entry(11)}
		for _, s := range ids {
			if u, err := uuid.Parse(s); err != nil || u.String() != s {
				t.Errorf("%s is no canonical UUID: %v", s, err)
			}
			marked := marks(n, 12).Replace(s)
			back := strings.NewReplacer(numberMark, n.attempt()[24:], traineeMark, personID(n.trainee())[32:]).Replace(marked)
			if u, err := uuid.Parse(back); err != nil || u.String() != s || marked == s {
				t.Errorf("%s is marked %s and becomes %s, %v", s, marked, back, err)
			}
		}
		if n.attempt() <= last || !slices.IsSorted(ids[2:]) {
			t.Errorf("ids of %d are out of order: %v", n, ids)
		}
		last = n.attempt()
	}
}
