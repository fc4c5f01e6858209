package brief

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Fields is a brief as a form has it: what stands in each field, by the member's path. A whole number is its digits, a switch
// that is on is "yes", a list of texts stands as its ListStyle says. A group that has nothing in it is not there. Two things
// have a place of their own: the form of an item at its path and ".form", and the model answers to an item at its path and
// ".model[0]", ".model[1]" …, those to no item of the brief at "model-answer[0]" ….
type Fields map[string][]string

// Get is the first text of a field, "" where there is none.
func (f Fields) Get(path string) string {
	if v := f[path]; len(v) > 0 {
		return v[0]
	}
	return ""
}

// FieldsOf puts a brief into fields. Fields.Brief gives it back, but for the order of the model answers, which follows that
// of the items, and for groups and entries of lists with nothing in them.
func FieldsOf(b *Brief) Fields {
	f := Fields{}
	c := *b
	c.Model = nil
	for i, m := range b.Model {
		if it, _, ok := b.Item(m.Item); !ok || it.Key == "" {
			c.Model = append(c.Model, b.Model[i])
		}
	}
	f.put(reflect.ValueOf(&c).Elem(), "")
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			f.putModel(b, &b.Stages[i].Items[j], fmt.Sprintf("stages[%d].items[%d]", i, j))
		}
	}
	return f
}

// ModelSlots lists the model answers that the form has a place for at an item: what the brief states, and what is not there
// yet and has to be.
func (b *Brief) ModelSlots(it *Item) []ModelAnswer {
	var out []ModelAnswer
	for _, s := range it.Slots() {
		m := ModelAnswer{Item: it.Key, Part: s.Part, Phase: s.Phase}
		if i := slices.IndexFunc(b.Model, func(x ModelAnswer) bool { return x.Item == m.Item && x.Part == m.Part && x.Phase == m.Phase }); i >= 0 && it.Key != "" {
			out = append(out, b.Model[i])
		} else if it.expected(s.Part) == "" {
			out = append(out, m)
		}
	}
	for _, m := range b.Model { // to a place that the item has no longer
		if m.Item == it.Key && it.Key != "" && !slices.ContainsFunc(it.Slots(), func(s Slot) bool { return s.Part == m.Part && s.Phase == m.Phase }) {
			out = append(out, m)
		}
	}
	return out
}

func (f Fields) putModel(b *Brief, it *Item, path string) {
	f[path+".form"] = []string{string(it.Form())}
	for k, m := range b.ModelSlots(it) {
		m.Item = ""
		f.put(reflect.ValueOf(m), fmt.Sprintf("%s.model[%d]", path, k))
	}
}

func (f Fields) put(v reflect.Value, path string) {
	for _, m := range MembersOf(v.Type()) {
		x, at := v.Field(m.Index), join(path, m.Name)
		switch x.Kind() {
		case reflect.Pointer:
			if !x.IsNil() {
				f.put(x.Elem(), at)
			}
		case reflect.Slice:
			f.putList(x, m.List, at)
		case reflect.Bool:
			if x.Bool() {
				f[at] = []string{Yes}
			}
		case reflect.Int:
			if x.Int() != 0 {
				f[at] = []string{strconv.FormatInt(x.Int(), 10)}
			}
		case reflect.String:
			f[at] = []string{x.String()}
		}
	}
}

func (f Fields) putList(v reflect.Value, style ListStyle, path string) {
	var texts []string
	for i := range v.Len() {
		at := fmt.Sprintf("%s[%d]", path, i)
		switch {
		case style == NoList:
			f.put(v.Index(i), at)
		case style == Cells:
			f[at] = []string{v.Index(i).String()}
		default:
			texts = append(texts, v.Index(i).String())
		}
	}
	switch style {
	case Ticks:
		f[path] = texts
	case Commas:
		f[path] = []string{strings.Join(texts, ", ")}
	case Lines:
		f[path] = []string{strings.Join(texts, "\n")}
	case Paragraphs:
		for i, s := range texts { // an empty line within an entry has a space in it: it ends nothing
			texts[i] = eachLine(s, "", " ")
		}
		f[path] = []string{strings.Join(texts, "\n\n")}
	}
}

// eachLine puts a line in place of every line that is was.
func eachLine(s, was, now string) string {
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		if line == was {
			lines[i] = now
		}
	}
	return strings.Join(lines, "\n")
}

