package pdf_test

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/golden"
	"witnessmark/internal/pdf"
)

// objects is a file as qpdf reads it (its JSON of version 2): dictionaries by the name of their object.
type objects map[string]map[string]any

func readObjects(t *testing.T, path string) objects {
	t.Helper()
	var whole struct {
		QPDF []json.RawMessage `json:"qpdf"`
	}
	out := tool(t, "qpdf", "--json=2", "--json-stream-data=inline", "--decode-level=generalized", path)
	if err := json.Unmarshal([]byte(out), &whole); err != nil || len(whole.QPDF) != 2 {
		t.Fatalf("read qpdf's JSON: %v", err)
	}
	var raw map[string]struct {
		Value  any `json:"value"`
		Stream struct {
			Dict map[string]any `json:"dict"`
			Data string         `json:"data"`
		} `json:"stream"`
	}
	if err := json.Unmarshal(whole.QPDF[1], &raw); err != nil {
		t.Fatal(err)
	}
	all := objects{}
	for name, o := range raw {
		name = strings.TrimPrefix(name, "obj:")
		switch v := o.Value.(type) {
		case map[string]any:
			all[name] = v
		case []any:
			all[name] = map[string]any{"array": v}
		}
		if o.Stream.Dict != nil {
			all[name] = o.Stream.Dict
			data, err := base64.StdEncoding.DecodeString(o.Stream.Data)
			if err != nil {
				t.Fatal(err)
			}
			all[name]["data"] = string(data)
		}
	}
	return all
}

func (o objects) dict(v any) map[string]any {
	if name, ok := v.(string); ok {
		return o[name]
	}
	d, _ := v.(map[string]any)
	return d
}

func (o objects) list(v any) []any {
	if name, ok := v.(string); ok {
		v = o[name]["array"]
	}
	a, _ := v.([]any)
	return a
}

func text(v any) string {
	s, _ := v.(string)
	return strings.TrimPrefix(s, "u:")
}

// element is an element of the structure tree with what it leads to.
type element struct {
	name, tag string
	dict      map[string]any
	kids      []*element
	content   []string // "page mcid"
	notes     []string // annotations
}

// tree reads the structure tree from its root down and holds every link upwards against it.
func (o objects) tree(t *testing.T, name, parent, page string) *element {
	t.Helper()
	d := o[name]
	e := &element{name: name, tag: strings.TrimPrefix(text(d["/S"]), "/"), dict: d}
	if d["/P"] != parent {
		t.Errorf("%s %s: its parent is %v, and it is held by %s", e.tag, name, d["/P"], parent)
	}
	if p, ok := d["/Pg"].(string); ok {
		page = p
	}
	for _, k := range o.list(d["/K"]) {
		switch v := k.(type) {
		case float64:
			e.content = append(e.content, fmt.Sprint(page, " ", int(v)))
		case string:
			e.kids = append(e.kids, o.tree(t, v, name, page))
		case map[string]any:
			if v["/Type"] == "/OBJR" {
				e.notes = append(e.notes, v["/Obj"].(string))
			} else {
				e.content = append(e.content, fmt.Sprint(v["/Pg"], " ", int(v["/MCID"].(float64))))
			}
		}
	}
	return e
}

func (e *element) walk(see func(*element)) {
	see(e)
	for _, k := range e.kids {
		k.walk(see)
	}
}

// number looks a key up in the tree of parents.
func (o objects) number(v any, key int) any {
	d := o.dict(v)
	for _, k := range o.list(d["/Kids"]) {
		limits := o.list(o.dict(k)["/Limits"])
		if float64(key) >= limits[0].(float64) && float64(key) <= limits[1].(float64) {
			return o.number(k, key)
		}
	}
	nums := o.list(d["/Nums"])
	for i := 0; i+1 < len(nums); i += 2 {
		if nums[i].(float64) == float64(key) {
			return nums[i+1]
		}
	}
	return nil
}

