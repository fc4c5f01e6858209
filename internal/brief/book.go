package brief

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

// BookOn makes the book of a day: of each set the checked edition that is in force then. Problems are what keeps the
// editions of one set from following one another: gaps and overlaps, with their days, and an edition that would be in
// force had somebody checked it. Their paths start with "sets[i]", i an index into sets (Problems.OfSet); with problems,
// too, the book holds every edition that is in force beyond doubt.
func BookOn(sets []RuleSet, day Day) (Book, Problems) {
	return Book{}, nil
}

// BookOf makes the book of the editions named, as an attempt was marked with them; those that are not among sets are
// problems.
func BookOf(sets []RuleSet, editions []RuleEdition) (Book, Problems) {
	return Book{}, nil
}
