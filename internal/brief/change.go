package brief

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Change is one change to a brief as a form makes it: an entry of a list added, moved by one place or taken out.
type Change struct {
	Do   string // "add", "up", "down" or "remove"
	Path string // of the list where an entry is added, else of the entry
	Form Form   // of an item that is added
}

// ParseChange reads a change as String writes it.
func ParseChange(s string) (Change, bool) {
	do, rest, _ := strings.Cut(s, ":")
	path, form, _ := strings.Cut(rest, "=")
	c := Change{Do: do, Path: path, Form: Form(form)}
	return c, slices.Contains([]string{"add", "up", "down", "remove"}, do) && path != ""
}

// String is the change as the button of a form has it: "add:stages[0].items=photo", "up:given[2]".
func (c Change) String() string {
	s := c.Do + ":" + c.Path
	if c.Form != "" {
		s += "=" + string(c.Form)
	}
	return s
}

// Apply makes the change and gives the path of the entry that it is about where that then stands, of the list where it was
// taken out. ok is false where the brief has no such entry, or it cannot be moved that way. An item moves on into the next
// stage from the end of its own; its model answers go with it when it is taken out.
func (c Change) Apply(b *Brief) (at string, ok bool) {
	if c.Do == "add" {
		return c.add(b)
	}
	path, i, ok := entryOf(c.Path)
	list, found := valueAt(reflect.ValueOf(b).Elem(), path)
	if !ok || !found || list.Kind() != reflect.Slice || i >= list.Len() {
		return "", false
	}
	to := i - 1
	switch c.Do {
	case "remove":
		if it, is := list.Index(i).Interface().(Item); is {
			b.Model = slices.DeleteFunc(b.Model, func(m ModelAnswer) bool { return m.Item == it.Key })
		}
		list.Set(reflect.AppendSlice(list.Slice(0, i), list.Slice(i+1, list.Len())))
		return path, true
	case "down":
		to = i + 1
	}
	if to < 0 || to >= list.Len() {
		return acrossStages(b, path, i, to)
	}
	x, y := list.Index(i).Interface(), list.Index(to).Interface()
	list.Index(i).Set(reflect.ValueOf(y))
	list.Index(to).Set(reflect.ValueOf(x))
	return fmt.Sprintf("%s[%d]", path, to), true
}

// acrossStages moves an item from the end of its stage into the next one, or from the start into the one before.
func acrossStages(b *Brief, path string, i, to int) (string, bool) {
	number, found := strings.CutPrefix(path, "stages[")
	number, whole := strings.CutSuffix(number, "].items")
	stage, err := strconv.Atoi(number)
	if !found || !whole || err != nil {
		return "", false
	}
	from, next := &b.Stages[stage], stage+1
	if to < 0 {
		next = stage - 1
	}
	if next < 0 || next >= len(b.Stages) {
		return "", false
	}
	it, into := from.Items[i], &b.Stages[next]
	from.Items = slices.Delete(from.Items, i, i+1)
	place := 0
	if to < 0 {
		place = len(into.Items)
	}
	into.Items = slices.Insert(into.Items, place, it)
	return fmt.Sprintf("stages[%d].items[%d]", next, place), true
}

func (c Change) add(b *Brief) (string, bool) {
	list, ok := valueAt(reflect.ValueOf(b).Elem(), c.Path)
	if !ok || list.Kind() != reflect.Slice || list.Type().Elem().Kind() != reflect.Struct {
		return "", false
	}
	x := reflect.New(list.Type().Elem()).Elem()
	if it, is := x.Addr().Interface().(*Item); is {
		if !slices.Contains(Forms(), c.Form) {
			return "", false
		}
		it.setForm(c.Form)
	}
	for _, name := range []string{"Key", "Name"} {
		if f := x.FieldByName(name); f.IsValid() {
			f.SetString(b.freshKey(strings.ToLower(x.Type().Name()), list))
		}
	}
	list.Set(reflect.Append(list, x))
	return fmt.Sprintf("%s[%d]", c.Path, list.Len()-1), true
}

// setForm gives the item a form with nothing in it.
func (it *Item) setForm(f Form) {
	v := reflect.ValueOf(it).Elem()
	for _, m := range members(v.Type()) {
		if formOf(v.Type(), m.name) && m.name == string(f) {
			v.Field(m.index).Set(reflect.New(v.Field(m.index).Type().Elem()))
		}
	}
}

// keyWords are what fresh keys begin with, by the small name of a part's type.
var keyWords = map[string]string{"gridfault": "fault", "testrow": "row", "column": "check"}

// freshKey is a key that nothing in the brief, nor in the list, has yet.
func (b *Brief) freshKey(word string, list reflect.Value) string {
	if w, ok := keyWords[word]; ok {
		word = w
	}
	used := map[string]bool{}
	for i := range list.Len() {
		for _, name := range []string{"Key", "Name"} {
			if f := list.Index(i).FieldByName(name); f.IsValid() {
				used[f.String()] = true
			}
		}
	}
	for _, g := range b.Given {
		used[g.Name] = true
	}
	for _, t := range b.Tables {
		used[t.Name] = true
	}
	for _, st := range b.Stages {
		used[st.Key] = true
		for _, it := range st.Items {
			used[it.Key] = true
		}
	}
	for n := 1; ; n++ {
		if key := word + strconv.Itoa(n); !used[key] {
			return key
		}
	}
}

// entryOf takes the last index off a path.
func entryOf(path string) (list string, i int, ok bool) {
	at := strings.LastIndexByte(path, '[')
	if at < 0 || !strings.HasSuffix(path, "]") {
		return "", 0, false
	}
	i, err := strconv.Atoi(path[at+1 : len(path)-1])
	return path[:at], i, err == nil && i >= 0
}

// valueAt finds the value at a path; a group on the way that is not there ends it.
func valueAt(v reflect.Value, path string) (reflect.Value, bool) {
	for name := range strings.SplitSeq(path, ".") {
		name, index, indexed := strings.Cut(name, "[")
		if v.Kind() == reflect.Pointer {
			if v.IsNil() {
				return v, false
			}
			v = v.Elem()
		}
		if v.Kind() != reflect.Struct {
			return v, false
		}
		m, ok := find(members(v.Type()), name)
		if !ok {
			return v, false
		}
		if v = v.Field(m.index); !indexed {
			continue
		}
		i, err := strconv.Atoi(strings.TrimSuffix(index, "]"))
		if err != nil || v.Kind() != reflect.Slice || i < 0 || i >= v.Len() {
			return v, false
		}
		v = v.Index(i)
	}
	return v, true
}
