package decision

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/fault"
)

// inPlaceMost bounds how long it may be said why somebody else observes, in characters (our own value).
const inPlaceMost = 500

// InPlaceOf is the record of what somebody saw, checked or asked who was not named to: why they did it in the place of the person named is
// the last line of its words, so that it stands wherever these do.
func (r Record) InPlaceOf(named, why string) (Record, error) {
	why = strings.Join(strings.Fields(why), " ")
	switch {
	case why == "":
		return Record{}, fault.Invalid("in_place", "%s was named to observe this work. Say in a few words why you do it in their place.", named)
	case utf8.RuneCountInString(why) > inPlaceMost:
		return Record{}, fault.Invalid("in_place", "Say it in at most %d characters.", inPlaceMost)
	}
	r.Words = strings.TrimSpace(fmt.Sprintf("%s\nIn place of %s, who was named to observe: %s", r.Words, named, why))
	return r, nil
}
