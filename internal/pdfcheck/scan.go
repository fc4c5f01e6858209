package pdfcheck

import "witnessmark/internal/pdfread"

// scan reads one content stream, with the state that its operators build up.
type scan struct {
	c         *checker
	where     string
	resources pdfread.Dict
	font      *font
	saved     []*font
	open      []held      // for each marked content that is open, what holds what is in it
	marks     map[int]int // how often each MCID begins
	inside    held        // what holds the whole stream
	depth     int         // of forms in forms
}

// read goes through the operators. What follows an error is not looked at.
func (s *scan) read(content []byte) {
	odd := false
	for op, err := range pdfread.Operators(content) {
		if err != nil {
			s.c.say("reads", s.where, "in what is drawn: %v", err)
			return
		}
		for _, v := range op.Operands {
			s.c.checkValue(s.where, v)
		}
		odd = odd || op.Odd
		s.step(op)
	}
	if odd {
		s.c.say("hex", s.where, "in what is drawn, a string has an odd number of digits")
	}
	if len(s.saved) > 0 {
		s.c.say("balance", s.where, "%d q without their Q", len(s.saved))
	}
	if len(s.open) > 0 {
		s.c.say("balance", s.where, "%d beginnings of marked content without their end", len(s.open))
	}
}

// operators sorts those of ISO 32000-1, annex A by what they do here.
func operators() map[string]func(*scan, pdfread.Operator) {
	all := map[string]func(*scan, pdfread.Operator){
		"q": (*scan).save, "Q": (*scan).restore, "gs": (*scan).state, "ri": (*scan).rendering,
		"BMC": (*scan).begin, "BDC": (*scan).begin, "EMC": (*scan).end,
		"Tf": (*scan).setFont, "Tj": (*scan).show, "TJ": (*scan).show, "'": (*scan).show, "\"": (*scan).show,
		"Do": (*scan).draw, "BI": (*scan).inline, "sh": (*scan).shading,
		"CS": (*scan).space, "cs": (*scan).space, "SCN": (*scan).pattern, "scn": (*scan).pattern,
		"d0": (*scan).type3, "d1": (*scan).type3,
	}
	for _, name := range []string{"b", "B", "b*", "B*", "f", "F", "f*", "s", "S"} {
		all[name] = (*scan).paint
	}
	for name, space := range map[string]pdfread.Name{"g": "DeviceGray", "G": "DeviceGray", "rg": "DeviceRGB", "RG": "DeviceRGB", "k": "DeviceCMYK", "K": "DeviceCMYK"} {
		all[name] = func(s *scan, _ pdfread.Operator) { s.c.checkSpace(s.where, space) }
	}
	for _, name := range []string{"w", "J", "j", "M", "d", "i", "cm", "m", "l", "c", "v", "y", "h", "re", "n", "W", "W*", "BT", "ET",
		"Tc", "Tw", "Tz", "TL", "Tr", "Ts", "Td", "TD", "Tm", "T*", "SC", "sc", "MP", "DP"} {
		all[name] = func(*scan, pdfread.Operator) {}
	}
	return all
}

func (s *scan) step(op pdfread.Operator) {
	does, known := s.c.does[op.Name]
	if !known {
		s.c.say("operator", s.where, "%q is no operator", op.Name)
		return
	}
	does(s, op)
}

func (s *scan) save(pdfread.Operator) {
	if len(s.saved) == 28 {
		s.c.say("balance", s.where, "q is more than 28 deep")
	}
	if len(s.saved) < 1<<16 { // deeper ones are as good as not there
		s.saved = append(s.saved, s.font)
	}
}

func (s *scan) restore(pdfread.Operator) {
	if len(s.saved) == 0 {
		s.c.say("balance", s.where, "a Q without its q")
		return
	}
	s.font = s.saved[len(s.saved)-1]
	s.saved = s.saved[:len(s.saved)-1]
}

// named is what an operator's last operand names among the resources of a kind.
func (s *scan) named(kind pdfread.Name, op pdfread.Operator) pdfread.Value {
	name, _ := last(op).(pdfread.Name)
	v, ok := s.c.f.Dict(s.resources[kind])[name]
	if !ok {
		s.c.say("resource", s.where, "%s uses /%s, which is not in the resources", op.Name, name)
		return pdfread.Null{}
	}
	return v
}

func last(op pdfread.Operator) pdfread.Value {
	if len(op.Operands) == 0 {
		return pdfread.Null{}
	}
	return op.Operands[len(op.Operands)-1]
}

// paint is said of everything that leaves something on the page.
func (s *scan) paint(op pdfread.Operator) {
	if s.within() == nothing {
		s.c.say("tagged", s.where, "%s at byte %d of what is drawn is neither tagged nor an artifact", op.Name, op.At)
	}
}

func (s *scan) setFont(op pdfread.Operator) {
	s.font = nil
	if len(op.Operands) != 2 {
		s.c.say("operator", s.where, "Tf has %d operands", len(op.Operands))
		return
	}
	op.Operands = op.Operands[:1]
	v := s.named("Font", op)
	ref, ok := v.(pdfread.Ref)
	if !ok {
		if _, absent := v.(pdfread.Null); !absent {
			s.c.say("judged", s.where, "a font is no object of its own")
		}
		return
	}
	if s.font = s.c.fonts[ref.Number]; s.font == nil {
		s.font = &font{ref: ref, dict: s.c.f.Dict(ref), codes: map[uint16]bool{}}
		s.c.fonts[ref.Number] = s.font
	}
}

func (s *scan) show(op pdfread.Operator) {
	s.paint(op)
	pieces, ok := last(op).(pdfread.Array)
	if !ok {
		pieces = pdfread.Array{last(op)}
	}
	for _, piece := range pieces {
		text, ok := piece.(pdfread.String)
		if !ok {
			continue
		}
		if s.font == nil {
			s.c.say("resource", s.where, "text is shown without a font")
			return
		}
		s.font.use(string(text))
	}
}

func (s *scan) type3(pdfread.Operator) {
	s.c.say("judged", s.where, "a glyph is drawn as a content stream")
}
