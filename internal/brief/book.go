package brief

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Book is the editions of rule sets that a brief is put under: those in force on a day (BookOn), or those that an attempt
// was marked with (BookOf). The zero Book has none.
type Book struct {
	entries map[string]bookEntry // by the set's key
}

// bookEntry is what a book knows of one rule set.
type bookEntry struct {
	set *RuleSet // nil where no edition is in the book
	why string   // then: why not, a sentence
}

// Edition is the edition of a set that is in the book; ok is false where there is none.
func (bk Book) Edition(set string) (rs *RuleSet, ok bool) {
	e := bk.entries[set]
	return e.set, e.set != nil
}

// Empty says whether the book knows of no rule set at all.
func (bk Book) Empty() bool { return len(bk.entries) == 0 }

// BookOf makes the book of the editions named, as an attempt was marked with them; those that are not among sets are
// problems.
func BookOf(sets []RuleSet, editions []RuleEdition) (Book, Problems) {
	bk, ps := Book{map[string]bookEntry{}}, Problems(nil)
	for _, e := range editions {
		i := slices.IndexFunc(sets, func(rs RuleSet) bool { return rs.Key == e.Set && rs.Edition == e.Edition })
		if i < 0 {
			why := fmt.Sprintf("Edition “%s” of the rule set “%s” is not there.", shorten(e.Edition), shorten(e.Set))
			bk.entries[e.Set] = bookEntry{why: why}
			ps = append(ps, Problem{Text: why})
			continue
		}
		bk.entries[e.Set] = bookEntry{set: &sets[i]}
	}
	return bk, ps
}

// BookOn makes the book of a day: of each set the checked edition that is in force then. Problems are what keeps the
// editions of one set from following one another: gaps and overlaps, with their days, and an edition that would be in
// force had somebody checked it. Their paths start with "sets[i]", i an index into sets (Problems.OfSet); with problems,
// too, the book holds every edition that is in force beyond doubt. Editions whose days are none (CheckRules) are left out.
func BookOn(sets []RuleSet, day Day) (Book, Problems) {
	bk, ps := Book{map[string]bookEntry{}}, Problems(nil)
	for _, key := range setKeys(sets) {
		s := shelf{sets: sets, key: key}
		s.sort()
		s.named()
		s.follow()
		bk.entries[key] = s.on(day)
		ps = append(ps, s.problems...)
	}
	return bk, ps
}

// OfSet are the problems that BookOn found with sets[i], their paths counted from that set.
func (ps Problems) OfSet(i int) Problems {
	var out Problems
	for _, p := range ps {
		if rest, ok := strings.CutPrefix(p.Path, setPath(i, "")); ok {
			p.Path = rest
			out = append(out, p)
		}
	}
	return out
}

func setPath(i int, member string) string { return fmt.Sprintf("sets[%d].%s", i, member) }

