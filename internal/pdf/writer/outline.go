package writer

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

type bookmark struct {
	level       int
	title, dest string
}

// node is a bookmark with its place in the tree; 0 stands for the root.
type node struct {
	ref                Ref
	parent, next, prev int
	kids               []int
	below              int // all descendants
}

// writeOutline writes the bookmarks and returns their root, or 0 where there
// are none (ISO 32000-1, 12.3.3). All levels start closed below the first.
func (f *File) writeOutline() Ref {
	if len(f.marks) == 0 {
		return 0
	}
	nodes := make([]node, len(f.marks)+1)
	levels := make([]int, len(nodes))
	last := 0
	for i, m := range f.marks {
		at := i + 1
		parent := last
		for parent != 0 && levels[parent] >= m.level {
			parent = nodes[parent].parent
		}
		levels[at], nodes[at].parent = m.level, parent
		if kids := nodes[parent].kids; len(kids) > 0 {
			nodes[at].prev = kids[len(kids)-1]
			nodes[kids[len(kids)-1]].next = at
		}
		nodes[parent].kids = append(nodes[parent].kids, at)
		for up := parent; up != 0; up = nodes[up].parent {
			nodes[up].below++
		}
		last = at
	}
	for i := range nodes {
		nodes[i].ref = f.reserve()
	}
	for i, n := range nodes {
		f.object(n.ref, f.outlineEntry(i, n, nodes))
	}
	return nodes[0].ref
}

func (f *File) outlineEntry(i int, n node, nodes []node) string {
	ends := ""
	if len(n.kids) > 0 {
		ends = fmt.Sprintf(" /First %d 0 R /Last %d 0 R", nodes[n.kids[0]].ref, nodes[n.kids[len(n.kids)-1]].ref)
	}
	if i == 0 {
		return fmt.Sprintf("<< /Type /Outlines%s /Count %d >>", ends, len(n.kids))
	}
	if n.below > 0 {
		ends += fmt.Sprintf(" /Count %d", -len(n.kids))
	}
	if n.prev != 0 {
		ends += fmt.Sprintf(" /Prev %d 0 R", nodes[n.prev].ref)
	}
	if n.next != 0 {
		ends += fmt.Sprintf(" /Next %d 0 R", nodes[n.next].ref)
	}
	m := f.marks[i-1]
	return fmt.Sprintf("<< /Title %s /Parent %d 0 R /Dest %s%s >>", textString(m.title), nodes[n.parent].ref, m.dest, ends)
}

// writeTargets writes the named places as a name tree, sorted as ISO 32000-1,
// 7.9.6 asks, and returns it, or 0 where there are none.
func (f *File) writeTargets() Ref {
	names := slices.Sorted(maps.Keys(f.targets))
	if len(names) == 0 {
		return 0
	}
	var leaves []string
	for part := range slices.Chunk(names, 64) {
		var b strings.Builder
		for _, n := range part {
			fmt.Fprintf(&b, " %s %s", byteString(n), f.targets[n])
		}
		leaf := f.add(fmt.Sprintf("<< /Limits [%s %s] /Names [%s ] >>",
			byteString(part[0]), byteString(part[len(part)-1]), b.String()))
		leaves = append(leaves, fmt.Sprintf("%d 0 R", leaf))
	}
	return f.add("<< /Kids [" + strings.Join(leaves, " ") + "] >>")
}
