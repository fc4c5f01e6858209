package ui

import (
	"fmt"
	"html/template"
	"reflect"
	"slices"
	"strings"
	"unicode"

	"witnessmark/internal/brief"
)

// FormNode is one field, group or list of a brief being written. Its name is the member's path in the brief, which problems go
// by as well, so that each stands at its field.
type FormNode struct {
	Kind        string // text, number, area, formula, tick, ticks, select, hidden; group, list, table or entry
	Path        string // and the field's name
	Label, Hint string
	Value       string
	Rows        int
	On, Short   bool
	First       bool // the page opens at this field
	Options     []Option
	Nodes       []*FormNode // of a group or list
	Aside       []*FormNode // folded away
	Open        bool        // an item stands open
	More        bool        // what is folded away stands open
	Top         bool        // a list that is a section of the sheet
	Mends       brief.Problems
	Heads       []string // of a table

	Number                       int    // of an entry, from 1
	Said                         string // what an entry is, in a few words
	Noun                         string // what an entry is called
	Add, Up, Down, Remove, Forms string // what the buttons beside a list or an entry do
	parent                       *FormNode
}

// ID is the id of the field within the page.
func (n *FormNode) ID() string {
	return "b-" + strings.Map(func(r rune) rune {
		if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return r
		}
		return '-'
	}, n.Path)
}

// Bad says whether something in the field keeps the brief from being published.
func (n *FormNode) Bad() bool { return len(n.Mends.Failures()) > 0 }

// Typeset is the formula as it is printed; "" where the field is empty.
func (n *FormNode) Typeset() template.HTML {
	if n.Kind != "formula" || strings.TrimSpace(n.Value) == "" {
		return ""
	}
	return typesetAny(n.Value)
}

// Described lists the ids of what is said beside the field.
func (n *FormNode) Described() string {
	s := n.ID() + "-mend"
	if n.Hint != "" {
		s = n.ID() + "-hint " + s
	}
	return s
}

// BriefForm is the front of the sheet: a brief laid out to be filled in.
type BriefForm struct {
	Sections []*FormNode
	nodes    map[string]*FormNode
	brief    *brief.Brief
	fields   brief.Fields
}

// newBriefForm lays a brief out with what was typed into its fields, and puts each problem at its field. The page opens at the
// path; "" is none.
func newBriefForm(b *brief.Brief, fields brief.Fields, problems brief.Problems, at string) *BriefForm {
	f := &BriefForm{nodes: map[string]*FormNode{}, brief: b, fields: fields}
	whole := f.part(reflect.ValueOf(b).Elem(), "")
	job := &FormNode{Kind: "group", Path: "job", Label: "The job"}
	f.Sections = append(f.Sections, job)
	for _, n := range whole.Nodes {
		if n.Kind == "list" {
			n.parent, n.Top = nil, true
			f.Sections = append(f.Sections, n)
		} else {
			job.Nodes = append(job.Nodes, n)
			n.parent = job
		}
	}
	job.Aside, job.More = whole.Aside, whole.More
	for _, n := range job.Aside {
		n.parent = job
	}
	for _, p := range problems {
		f.mend(p)
	}
	if n := f.nodes[at]; n != nil {
		n.open()
		f.first(n)
	}
	return f
}

// first makes the page open at the first field of a node.
func (f *BriefForm) first(n *FormNode) {
	for len(n.Nodes) > 0 {
		n = n.Nodes[0]
	}
	n.First = true
}

func (n *FormNode) open() {
	for ; n != nil; n = n.parent {
		n.Open = true
		if n.parent != nil && slices.Contains(n.parent.Aside, n) {
			n.parent.More = true
		}
	}
}