// Brief reads the fields. Problems are whole numbers that are none; they stand as nothing in the brief.
func (f Fields) Brief() (*Brief, Problems) {
	r := fieldReader{fields: f, most: map[string]int{}}
	for path := range f {
		r.count(path)
	}
	b := &Brief{}
	r.part(reflect.ValueOf(b).Elem(), "")
	b.Edition = Edition
	model := b.Model
	b.Model = nil
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			r.model(b, &b.Stages[i].Items[j], fmt.Sprintf("stages[%d].items[%d]", i, j))
		}
	}
	b.Model = append(b.Model, model...)
	return b, r.problems
}

// mostEntries is how many entries of a list a form has at most.
const mostEntries = 1000

type fieldReader struct {
	fields   Fields
	most     map[string]int // entries of a list, by its path
	problems Problems
}

// count notes how long the lists of a path are.
func (r *fieldReader) count(path string) {
	for i := 0; i < len(path); i++ {
		if path[i] != '[' {
			continue
		}
		digits, _, ok := strings.Cut(path[i+1:], "]")
		if n, err := strconv.Atoi(digits); ok && err == nil && 0 <= n && n < mostEntries {
			r.most[path[:i]] = max(r.most[path[:i]], n+1)
		}
	}
}

// part fills a struct and says whether it has anything in it.
func (r *fieldReader) part(v reflect.Value, path string) (filled bool) {
	form := r.fields.Get(path + ".form")
	for _, m := range MembersOf(v.Type()) {
		x, at := v.Field(m.Index), join(path, m.Name)
		switch x.Kind() {
		case reflect.Pointer:
			x.Set(reflect.New(x.Type().Elem()))
			some := r.part(x.Elem(), at)
			if formOf(v.Type(), m.Name) {
				some = m.Name == form
			}
			if !some {
				x.SetZero()
			}
			filled = filled || some
		case reflect.Slice:
			r.list(x, m.List, at)
			filled = filled || x.Len() > 0
		case reflect.Bool:
			x.SetBool(r.fields.Get(at) != "")
			filled = filled || x.Bool()
		case reflect.Int:
			x.SetInt(r.whole(at))
			filled = filled || x.Int() != 0
		case reflect.String:
			x.SetString(asSent(r.fields.Get(at)))
			filled = filled || x.String() != ""
		}
	}
	return filled
}

// asSent is a text as it was typed: browsers send every end of a line as two characters.
func asSent(s string) string { return strings.ReplaceAll(s, "\r\n", "\n") }

func (r *fieldReader) whole(path string) int64 {
	s := strings.TrimSpace(r.fields.Get(path))
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 || n > 9999 {
		r.problems = append(r.problems, Problem{Path: path, Text: fmt.Sprintf("This is a whole number from 0 to 9999, and “%s” stands here.", shorten(s))})
		return 0
	}
	return int64(n)
}

func (r *fieldReader) list(v reflect.Value, style ListStyle, path string) {
	var texts []string
	switch style {
	case NoList, Cells:
		n := r.most[path]
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			at := fmt.Sprintf("%s[%d]", path, i)
			if style == NoList {
				r.part(v.Index(i), at)
			} else {
				v.Index(i).SetString(asSent(r.fields.Get(at)))
			}
		}
		return
	case Ticks:
		texts = r.fields[path]
	case Commas:
		texts = strings.FieldsFunc(r.fields.Get(path), func(c rune) bool { return c == ',' || c == ';' || c == '\n' || c == '\r' })
	case Lines:
		texts = strings.Split(asSent(r.fields.Get(path)), "\n")
	case Paragraphs:
		texts = strings.Split(asSent(r.fields.Get(path)), "\n\n")
	}
	for _, s := range texts {
		if style == Paragraphs {
			s = eachLine(strings.Trim(s, "\n"), " ", "")
		} else {
			s = strings.TrimSpace(s)
		}
		if s != "" {
			x := reflect.New(v.Type().Elem()).Elem()
			x.SetString(s)
			v.Set(reflect.Append(v, x))
		}
	}
}

// model reads the model answers to an item; one that says nothing is none.
func (r *fieldReader) model(b *Brief, it *Item, path string) {
	for k := range r.most[path+".model"] {
		m := ModelAnswer{}
		r.part(reflect.ValueOf(&m).Elem(), fmt.Sprintf("%s.model[%d]", path, k))
		m.Item = it.Key
		if m.Text+m.Unit+m.Working != "" {
			b.Model = append(b.Model, m)
		}
	}
}
