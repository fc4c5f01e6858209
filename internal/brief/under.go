package brief

// RuleSets are the keys of the rule sets that the brief names, in the order in which it first names them.
func (b *Brief) RuleSets() []string {
	return nil
}

// Under gives the brief with each rule that it names put in from the book, as if its limits, values and tables were written
// out: what Check, Compile, Draw and marking work on. Limits, givens and tables from a rule have the set's title, edition and
// source for their Source; RuledBy names the editions. The brief itself is not changed.
//
// Problems are the rules that cannot be put in, at their places in the brief; these are left as they are. A brief that names
// no rules comes back without problems from any book.
func (b *Brief) Under(bk Book) (*Brief, Problems) {
	return b, nil
}
