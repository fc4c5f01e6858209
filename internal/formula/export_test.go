package formula

// ParseSteps, ConditionSteps and LineSteps say what reading a text costs, in steps: bytes looked at, rules tried, nodes
// made and visited. A line's steps include working it out.

func ParseSteps(src string) int {
	var p parser
	if p.begin(src, MaxFormula) == nil {
		_, _ = p.sum()
	}
	return p.steps
}

func ConditionSteps(src string) int {
	var p parser
	if p.begin(src, MaxFormula) == nil {
		p.findConditions()
		_, _ = p.anyOf()
	}
	return p.steps
}

func LineSteps(line string, s *Sheet) int {
	var r Reader
	if _, err := r.Read(line); err != nil {
		return r.p.steps
	}
	r.Evaluate(s)
	return r.p.steps + r.c.steps
}
