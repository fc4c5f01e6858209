package formula

// callCost is what a call counts as: about what a property of water takes, a table of 34 terms.
const callCost = 64

// MostCost is how many steps a formula may cost for each byte of its text.
const MostCost = 64

// Cost is how many steps one evaluation takes at most, known from the formula alone: one for each operation, each name or
// constant that is loaded and each point of a table, and 64 for a call of a function. It is never more than MostCost for
// each byte of the formula, and a formula has at most MaxFormula of them: nothing that anybody types takes long.
func (p *Program) Cost() int {
	cost := len(p.code)
	if p.preloaded {
		cost += len(p.names) + len(p.consts)
	}
	for _, t := range p.tables {
		cost += len(t.x)
	}
	for _, c := range p.calls {
		cost += max(callCost, c.argc)
	}
	return cost
}
