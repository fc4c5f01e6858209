package pdfcheck

import "witnessmark/internal/pdfread"

// held says what a piece of content belongs to.
type held uint8

const (
	nothing held = iota
	element
	artifact
)

// mostMarks is how many pieces of content of one page are told apart.
const mostMarks = 1 << 16

// formUse is one way in which a form is drawn: it is read once for each.
type formUse struct {
	object int
	inside held
}

// within is what holds the content at this point.
func (s *scan) within() held {
	if n := len(s.open); n > 0 {
		return s.open[n-1]
	}
	return s.inside
}

// begin opens marked content: an artifact, an element's piece (it has an MCID),
// or neither.
func (s *scan) begin(op pdfread.Operator) {
	holds := s.within()
	var tag pdfread.Name
	if len(op.Operands) > 0 {
		tag, _ = op.Operands[0].(pdfread.Name)
	}
	about, _ := last(op).(pdfread.Dict)
	if _, byName := last(op).(pdfread.Name); byName && op.Name == "BDC" {
		about = s.c.f.Dict(s.named("Properties", op))
	}
	s.c.checkLanguage(s.where, about["Lang"])
	id, tagged := s.c.f.Integer(about["MCID"])
	switch {
	case tag == "Artifact":
		if holds == element {
			s.c.say("apart", s.where, "an artifact begins inside tagged content")
		}
		holds = artifact
	case tagged && s.depth > 0:
		s.c.say("judged", s.where, "a form has marked content of its own")
	case tagged:
		if len(s.marks) >= mostMarks {
			s.c.say("judged", s.where, "the page has more than %d pieces of content", mostMarks)
			break
		}
		s.marks[int(id)]++
		if holds == artifact {
			s.c.say("apart", s.where, "content %d is tagged inside an artifact", id)
		}
		if holds == element {
			s.c.say("parents", s.where, "content %d begins inside other content of the tree", id)
		}
		holds = element
	}
	s.open = append(s.open, holds)
}

func (s *scan) end(pdfread.Operator) {
	if len(s.open) == 0 {
		s.c.say("balance", s.where, "an end of marked content without its beginning")
		return
	}
	s.open = s.open[:len(s.open)-1]
}
