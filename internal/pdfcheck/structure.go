package pdfcheck

import (
	"fmt"
	"maps"
	"slices"

	"witnessmark/internal/pdfread"
)

// structure is the file's structure tree (ISO 32000-1, 14.7), read once.
type structure struct {
	there   bool
	nodes   []*node                 // in reading order, each before what it holds
	content map[int]map[int][]*node // by page object, then MCID
	objects map[int][]*node         // by annotation object
	parents map[int64]pdfread.Value // the parent tree
}

// node is one element of the tree.
type node struct {
	ref         pdfread.Ref // zero when it is no object of its own
	where       string
	dict        pdfread.Dict
	tag         pdfread.Name // as written
	kind        pdfread.Name // the standard type it is or is mapped to; empty when none
	above       *node
	kids        []*node
	pieces      int // of content, annotations included
	objectPages map[int]pdfread.Ref
}

// readStructure reads the tree. What is wrong with its shape is said at once.
func (c *checker) readStructure() {
	c.tree = structure{content: map[int]map[int][]*node{}, objects: map[int][]*node{}, parents: map[int64]pdfread.Value{}}
	v := c.f.Catalog()["StructTreeRoot"]
	root := c.f.Dict(v)
	if root == nil {
		c.say("tree", "catalogue", "the file has no structure tree")
		return
	}
	c.tree.there = true
	leaves, err := c.f.Numbers(root["ParentTree"])
	if err != nil {
		c.say("parents", "parent tree", "%v", err)
	}
	for _, leaf := range leaves {
		c.tree.parents[leaf.Number] = leaf.Value
	}
	r := treeReader{c: c, root: v, roles: c.f.Dict(root["RoleMap"]), seen: map[int]bool{}}
	r.checkRoles()
	r.hold(nil, pdfread.Ref{}, root["K"], 0)
	if len(c.tree.nodes) == 0 {
		c.say("tree", "catalogue", "the structure tree is empty")
	}
}

// mostParts is how many elements and pieces of content of a tree are looked at.
const mostParts = 1 << 19

type treeReader struct {
	c     *checker
	parts int
	root  pdfread.Value
	roles pdfread.Dict
	seen  map[int]bool
}

// hold reads what an element holds (its /K): elements, content by number, or
// references to content and annotations.
func (r *treeReader) hold(above *node, page pdfread.Ref, v pdfread.Value, depth int) {
	f := r.c.f
	if r.parts++; r.parts > mostParts {
		if r.parts == mostParts+1 {
			r.c.say("judged", whereOf(above), "the structure tree has more than %d parts", mostParts)
		}
		return
	}
	switch k := f.Resolve(v).(type) {
	case pdfread.Array:
		for _, kid := range k {
			if _, nested := f.Resolve(kid).(pdfread.Array); !nested {
				r.hold(above, page, kid, depth)
			}
		}
	case pdfread.Integer:
		r.content(above, page, int(k))
	case pdfread.Dict:
		if own, ok := k["Pg"].(pdfread.Ref); ok {
			page = own
		}
		switch kind := f.Name(k["Type"]); kind {
		case "MCR":
			id, _ := f.Integer(k["MCID"])
			if k["Stm"] != nil {
				r.c.say("judged", object(v, whereOf(above)), "an element has content of a form")
				return
			}
			r.content(above, page, int(id))
		case "OBJR":
			r.object(above, page, k)
		default:
			r.element(above, page, v, k, depth)
		}
	}
}

func whereOf(n *node) string {
	if n == nil {
		return "structure tree"
	}
	return n.where
}

func (r *treeReader) content(above *node, page pdfread.Ref, id int) {
	if above == nil || page == (pdfread.Ref{}) {
		r.c.say("parents", whereOf(above), "content %d is on no page", id)
		return
	}
	above.pieces++
	on := r.c.tree.content
	if on[page.Number] == nil {
		on[page.Number] = map[int][]*node{}
	}
	on[page.Number][id] = append(on[page.Number][id], above)
}