// setKeys are the sets' keys, each once, in order.
func setKeys(sets []RuleSet) []string {
	var keys []string
	for i := range sets {
		keys = append(keys, sets[i].Key)
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

// shelf is the editions of one set.
type shelf struct {
	sets      []RuleSet
	key       string
	checked   []int // those that count, by their first day
	unchecked []int
	problems  Problems
}

func (s *shelf) say(i int, member, format string, args ...any) {
	s.problems = append(s.problems, Problem{Path: setPath(i, member), Text: fmt.Sprintf(format, args...)})
}

// sort finds the set's editions.
func (s *shelf) sort() {
	for i := range s.sets {
		rs := &s.sets[i]
		switch {
		case rs.Key != s.key || !rs.ValidFrom.Real() || rs.ValidTo != "" && !rs.ValidTo.Real():
		case rs.checked():
			s.checked = append(s.checked, i)
		default:
			s.unchecked = append(s.unchecked, i)
		}
	}
	slices.SortStableFunc(s.checked, func(a, b int) int { return cmp.Compare(s.sets[a].ValidFrom, s.sets[b].ValidFrom) })
}

// named says which editions have one name: an attempt could not tell which it was marked with.
func (s *shelf) named() {
	seen := map[string]bool{}
	for i := range s.sets {
		if rs := &s.sets[i]; rs.Key == s.key {
			if seen[rs.Edition] {
				s.say(i, "edition", "The rule set “%s” has an edition “%s” already. Give this one another name.", s.key, shorten(rs.Edition))
			}
			seen[rs.Edition] = true
		}
	}
}

// follow holds each edition to the one before it.
func (s *shelf) follow() {
	if len(s.checked) == 0 {
		return
	}
	last := s.checked[0] // the one that has run longest so far
	for _, i := range s.checked[1:] {
		before, rs := &s.sets[last], &s.sets[i]
		switch {
		case rs.ValidFrom == before.ValidFrom && before.ValidTo == "":
			s.say(i, "valid-from", "The editions “%s” and “%s” of “%s” both start on %s. One of the two has another first day.",
				before.Edition, rs.Edition, s.key, rs.ValidFrom.Words())
		case before.ValidTo == "": // until this one starts
		case rs.ValidFrom <= before.ValidTo:
			s.say(i, "valid-from", "Two editions of “%s” are in force %s: “%s” and “%s”. End the one before the other starts.",
				s.key, daysInWords(rs.ValidFrom, earlier(before.ValidTo, rs.ValidTo)), before.Edition, rs.Edition)
		case rs.ValidFrom > before.ValidTo.plus(1):
			s.say(i, "valid-from", "No edition of “%s” is in force %s, between “%s” and “%s”. Let one of the two take these days.",
				s.key, daysInWords(before.ValidTo.plus(1), rs.ValidFrom.plus(-1)), before.Edition, rs.Edition)
		}
		if rs.ValidTo == "" || before.ValidTo == "" || rs.ValidTo > before.ValidTo {
			last = i
		}
	}
}

// earlier is the first of two last days, of which the second may be open.
func earlier(a, b Day) Day {
	if b != "" && b < a {
		return b
	}
	return a
}

// on finds the edition that is in force on a day.
func (s *shelf) on(day Day) bookEntry {
	var in []int
	for n, i := range s.checked {
		rs := &s.sets[i]
		open := rs.ValidTo == "" && !slices.ContainsFunc(s.checked[n+1:], func(j int) bool {
			return s.sets[j].ValidFrom > rs.ValidFrom && s.sets[j].ValidFrom <= day
		})
		if rs.ValidFrom <= day && (open || day <= rs.ValidTo) {
			in = append(in, i)
		}
	}
	switch {
	case len(in) == 1:
		return bookEntry{set: &s.sets[in[0]]}
	case len(in) > 1:
		return bookEntry{why: fmt.Sprintf("Two editions of the rule set “%s” are in force on %s: “%s” and “%s”.",
			s.key, day.Words(), s.sets[in[0]].Edition, s.sets[in[1]].Edition)}
	}
	for _, i := range s.unchecked {
		if rs := &s.sets[i]; rs.ValidFrom <= day && (rs.ValidTo == "" || day <= rs.ValidTo) {
			s.say(i, "checked-by", "Edition “%s” of “%s” would be in force on %s, but %s.", rs.Edition, s.key, day.Words(), rs.unchecked())
			return bookEntry{why: fmt.Sprintf("No edition of the rule set “%s” is in force on %s: nobody else has checked edition “%s” yet.", s.key, day.Words(), rs.Edition)}
		}
	}
	return bookEntry{why: fmt.Sprintf("No edition of the rule set “%s” is in force on %s.", s.key, day.Words())}
}

// unchecked says why an edition does not count.
func (rs *RuleSet) unchecked() string {
	if strings.TrimSpace(rs.CheckedBy) == "" {
		return "nobody has checked it. Another person than the one who entered it compares it with its source and puts their name at “checked-by”"
	}
	return "the person who entered it has checked it as well. Another person has to"
}
