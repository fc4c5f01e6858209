package formula

// arena gives nodes, their literals and their argument lists from blocks: a tree costs few allocations, and a Reader's
// next tree none. Blocks that are outgrown stay alive with the trees that point into them.
type arena struct {
	nodes    []Node
	literals []Literal
	args     []*Node
}

// room makes the first blocks large enough for what s probably holds: a node for each sign, word and number.
func (a *arena) room(s string) {
	if cap(a.nodes) > 0 {
		return
	}
	nodes, literals, word := 1, 0, false
	for i := range len(s) {
		c := s[i]
		digit := c >= '0' && c <= '9' || c == '.'
		letter := digit || c|0x20 >= 'a' && c|0x20 <= 'z' || c == '_'
		switch {
		case letter && !word:
			nodes++
			if digit {
				literals++
			}
		case c == "²"[0]: // an exponent and its power
			nodes, literals = nodes+2, literals+1
		case !letter && c != ' ' && c != '(' && c != ')' && c != ',' && (c < 0x80 || c >= 0xc0):
			nodes++
		}
		word = letter
	}
	a.nodes, a.literals, a.args = make([]Node, 0, nodes), make([]Literal, 0, literals), make([]*Node, 0, nodes)
}

// node gives a node; one that carries a number or a unit has a literal of its own.
func (a *arena) node(kind NodeKind) *Node {
	n := len(a.nodes)
	if n == cap(a.nodes) {
		a.nodes, n = make([]Node, 0, max(16, 2*n)), 0
	}
	a.nodes = a.nodes[:n+1]
	x := &a.nodes[n]
	x.Kind, x.Literal = kind, noLiteral
	if kind == NodeNumber || kind == NodeUnit {
		x.Literal = a.literal()
	}
	return x
}

func (a *arena) literal() *Literal {
	n := len(a.literals)
	if n == cap(a.literals) {
		a.literals, n = make([]Literal, 0, max(4, 2*n)), 0
	}
	a.literals = a.literals[:n+1]
	return &a.literals[n]
}

func (a *arena) list(nodes []*Node) []*Node {
	n := len(a.args)
	if n+len(nodes) > cap(a.args) {
		a.args, n = make([]*Node, 0, max(16, 2*n, len(nodes))), 0
	}
	a.args = append(a.args, nodes...)
	return a.args[n:len(a.args):len(a.args)]
}

// reset lets the blocks be used again: trees made before are gone.
func (a *arena) reset() {
	clear(a.nodes)
	clear(a.literals)
	a.nodes, a.literals, a.args = a.nodes[:0], a.literals[:0], a.args[:0]
}
