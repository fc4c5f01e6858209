package formula

// arena gives nodes and their argument lists from blocks: a tree costs few allocations, and a Reader's next tree none.
// Blocks that are outgrown stay alive with the trees that point into them.
type arena struct {
	nodes []Node
	args  []*Node
}

// room makes the first block large enough for what s probably holds: a node for each sign and each word or number.
func (a *arena) room(s string) {
	if cap(a.nodes) > 0 {
		return
	}
	n, word := 1, false
	for i := range len(s) {
		c := s[i]
		letter := c|0x20 >= 'a' && c|0x20 <= 'z' || c >= '0' && c <= '9' || c == '.' || c == '_'
		if letter && !word || !letter && c != ' ' && c != '(' && c != ')' && c != ',' && (c < 0x80 || c >= 0xc0) {
			n++
		}
		if c == "²"[0] { // an exponent and its power
			n++
		}
		word = letter
	}
	a.nodes, a.args = make([]Node, 0, n), make([]*Node, 0, n)
}

func (a *arena) node() *Node {
	n := len(a.nodes)
	if n == cap(a.nodes) {
		a.nodes, n = make([]Node, 0, max(16, 2*n)), 0
	}
	a.nodes = a.nodes[:n+1]
	return &a.nodes[n]
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
	a.nodes, a.args = a.nodes[:0], a.args[:0]
}
