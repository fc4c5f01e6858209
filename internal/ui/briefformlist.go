package ui

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"witnessmark/internal/brief"
)

// list lays a list out: texts as their style says, parts as entries, the small rows of grids and tables as a table.
func (f *BriefForm) list(owner, v reflect.Value, m brief.Member, at, label string) *FormNode {
	switch m.List {
	case brief.Ticks:
		return f.ticks(owner, m, at, label)
	case brief.Cells:
		return nil // laid out by their row
	case brief.NoList:
		return f.parts(owner, v, at, label)
	}
	n := f.node("area", at, label)
	n.Value = f.fields.Get(at)
	n.Hint = joinHint(hint(label, m.About), formWays[string(m.List)])
	switch m.List {
	case brief.Commas:
		n.Kind = "text"
	case brief.Lines:
		n.Rows = lines(n.Value, 2)
	case brief.Paragraphs:
		n.Rows = lines(n.Value, 2)
	}
	return n
}

func joinHint(a, b string) string {
	if a == "" {
		return sentence(b) + "."
	}
	return strings.TrimSuffix(a, ".") + "; " + b + "."
}

// ticks lays texts out that are ticked: an item's criteria are those that the brief covers.
func (f *BriefForm) ticks(owner reflect.Value, m brief.Member, at, label string) *FormNode {
	n := f.node("ticks", at, label)
	there, words := m.OneOf, func(s string) string { return strings.ReplaceAll(s, "-", " ") }
	if owner.Type() == reflect.TypeFor[brief.Item]() {
		words = func(s string) string { return s }
		for _, c := range f.brief.Criteria {
			for _, code := range c.Codes {
				if len(f.brief.Criteria) > 1 {
					code = c.Unit + "/" + code
				}
				there = append(there, code)
			}
		}
	}
	// What is ticked comes first and as it was written, so that the order in the file stays.
	for _, x := range f.fields[at] {
		n.Options = append(n.Options, Option{Value: x, Text: words(x), Chosen: true})
	}
	for _, x := range there {
		if !slices.ContainsFunc(n.Options, func(o Option) bool { return f.brief.Ref(o.Value) == f.brief.Ref(x) }) {
			n.Options = append(n.Options, Option{Value: x, Text: words(x)})
		}
	}
	switch {
	case at == "ruled-out":
		n.Hint = sentence(m.About) + "."
	case len(n.Options) == 0:
		n.Hint = "Name the brief's criteria above first."
	}
	return n
}

// parts lays a list of parts out with the buttons that add, move and remove them.
func (f *BriefForm) parts(owner, v reflect.Value, at, label string) *FormNode {
	t := v.Type().Elem()
	n := f.node("list", at, label)
	n.Hint = formHints[at]
	n.Noun, n.Add = entryNouns[t.Name()], brief.Change{Do: "add", Path: at}.String()
	if t == reflect.TypeFor[brief.Item]() {
		n.Forms = at
	}
	switch t {
	case reflect.TypeFor[brief.TestRow](), reflect.TypeFor[brief.TableRow](), reflect.TypeFor[brief.FaultRow]():
		n.Kind = "table"
	}
	for i := range v.Len() {
		e := f.entry(owner, v.Index(i), fmt.Sprintf("%s[%d]", at, i), i, v.Len())
		e.parent, e.Noun = n, n.Noun
		if n.Kind == "table" {
			f.cells(n, e, owner, v.Index(i))
		}
		n.Nodes = append(n.Nodes, e)
	}
	return n
}

func (f *BriefForm) entry(owner, v reflect.Value, at string, i, of int) *FormNode {
	g := f.part(v, at)
	n := f.node("entry", at, "")
	n.Nodes, n.Aside, n.More, n.Number, n.Said = g.Nodes, g.Aside, g.More, i+1, f.entrySaid(v)
	for _, x := range slices.Concat(n.Nodes, n.Aside) {
		x.parent = n
	}
	_, isItem := v.Interface().(brief.Item)
	if i > 0 || isItem && !strings.HasPrefix(at, "stages[0].") {
		n.Up = brief.Change{Do: "up", Path: at}.String()
	}
	if i < of-1 || isItem && !strings.HasPrefix(at, fmt.Sprintf("stages[%d].", len(f.brief.Stages)-1)) {
		n.Down = brief.Change{Do: "down", Path: at}.String()
	}
	n.Remove = brief.Change{Do: "remove", Path: at}.String()
	switch x := v.Interface().(type) {
	case brief.Item:
		f.item(n, &x, at)
	case brief.Stage:
		n.Kind = "stage"
	}
	return n
}

// item adds to an item's entry what its form is and what the model answer puts into it.
func (f *BriefForm) item(n *FormNode, it *brief.Item, at string) {
	n.Kind = "item"
	form := f.node("hidden", at+".form", "")
	form.Value = string(it.Form())
	n.Label = strings.ToLower(formLabels["Item."+string(it.Form())])
	slots := f.brief.ModelSlots(it)
	n.Nodes = append(n.Nodes, form)
	if len(slots) == 0 {
		return
	}
	model := f.node("group", at+".model", "Model answer")
	model.parent = n
	for k, s := range slots {
		model.Nodes = append(model.Nodes, f.model(it, s, fmt.Sprintf("%s.model[%d]", at, k), model)...)
	}
	n.Nodes = append(n.Nodes, model)
}

