package formula

// arena gives nodes and their argument lists from blocks: a tree costs few allocations, and a Reader's next tree none.
// Blocks that are outgrown stay alive with the trees that point into them.
type arena struct {
	nodes []Node
	args  []*Node
}

// room makes the first block large enough for most texts of n bytes.
func (a *arena) room(n int) {
	if cap(a.nodes) == 0 {
		a.nodes, a.args = make([]Node, 0, n/4+4), make([]*Node, 0, n/4+4)
	}
}

func (a *arena) node() *Node {
	n := len(a.nodes)
	if n == cap(a.nodes) {
		a.nodes, n = make([]Node, 0, max(16, 2*n)), 0
	}
	a.nodes = a.nodes[:n+1]
	a.nodes[n] = Node{}
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
func (a *arena) reset() { a.nodes, a.args = a.nodes[:0], a.args[:0] }