// checkStructure holds a file against what ISO 14289-1 asks of its structure (clauses from memory), as a program that is not
// ours reads it.
func checkStructure(t *testing.T, path string) {
	t.Helper()
	o := readObjects(t, path)
	root := o.dict(o["trailer"]["/Root"])
	trees := o.dict(root["/StructTreeRoot"])
	if root["/MarkInfo"] == nil || root["/Lang"] == nil || o.dict(root["/ViewerPreferences"])["/DisplayDocTitle"] != true {
		t.Errorf("the catalogue does not say that it is marked, in what language and to show its title: %v", root)
	}
	top := o.tree(t, o.list(trees["/K"])[0].(string), root["/StructTreeRoot"].(string), "")
	owner := map[string]string{} // of content, "page mcid", and of annotations
	level := 0
	top.walk(func(e *element) {
		for _, c := range append(slices.Clone(e.content), e.notes...) {
			if other, taken := owner[c]; taken {
				t.Errorf("%s belongs to %s and to %s", c, other, e.name)
			}
			owner[c] = e.name
		}
		checkElement(t, o, e)
		if m := regexp.MustCompile(`^H([1-6])$`).FindStringSubmatch(e.tag); m != nil { // 7.4.2
			n, _ := strconv.Atoi(m[1])
			if n > level+1 {
				t.Errorf("a heading of level %d follows one of level %d", n, level)
			}
			level = n
		}
	})
	marked := 0
	for name, page := range o {
		if page["/Type"] == "/Page" {
			marked += checkPage(t, o, name, trees["/ParentTree"], owner)
		}
	}
	if contents := len(owner); marked == 0 || contents < marked {
		t.Errorf("%d pieces of content on the pages, %d in the tree", marked, contents)
	}
}

// checkElement checks what a type of element must have.
func checkElement(t *testing.T, o objects, e *element) {
	t.Helper()
	about := o.dict(e.dict["/A"])
	switch e.tag {
	case "Figure", "Formula": // 7.3 and 7.7
		if text(e.dict["/Alt"]) == "" {
			t.Errorf("%s %s has no alternative text", e.tag, e.name)
		}
	case "TH": // 7.5
		if about["/Scope"] == nil {
			t.Errorf("TH %s has no scope", e.name)
		}
	case "Table":
		checkTable(t, o, e)
	case "Link": // 7.18.5
		if len(e.content) == 0 || len(e.notes) == 0 {
			t.Errorf("Link %s has %d pieces of content and %d annotations", e.name, len(e.content), len(e.notes))
		}
	case "L": // 7.6
		for _, k := range e.kids {
			if k.tag != "LI" || len(k.kids) != 2 || k.kids[0].tag != "Lbl" || k.kids[1].tag != "LBody" {
				t.Errorf("an item of the list %s is %s with %d parts", e.name, k.tag, len(k.kids))
			}
		}
	case "Caption":
		if p := e.kids; len(p)+len(e.content) == 0 {
			t.Errorf("Caption %s is empty", e.name)
		}
	}
}

// checkTable checks that every row covers as many columns (7.2).
func checkTable(t *testing.T, o objects, table *element) {
	t.Helper()
	want := 0
	table.walk(func(row *element) {
		if row.tag != "TR" {
			return
		}
		wide := 0
		for _, c := range row.kids {
			span := 1.0
			if n, ok := o.dict(c.dict["/A"])["/ColSpan"].(float64); ok {
				span = n
			}
			wide += int(span)
		}
		if want == 0 {
			want = wide
		}
		if wide != want {
			t.Errorf("table %s has a row of %d columns and one of %d", table.name, want, wide)
		}
	})
}

var operators = regexp.MustCompile(`(?m)(BDC|EMC|\bTj|\bDo|\bS|\bf)$`)

