package brief

import (
	"fmt"
	"slices"
	"strings"

	"witnessmark/internal/formula"
)

// edge is one figure's formula that calls another figure, or itself, by name.
type edge struct {
	path string // of the formula
	to   string
	pos  int // of the name in the formula
}

// circles says which figures need one another in a circle, so that none of them can be worked out, with the circle spelt
// out; it gives back ps without what was said of those names already: moving a figure up or down mends no circle.
func (k *checker) circles(ps Problems) Problems {
	edges := k.edges()
	told := map[string]bool{}
	for i := range k.b.Stages {
		for _, it := range k.b.Stages[i].Items {
			if it.Figure == nil || told[it.Key] {
				continue
			}
			circle := path(edges, it.Key)
			if circle == nil {
				continue
			}
			var words []string
			for _, e := range circle {
				words = append(words, "“"+e.to+"”")
				told[e.to] = true
				ps = slices.DeleteFunc(ps, func(p Problem) bool { return p.Path == e.path && p.Offset == e.pos })
			}
			text := fmt.Sprintf("“%s” needs %s: these figures go round in a circle, and none can be worked out before the others. Work one of them from givens and readings.", it.Key, strings.Join(words, ", which needs "))
			if len(circle) == 1 {
				text = fmt.Sprintf("“%s” needs itself. Work it from givens, readings and other figures.", it.Key)
			}
			k.problems = append(k.problems, Problem{Path: circle[0].path, Offset: circle[0].pos, Text: text})
		}
	}
	return ps
}

// edges lists, by figure, the figures that its formula calls, in the order in which it does.
func (k *checker) edges() map[string][]edge {
	figures := map[string]bool{}
	for i := range k.b.Stages {
		for _, it := range k.b.Stages[i].Items {
			figures[it.Key] = it.Figure != nil
		}
	}
	out := map[string][]edge{}
	for i := range k.b.Stages {
		for j, it := range k.b.Stages[i].Items {
			if it.Figure == nil {
				continue
			}
			e, err := formula.Parse(it.Figure.Formula)
			if err != nil {
				continue // Compile says so
			}
			for _, u := range named(e.Root(), nil) {
				if figures[u.name] {
					out[it.Key] = append(out[it.Key], edge{fmt.Sprintf("stages[%d].items[%d].figure.formula", i, j), u.name, u.pos})
				}
			}
		}
	}
	return out
}

// path is the shortest way from a figure back to itself, nil where there is none.
func path(edges map[string][]edge, from string) []edge {
	came := map[string]edge{}     // how each figure was first reached
	before := map[string]string{} // and from which
	for next := []string{from}; len(next) > 0; {
		at := next[0]
		next = next[1:]
		for _, e := range edges[at] {
			if _, seen := came[e.to]; seen {
				continue
			}
			came[e.to], before[e.to] = e, at
			next = append(next, e.to)
		}
		if e, closed := came[from]; closed {
			circle := []edge{e}
			for at := before[from]; at != from; at = before[at] {
				circle = append(circle, came[at])
			}
			slices.Reverse(circle)
			return circle
		}
	}
	return nil
}