func (r *treeReader) object(above *node, page pdfread.Ref, k pdfread.Dict) {
	ref, ok := k["Obj"].(pdfread.Ref)
	if above == nil || !ok {
		r.c.say("parents", whereOf(above), "an element refers to no object")
		return
	}
	above.pieces++
	above.objectPages[ref.Number] = page
	r.c.tree.objects[ref.Number] = append(r.c.tree.objects[ref.Number], above)
}

func (r *treeReader) element(above *node, page pdfread.Ref, v pdfread.Value, d pdfread.Dict, depth int) {
	c := r.c
	ref, _ := v.(pdfread.Ref)
	n := &node{ref: ref, where: object(v, whereOf(above)), dict: d, tag: c.f.Name(d["S"]), above: above, objectPages: map[int]pdfread.Ref{}}
	if ref.Number != 0 {
		if r.seen[ref.Number] {
			c.say("tree", n.where, "the element is in the tree twice")
			return
		}
		r.seen[ref.Number] = true
	}
	if depth > 200 {
		c.say("judged", n.where, "the structure tree is more than 200 deep")
		return
	}
	holder := r.root
	if above != nil {
		holder = above.ref
	}
	if holder, isRef := holder.(pdfread.Ref); isRef && holder != (pdfread.Ref{}) && d["P"] != pdfread.Value(holder) {
		c.say("tree", n.where, "the element %s does not lead back to the one that holds it", n.tag)
	}
	n.kind = r.standard(n.tag)
	if n.kind == "" {
		c.say("type", n.where, "the type %q is no standard type and mapped to none", n.tag)
	}
	n.where = fmt.Sprintf("%s (%s)", n.where, n.tag)
	c.tree.nodes = append(c.tree.nodes, n)
	if above != nil {
		above.kids = append(above.kids, n)
	}
	r.hold(n, page, d["K"], depth+1)
}

// standardTypes are the types of ISO 32000-1, 14.8.4.
var standardTypes = []pdfread.Name{"Document", "Part", "Art", "Sect", "Div", "BlockQuote", "Caption", "TOC", "TOCI", "Index", "NonStruct", "Private",
	"P", "H", "H1", "H2", "H3", "H4", "H5", "H6", "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "THead", "TBody", "TFoot",
	"Span", "Quote", "Note", "Reference", "BibEntry", "Code", "Link", "Annot", "Ruby", "RB", "RT", "RP", "Warichu", "WT", "WP",
	"Figure", "Formula", "Form"}

// standard follows the role map to a standard type; empty when it leads to
// none.
func (r *treeReader) standard(tag pdfread.Name) pdfread.Name {
	for range 32 {
		if slices.Contains(standardTypes, tag) {
			return tag
		}
		tag = r.c.f.Name(r.roles[tag])
	}
	return ""
}

func (r *treeReader) checkRoles() {
	for _, tag := range r.roles.Keys() {
		if slices.Contains(standardTypes, tag) {
			r.c.say("type", "role map", "the standard type %s is mapped to another", tag)
		}
	}
}

// checkMarks holds the pieces of content that a page begins against those that
// the tree says it has.
func (c *checker) checkMarks(where string, p *pdfread.Page, marks map[int]int) {
	if !c.tree.there {
		return
	}
	claimed := c.tree.content[p.Ref.Number]
	var list pdfread.Array
	if key, ok := c.f.Integer(p.Dict["StructParents"]); ok {
		list = c.f.Array(c.tree.parents[key])
	}
	if len(marks) > 0 && list == nil {
		c.say("parents", where, "the page's /StructParents leads to no list")
	}
	for _, id := range slices.Sorted(maps.Keys(marks)) {
		holders := claimed[id]
		switch {
		case marks[id] > 1:
			c.say("parents", where, "content %d begins %d times", id, marks[id])
		case len(holders) != 1:
			c.say("parents", where, "content %d is in %d elements", id, len(holders))
		case list == nil:
		case id < 0 || id >= len(list) || list[id] != pdfread.Value(holders[0].ref):
			c.say("parents", where, "content %d does not lead to the element that holds it", id)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(claimed)) {
		if marks[id] == 0 {
			c.say("parents", claimed[id][0].where, "its content %d is not on %s", id, where)
		}
	}
}
