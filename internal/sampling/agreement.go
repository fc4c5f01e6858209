package sampling

import "cmp"

// Few is how many things at least two people judged before figures of agreement say anything: under it they are shown with the
// words "too few" (our own value).
const Few = 10

// Judgements is what several people said of the same things: a row a thing, a column a person, "" where that person said
// nothing. The other strings are categories; no order is seen between them.
type Judgements [][]string

// Figure is a number that may be unknown, since there was nothing to work it out from.
type Figure struct {
	Value float64
	Known bool
}

// known is a figure that could be worked out.
func known(v float64) Figure { return Figure{Value: v, Known: true} }

// ratio is a over b, unknown where b is 0.
func ratio(a, b float64) Figure {
	if b == 0 {
		return Figure{}
	}
	return known(a / b)
}

// Agreement is how far people agreed. Shares run from 0 to 1; alpha is 1 where all agree and 0 where they agree as often as
// chance would have it, and can be below.
type Agreement struct {
	Things int // judged by at least two
	Pairs  int // of judgements on the same thing
	Raw    Figure
	// Positive is how often a judgement of the one category meets the same from another person, Negative of the other.
	Positive, Negative Figure
	Alpha, Low, High   Figure // Krippendorff's, nominal, with the 95 % interval of resampled things
	TooFew             bool   // fewer things than Few
}

// Agree works out how far people agreed. positive and negative are the two categories whose own agreement is asked for; seed
// decides the resampling, so that the same judgements with the same seed give the same interval.
func Agree(j Judgements, positive, negative string, seed uint64) Agreement {
	t := j.counts()
	a := Agreement{Things: len(t.rows), TooFew: len(t.rows) < Few}
	for _, r := range t.rows {
		a.Pairs += r.total * (r.total - 1) / 2
	}
	a.Raw, a.Positive, a.Negative = t.raw(), t.specific(positive), t.specific(negative)
	a.Alpha = t.alpha(t.all())
	if a.Alpha.Known {
		a.Low, a.High = t.interval(seed)
	}
	return a
}

// tally is judgements as counts: of each thing that at least two people judged, how many gave each category.
type tally struct {
	categories []string
	rows       []tallied
}

type tallied struct {
	by    []int // by the category's place
	total int
}

// counts leaves out things with a single judgement: there is nothing to hold that against.
func (j Judgements) counts() tally {
	var t tally
	place := map[string]int{}
	for _, row := range j {
		for _, c := range row {
			if _, ok := place[c]; !ok && c != "" {
				place[c] = len(t.categories)
				t.categories = append(t.categories, c)
			}
		}
	}
	for _, row := range j {
		r := tallied{by: make([]int, len(t.categories))}
		for _, c := range row {
			if c != "" {
				r.by[place[c]]++
				r.total++
			}
		}
		if r.total > 1 {
			t.rows = append(t.rows, r)
		}
	}
	return t
}

// raw is the share of pairs of judgements on the same thing that are alike.
func (t tally) raw() Figure {
	alike, pairs := 0, 0
	for _, r := range t.rows {
		pairs += r.total * (r.total - 1)
		for _, n := range r.by {
			alike += n * (n - 1)
		}
	}
	return ratio(float64(alike), float64(pairs))
}

// specific is the share of a category's judgements that meet the same from another person, over all ways to pair them: for two
// people and two categories 2a/(2a+b+c) (Cicchetti and Feinstein 1990, "High agreement but low kappa: II", from memory).
func (t tally) specific(category string) Figure {
	alike, pairs := 0, 0
	for i, c := range t.categories {
		if c != category {
			continue
		}
		for _, r := range t.rows {
			alike += r.by[i] * (r.by[i] - 1)
			pairs += r.by[i] * (r.total - 1)
		}
	}
	return ratio(float64(alike), float64(pairs))
}

// all is every thing once, in its order.
func (t tally) all() []int {
	all := make([]int, len(t.rows))
	for i := range all {
		all[i] = i
	}
	return all
}

// alpha is Krippendorff's alpha for nominal categories and missing judgements, over the things that are named, some perhaps more
// than once: one less the observed over the expected disagreement (Krippendorff, "Computing Krippendorff's
// Alpha-Reliability", 2011, section C, from memory). It is unknown where everybody said the same of everything, since then nothing
// shows that they would have told a difference.
func (t tally) alpha(things []int) Figure {
	var observed, total float64
	by := make([]float64, len(t.categories))
	for _, i := range things {
		r := t.rows[i]
		unlike := r.total * (r.total - 1)
		for c, n := range r.by {
			unlike -= n * (n - 1)
			by[c] += float64(n)
		}
		observed += float64(unlike) / float64(r.total-1)
		total += float64(r.total)
	}
	expected := total * total
	for _, n := range by {
		expected -= float64(n * n)
	}
	if expected == 0 {
		return Figure{}
	}
	return known(1 - float64((total-1)*observed)/expected)
}

// order sorts figures by value.
func order(a, b Figure) int { return cmp.Compare(a.Value, b.Value) }
