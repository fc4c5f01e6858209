package store

import "maps"

// Span is a part of a list: so many rows, after so many.
type Span struct{ Limit, Offset int }

// spanned adds it to a statement's arguments, as @limit and @offset.
func (a args) spanned(s Span) args {
	a = maps.Clone(a)
	a["limit"], a["offset"] = s.Limit, s.Offset
	return a
}

// paged reads a span of a list, and how many rows all of it has. from is FROM with what follows, order the ORDER BY.
func paged[T any](r *reader, what, columns, from, order string, a args, s Span) (page []T, in int, err error) {
	var counts []int
	queueColumn(r, &counts, `SELECT count(*) `+from, a)
	queue(r, &page, `SELECT `+columns+from+` ORDER BY `+order+` LIMIT @limit OFFSET @offset`, a.spanned(s))
	in, err = first(counts, what, r.send(what))
	return page, in, err
}