// checkPage checks that all that is drawn on a page is marked, that marks do not nest, and that each piece and annotation leads
// back to the element that holds it. It gives the number of pieces.
func checkPage(t *testing.T, o objects, name string, parents any, owner map[string]string) int {
	t.Helper()
	page := o[name]
	if page["/Tabs"] != "/S" { // 7.18.3
		t.Errorf("page %s is not tabbed by its structure", name)
	}
	holders := o.list(o.number(parents, int(page["/StructParents"].(float64))))
	for i, h := range holders {
		if c := fmt.Sprint(name, " ", i); owner[c] != h {
			t.Errorf("piece %d of page %s belongs to %v, and %q holds it", i, name, h, owner[c])
		}
	}
	for _, a := range o.list(page["/Annots"]) {
		note := o.dict(a)
		if back := o.number(parents, int(note["/StructParent"].(float64))); owner[a.(string)] != back {
			t.Errorf("annotation %v belongs to %v, and %q holds it", a, back, owner[a.(string)])
		}
		if note["/Subtype"] == "/Link" && text(note["/Contents"]) == "" {
			t.Errorf("link %v says nothing of where it leads", a)
		}
	}
	open := false
	for _, m := range operators.FindAllString(o.dict(page["/Contents"])["data"].(string), -1) {
		switch {
		case m == "BDC" && open, m != "BDC" && !open:
			t.Errorf("page %s: %s while a mark is open: %v", name, m, open)
			return len(holders)
		case m == "BDC" || m == "EMC":
			open = m == "BDC"
		}
	}
	return len(holders)
}

func TestStructure(t *testing.T) {
	d, _ := sample(t)
	path, _ := draw(t, d)
	checkStructure(t, path)
	said := regexp.MustCompile(`Object \d+ 0`).ReplaceAllString(tool(t, "pdfinfo", "-struct-text", path), "annotation")
	golden.Check(t, "../../testdata/pdf/sample-structure.txt", []byte(said))
}

// Levels of headings that skip one are mended, whatever a document's blocks say, and what goes over pages stays whole.
func TestStructureOfOddDocuments(t *testing.T) {
	words := strings.Repeat("word ", 1500)
	for name, blocks := range map[string][]pdf.Block{
		"nothing":          nil,
		"deep heading":     {pdf.Heading{Level: 3, Title: "Deep"}, pdf.Heading{Level: 1, Title: "One"}, pdf.Heading{Level: 3, Title: "Deep again"}},
		"tall decision":    {pdf.Beside{Evidence: []pdf.Block{pdf.Para{Text: pdf.Plain("short")}}, Decision: pdf.Decision{Word: "met", Lines: []pdf.Text{pdf.Plain(words), pdf.Plain(words)}}}},
		"tall row":         {pdf.Table{Caption: "Tall", Columns: []pdf.Column{{Title: "A", Share: 1}, {Title: "B", Share: 1}}, Rows: []pdf.Row{{Cells: []pdf.Cell{{Text: pdf.Plain(words)}}}}}},
		"tall bar":         {pdf.Bar{Label: "Hold 1", Text: pdf.Plain(words), State: pdf.Plain(words), Word: "released"}},
		"link over lines":  {pdf.Heading{Level: 1, Title: "Here", Anchor: "here"}, pdf.Para{Text: pdf.To("here", strings.Repeat("leads back ", 40))}},
		"code too long":    {pdf.QR{Text: strings.Repeat("x", 5000), Says: pdf.Plain("Too long for a code."), Alt: "none", Wide: 100}},
		"decision, no one": {pdf.Beside{Evidence: []pdf.Block{pdf.Figure{Instead: "Nothing to see."}}}},
	} {
		t.Run(name, func(t *testing.T) {
			path, _ := draw(t, pdf.Document{Title: name, Created: created, Blocks: append([]pdf.Block{pdf.Para{Text: pdf.Plain("First.")}}, blocks...)})
			checkStructure(t, path)
		})
	}
}
