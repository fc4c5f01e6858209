package marking

import "witnessmark/internal/brief"

// grid marks a functional test cell by cell: each is a line of its own, "row/check". Then it says what the wrong cells
// point at.
func (m *marker) grid(it *brief.CompiledItem) {
	test := it.Item.Test
	s := m.seen(it)
	for r := range test.Rows {
		for i := range test.Checks {
			part := cell{r, i}.part(test)
			e, _ := m.entry(it, part, brief.NoPhase)
			f := s.finding(e.Text, r, i)
			f.Part = part
			m.retests(it, &f, func(row EarlierRow) Verdict { return s.finding(row.Text, r, i).Verdict })
			sayWords(&f)
			m.add(it, f)
		}
	}
	m.diagnose(it, s)
}

// cell is one cell of a grid.
type cell struct{ row, check int }

// part names the cell's line.
func (c cell) part(test *brief.FunctionalTest) string {
	return test.Rows[c.row].Key + "/" + test.Checks[c.check].Key
}

// seen is a functional test as the trainee saw it.
type seen struct {
	test      *brief.FunctionalTest
	words     [][]string // by row and check, as the brief spells them; "" where nothing stands, or none of the options
	positions [][]string // the same with what was held resolved
}

func (m *marker) seen(it *brief.CompiledItem) *seen {
	test := it.Item.Test
	s := &seen{test: test, words: make([][]string, len(test.Rows))}
	for r := range test.Rows {
		s.words[r] = make([]string, len(test.Checks))
		for i := range test.Checks {
			e, _ := m.entry(it, cell{r, i}.part(test), brief.NoPhase)
			s.words[r][i], _ = option(test.Checks[i].Options, e.Text, "")
		}
	}
	s.positions = test.Positions(s.words)
	return s
}

// finding compares what was seen in a cell with what is expected there.
func (s *seen) finding(text string, row, check int) Finding {
	want := s.expected(row, check)
	f := words(text, want, s.test.Checks[check].Options)
	if f.Verdict != Wrong {
		return f
	}
	word, _ := option(s.test.Checks[check].Options, text, "")
	switch s.held(word, want, row, check) {
	case same:
		f.Verdict, f.Code = Correct, codeHeld
	case unknown:
		f.Verdict, f.Code = ToRead, codeRowBefore
	case other:
	}
	return f
}

func (s *seen) expected(row, check int) string {
	if e := s.test.Rows[row].Expect; check < len(e) {
		return e[check]
	}
	return ""
}

// likeness is what comes of comparing a cell with a word.
type likeness uint8

const (
	unknown likeness = iota // nothing stands there, or what it would have to be compared with is not known
	same
	other
)

// compare holds what was seen in a cell against a word of the brief's.
func (s *seen) compare(row, check int, want string) likeness {
	word := s.words[row][check]
	switch {
	case word == "" || want == "":
		return unknown
	case word == want: // both are options, spelt as the brief spells them
		return same
	}
	return s.held(word, want, row, check)
}

// held says of two different words whether one is the word for holding and the other is what the row before showed:
// whoever saw the same again may put down either.
func (s *seen) held(word, want string, row, check int) likeness {
	holding := s.test.Checks[check].Held
	if holding == "" || word != holding && want != holding {
		return other
	}
	position := word
	if word == holding {
		position = want
	}
	if row == 0 {
		return unknown
	}
	switch before := s.positions[row-1][check]; before {
	case "", holding:
		return unknown
	case position:
		return same
	}
	return other
}