// model lays out what the model answer puts into one place of an item.
func (f *BriefForm) model(it *brief.Item, m brief.ModelAnswer, at string, within *FormNode) []*FormNode {
	var out []*FormNode
	field := func(kind, member, label, value string) *FormNode {
		n := f.node(kind, at+"."+member, label)
		n.Value, n.parent = value, within
		out = append(out, n)
		return n
	}
	field("hidden", "part", "", m.Part)
	field("hidden", "phase", "", string(m.Phase))
	label, unit := "Put down", ""
	var options []string
	if i := slices.IndexFunc(it.Slots(), func(s brief.Slot) bool { return s.Part == m.Part && s.Phase == m.Phase }); i >= 0 {
		s := it.Slots()[i]
		options, unit = s.Options, s.Unit
		if s.Label != "" {
			label = sentence(s.Label)
		}
	} else {
		label = "No longer asked: " + strings.Trim(m.Part+" "+m.Phase.Words(), " ")
	}
	n := field("text", "text", label, f.fields.Get(at+".text"))
	switch {
	case options != nil:
		n.Kind, n.Options = "select", chosen(options, n.Value)
	case it.Answer != nil || strings.Contains(n.Value, "\n"):
		n.Kind, n.Rows = "area", lines(n.Value, 2)
	case unit != "":
		n.Hint, n.Short = "In "+unit+".", true
	}
	if it.Figure != nil && it.Figure.AskUnit || m.Unit != "" {
		field("text", "unit", "Unit", f.fields.Get(at+".unit")).Short = true
	}
	if it.Figure != nil && it.Figure.Working || m.Working != "" {
		n := field("area", "working", "Working", f.fields.Get(at+".working"))
		n.Rows = lines(n.Value, 1)
	}
	return out
}

// cells puts the cells of a row into its entry, and the heads of the columns into its table.
func (f *BriefForm) cells(table, row *FormNode, owner, v reflect.Value) {
	add := func(list, head string, i int, options []string) {
		at := fmt.Sprintf("%s.%s[%d]", row.Path, list, i)
		n := f.node("text", at, head)
		n.Value, n.parent = f.fields.Get(at), row
		if options != nil {
			n.Kind, n.Options = "select", chosen(options, n.Value)
		}
		row.Nodes = append(row.Nodes, n)
	}
	switch x := v.Interface().(type) {
	case brief.TestRow:
		test := owner.Interface().(brief.FunctionalTest)
		for i := range max(len(test.Demands), len(x.Set)) {
			add("set", nth(test.Demands, i), i, nil)
		}
		f.checkCells(test, len(x.Expect), func(i int, c brief.Column) { add("expect", c.Title, i, c.Options) })
	case brief.FaultRow:
		test := f.testAround(row.Path)
		row.Nodes[0].Kind, row.Nodes[0].Options = "select", chosen(rowKeys(test), row.Nodes[0].Value)
		f.checkCells(test, len(x.Cells), func(i int, c brief.Column) { add("cells", c.Title, i, c.Options) })
	}
	table.Heads = nil
	for _, n := range row.Nodes {
		n.Hint = "" // the column's head says it
		table.Heads = append(table.Heads, n.Label)
	}
}

func (f *BriefForm) checkCells(test brief.FunctionalTest, least int, do func(int, brief.Column)) {
	for i := range max(len(test.Checks), least) {
		c := brief.Column{Title: fmt.Sprintf("Check %d", i+1), Options: []string{}}
		if i < len(test.Checks) {
			c = test.Checks[i]
		}
		do(i, c)
	}
}

// testAround is the functional test that a path lies in.
func (f *BriefForm) testAround(path string) brief.FunctionalTest {
	var i, j int
	if n, err := fmt.Sscanf(path, "stages[%d].items[%d].", &i, &j); n == 2 && err == nil && i < len(f.brief.Stages) && j < len(f.brief.Stages[i].Items) {
		if t := f.brief.Stages[i].Items[j].Test; t != nil {
			return *t
		}
	}
	return brief.FunctionalTest{}
}

func rowKeys(t brief.FunctionalTest) []string {
	var out []string
	for _, r := range t.Rows {
		out = append(out, r.Key)
	}
	return out
}

func nth(texts []string, i int) string {
	if i < len(texts) {
		return texts[i]
	}
	return fmt.Sprintf("Set %d", i+1)
}

// strays counts the model answers to items that the brief does not have.
func (f *BriefForm) strays() int {
	n := 0
	for _, m := range f.brief.Model {
		if it, _, ok := f.brief.Item(m.Item); !ok || it.Key == "" {
			n++
		}
	}
	return n
}