// mend puts a problem at its field, or at the nearest thing around it.
func (f *BriefForm) mend(p brief.Problem) {
	path := f.formPath(p.Path)
	for path != "" {
		if n := f.nodes[path]; n != nil {
			n.Mends = append(n.Mends, p)
			if !p.Warning {
				n.open()
			}
			return
		}
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
}

// formPath is where the form has what the brief has at a path: model answers stand beside their items.
func (f *BriefForm) formPath(path string) string {
	var k int
	if n, err := fmt.Sscanf(path, "model-answer[%d]", &k); n != 1 || err != nil || k >= len(f.brief.Model) {
		return path
	}
	m := f.brief.Model[k]
	for i := range f.brief.Stages {
		for j := range f.brief.Stages[i].Items {
			it := &f.brief.Stages[i].Items[j]
			if it.Key != m.Item {
				continue
			}
			for s, slot := range f.brief.ModelSlots(it) {
				if slot.Part == m.Part && slot.Phase == m.Phase {
					_, member, _ := strings.Cut(path, "]")
					return fmt.Sprintf("stages[%d].items[%d].model[%d]%s", i, j, s, member)
				}
			}
		}
	}
	return path
}

// node makes a node, and keeps it by its path.
func (f *BriefForm) node(kind, path, label string) *FormNode {
	n := &FormNode{Kind: kind, Path: path, Label: label}
	f.nodes[path] = n
	return n
}

// formOrder is the order of the fields where it is not the file's; what is not named comes after.
var formOrder = map[string][]string{
	"Brief": {"title", "key"},
	"Item":  {"title", "key", "criteria"},
	"Stage": {"title", "key", "hold", "items"},
}

// part lays a struct out as a group: what is always there, and what is folded away.
func (f *BriefForm) part(v reflect.Value, path string) *FormNode {
	group := &FormNode{Kind: "group", Path: path}
	t := v.Type()
	ms := brief.MembersOf(t)
	if order := formOrder[t.Name()]; order != nil {
		place := func(m brief.Member) int {
			if i := slices.Index(order, m.Name); i >= 0 {
				return i
			}
			return len(order)
		}
		slices.SortStableFunc(ms, func(a, b brief.Member) int { return place(a) - place(b) })
	}
	for _, m := range ms {
		n := f.member(v, m, path)
		if n == nil {
			continue
		}
		n.parent = group
		if formAside[t.Name()+"."+m.Name] {
			group.Aside = append(group.Aside, n)
			group.More = group.More || n.filled()
		} else {
			group.Nodes = append(group.Nodes, n)
		}
	}
	return group
}

// filled says whether a field, or anything in a group, holds something.
func (n *FormNode) filled() bool {
	if n.Value != "" || n.On || slices.ContainsFunc(n.Options, func(o Option) bool { return o.Chosen && o.Value != "" }) || n.Kind == "entry" {
		return true
	}
	return slices.ContainsFunc(n.Nodes, (*FormNode).filled) || slices.ContainsFunc(n.Aside, (*FormNode).filled)
}

// member lays one member out; nil where it has no place here.
func (f *BriefForm) member(owner reflect.Value, m brief.Member, path string) *FormNode {
	v, at, name := owner.Field(m.Index), pathOf(path, m.Name), owner.Type().Name()+"."+m.Name
	label := formLabels[name]
	switch {
	case name == "Brief.brief", name == "Brief.model-answer" && f.strays() == 0, name == "Slip.option" && strings.Contains(path, ".figure.") && f.fields.Get(pathOf(path, m.Name)) == "":
		return nil
	case v.Kind() == reflect.Pointer:
		return f.pointer(owner, v, at, label)
	case v.Kind() == reflect.Slice:
		return f.list(owner, v, m, at, label)
	}
	n := f.node("text", at, label)
	n.Value, n.Short = f.fields.Get(at), formShort[name]
	switch {
	case v.Kind() == reflect.Int:
		n.Kind = "number"
	case v.Kind() == reflect.Bool:
		n.Kind, n.On, n.Value = "tick", n.Value != "", ""
	case len(m.OneOf) > 0:
		n.Kind, n.Options = "select", chosen(m.OneOf, n.Value)
	case formFormulas[name]:
		n.Kind, n.Rows = "formula", lines(n.Value, 1)
	case m.Lines:
		n.Kind, n.Rows = "area", lines(n.Value, 2)
	case strings.Contains(n.Value, "\n"):
		n.Kind, n.Rows = "area", lines(n.Value, 1)
	}
	if !slices.Contains(plainly, m.Name) {
		n.Hint = hint(label, m.About)
	}
	return n
}

// plainly are the members that need no more words than their label.
var plainly = []string{"value", "step", "optional", "must-be-seen", "working", "key", "title", "name", "is", "ask", "unit", "text", "source", "from", "to", "item", "show", "when"}

func pathOf(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// lines is how high a field is: its text and a little more.
func lines(text string, least int) int {
	n := 0
	for line := range strings.SplitSeq(text, "\n") {
		n += 1 + len(line)/110
	}
	return min(max(n, least), 16)
}

// hint is what the format says of a member, where its label does not say it.
func hint(label, about string) string {
	if strings.EqualFold(label, about) || strings.HasPrefix(strings.ToLower(about), strings.ToLower(label)) && len(about) < len(label)+12 {
		return ""
	}
	return sentence(about) + "."
}

// chosen makes a choice of texts with nothing first; what stands there and is none of them is kept.
func chosen(texts []string, value string) []Option {
	out := []Option{{Chosen: value == ""}}
	if value != "" && !slices.Contains(texts, value) {
		texts = append([]string{value}, texts...)
	}
	for _, s := range texts {
		out = append(out, Option{Value: s, Text: s, Chosen: s == value})
	}
	return out
}

// pointer lays a group out that may be absent; of an item's forms only the one that it has.
func (f *BriefForm) pointer(owner, v reflect.Value, at, label string) *FormNode {
	if _, ok := owner.Interface().(brief.Item); ok && v.IsNil() {
		return nil
	}
	if v.IsNil() {
		v = reflect.New(v.Type().Elem())
	}
	g := f.part(v.Elem(), at)
	n := f.node("group", at, label)
	n.Nodes, n.Aside, n.More = g.Nodes, g.Aside, g.More
	for _, x := range slices.Concat(n.Nodes, n.Aside) {
		x.parent = n
	}
	if v.Type() == reflect.TypeFor[*brief.Hold]() {
		n.Kind, n.On = "hold", n.filled()
	}
	return n
}

// entrySaid is what an entry is, in a few words, for its head.
func (f *BriefForm) entrySaid(v reflect.Value) string {
	for _, name := range []string{"Title", "Is", "Text", "Ask", "Name", "Unit", "Key"} {
		if s := v.FieldByName(name); s.IsValid() && s.Kind() == reflect.String && s.String() != "" {
			return s.String()
		}
	}
	return ""
}
