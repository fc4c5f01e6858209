package pdfcheck

import (
	"regexp"
	"slices"

	"witnessmark/internal/pdfread"
)

// checkStructure looks at the tree as a whole and at each element.
func (c *checker) checkStructure() {
	catalog := c.f.Catalog()
	about := c.f.Dict(catalog["MarkInfo"])
	if on, _ := c.f.Resolve(about["Marked"]).(pdfread.Bool); !bool(on) {
		c.say("marked", "catalogue", "the file does not say that it is tagged")
	}
	if on, _ := c.f.Resolve(about["Suspects"]).(pdfread.Bool); bool(on) {
		c.say("marked", "catalogue", "the file says that its tags are suspect")
	}
	if c.f.Text(catalog["Lang"]) == "" {
		c.say("language", "catalogue", "the file states no language")
	}
	c.checkLanguage("catalogue", catalog["Lang"])
	level := 0
	notes := map[string]bool{}
	for _, n := range c.tree.nodes {
		c.checkLanguage(n.where, n.dict["Lang"])
		if n.dict["C"] != nil {
			c.say("judged", n.where, "the element has attributes by class")
		}
		c.checkShape(n)
		level = c.checkHeading(n, level)
		switch n.kind {
		case "Figure":
			if !c.worded(n) {
				c.say("figure", n.where, "the figure has no alternative text")
			}
		case "Formula":
			if !c.worded(n) {
				c.say("formula", n.where, "the formula has no alternative text")
			}
		case "Note":
			id := c.string(n.dict["ID"])
			if id == "" || notes[id] {
				c.say("note", n.where, "the note's identifier %q is empty or taken", id)
			}
			notes[id] = true
		case "Table":
			c.checkTable(n)
		}
	}
}

// worded says whether an element has words in its place. An empty text in
// place of one that shows nothing is allowed, an empty alternative is not.
func (c *checker) worded(n *node) bool {
	return c.f.Text(n.dict["Alt"]) != "" || n.dict["ActualText"] != nil
}

// languageForm is RFC 3066 with what RFC 5646 adds to it, loosely.
var languageForm = regexp.MustCompile(`\A[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*\z`)

func (c *checker) checkLanguage(where string, v pdfread.Value) {
	if tag := c.f.Text(v); tag != "" && !languageForm.MatchString(tag) {
		c.say("language", where, "%q is no language", tag)
	}
}

// checkHeading follows the headings through the document and gives the level
// of the last one.
func (c *checker) checkHeading(n *node, before int) int {
	if n.kind == "H" {
		c.say("headings", n.where, "the heading has no level")
		return before
	}
	if len(n.kind) != 2 || n.kind[0] != 'H' || n.kind[1] < '1' || n.kind[1] > '6' {
		return before
	}
	level := int(n.kind[1] - '0')
	if level > before+1 {
		c.say("headings", n.where, "the heading H%d follows level %d", level, before)
	}
	return level
}

// shape says what an element may hold and what may hold it; nil is anything.
type shape struct {
	rule        string
	holds, held []pdfread.Name
	needs       bool // it must hold at least one of them
}

var shapes = map[pdfread.Name]shape{
	"Table": {rule: "rows", holds: []pdfread.Name{"TR", "THead", "TBody", "TFoot", "Caption"}, needs: true},
	"THead": {rule: "rows", holds: []pdfread.Name{"TR"}, held: []pdfread.Name{"Table"}, needs: true},
	"TBody": {rule: "rows", holds: []pdfread.Name{"TR"}, held: []pdfread.Name{"Table"}, needs: true},
	"TFoot": {rule: "rows", holds: []pdfread.Name{"TR"}, held: []pdfread.Name{"Table"}, needs: true},
	"TR":    {rule: "rows", holds: []pdfread.Name{"TH", "TD"}, held: []pdfread.Name{"Table", "THead", "TBody", "TFoot"}, needs: true},
	"TH":    {rule: "rows", held: []pdfread.Name{"TR"}},
	"TD":    {rule: "rows", held: []pdfread.Name{"TR"}},
	"L":     {rule: "list", holds: []pdfread.Name{"L", "LI", "Caption"}, needs: true},
	"LI":    {rule: "list", holds: []pdfread.Name{"Lbl", "LBody"}, held: []pdfread.Name{"L"}, needs: true},
	"LBody": {rule: "list", held: []pdfread.Name{"LI"}},
	"TOC":   {rule: "contents", holds: []pdfread.Name{"TOC", "TOCI", "Caption"}, needs: true},
	"TOCI":  {rule: "contents", held: []pdfread.Name{"TOC"}},
}

// checkShape holds an element against what it may hold and be held by.
func (c *checker) checkShape(n *node) {
	s, ok := shapes[n.kind]
	if !ok {
		return
	}
	if s.held != nil && (n.above == nil || !slices.Contains(s.held, n.above.kind)) {
		c.say(s.rule, n.where, "the %s is held by none of %v", n.kind, s.held)
	}
	if s.holds == nil {
		return
	}
	if n.pieces > 0 {
		c.say(s.rule, n.where, "the %s has content of its own", n.kind)
	}
	if s.needs && len(n.kids) == 0 {
		c.say(s.rule, n.where, "the %s is empty", n.kind)
	}
	for i, kid := range n.kids {
		if !slices.Contains(s.holds, kid.kind) {
			c.say(s.rule, kid.where, "a %s holds a %s", n.kind, kid.kind)
		}
		atEnd := n.kind == "Table" && i == len(n.kids)-1 && n.kids[0].kind != "Caption"
		if kid.kind == "Caption" && i > 0 && !atEnd {
			c.say(s.rule, kid.where, "the caption of a %s is not in its place", n.kind)
		}
	}
	switch n.kind {
	case "Table":
		heads, bodies, feet := n.count("THead"), n.count("TBody"), n.count("TFoot")
		if heads > 1 || feet > 1 || heads+feet > 0 && bodies == 0 {
			c.say(s.rule, n.where, "the table has %d heads, %d bodies and %d feet", heads, bodies, feet)
		}
	case "L":
		labelled := slices.ContainsFunc(n.kids, func(item *node) bool { return item.count("Lbl") > 0 })
		if how := c.f.Name(c.attributes(n, "List")["ListNumbering"]); labelled && (how == "" || how == "None") {
			c.say(s.rule, n.where, "the list has labels, but does not say of what kind (/ListNumbering)")
		}
	}
}

// count is how many of the elements that n holds are of a kind.
func (n *node) count(kind pdfread.Name) int {
	found := 0
	for _, kid := range n.kids {
		if kid.kind == kind {
			found++
		}
	}
	return found
}

// attributes are what an element says of itself under one owner
// (ISO 32000-1, 14.7.5). Attribute classes are not judged.
func (c *checker) attributes(n *node, owner pdfread.Name) pdfread.Dict {
	v := c.f.Resolve(n.dict["A"])
	list, ok := v.(pdfread.Array)
	if !ok {
		list = pdfread.Array{v}
	}
	for _, item := range list {
		if d := c.f.Dict(item); c.f.Name(d["O"]) == owner {
			return d
		}
	}
	return nil
}
