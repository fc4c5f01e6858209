package ui

import (
	"html/template"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/formula"
	"witnessmark/internal/trade"
)

// samplePagesOfWriting are a brief being written, each side up.
func samplePagesOfWriting(t *testing.T, ps map[string]page, problems brief.Problems) {
	t.Helper()
	src, _ := brief.Print(sample.Brief()) // the sample can be printed
	at := brief.Problems{
		{Path: "stages[1].items[0].title", Text: "This title is empty."}, {Path: "given[0]", Text: "A range has all three.", Warning: true},
		{Path: "model-answer[1].text", Text: "This is none of what can be chosen."}, {Path: "nowhere.at.all", Text: "Elsewhere."},
	}
	for _, side := range []string{front, back} {
		p := &EditPage{Frame: Frame{Title: "Change", Here: "/briefs"}, Side: side, Source: string(src), Checked: true, Changed: true, Problems: append(at, problems...), Back: "/briefs/x/1"}
		p.turn(written{text: string(src), at: "stages[0].items[1]"}, at)
		ps["edit-"+side], ps["editlive-"+side] = p, &LiveForm{*p}
	}
	p := &EditPage{Frame: Frame{Title: "A new brief", Here: "/briefs"}, Side: front, Source: starter, Callable: sampleCallable(t)}
	p.turn(written{text: starter}, nil)
	ps["edit-new"] = p
	theirs := &Theirs{app.BriefVersion{WriterName: "Ruben Marsh", Version: 3, WrittenAt: time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC), Digest: "d"}, brief.Differences("a\nb\n", "a\nc\n")}
	ps["edit-theirs"] = &EditPage{Frame: Frame{Title: "Change", Here: "/briefs"}, Side: back, Source: "a\nc\n", Checked: true, Theirs: theirs, Instead: "Saving makes its version 4."}
	ps["difference"] = &DifferencePage{Frame{Title: "What changed", Here: "/briefs"}, app.Difference{
		Was: app.BriefVersion{Version: 1, State: "published"}, Now: app.BriefVersion{Version: 2, State: "draft"},
		Versions: []app.BriefVersion{{Version: 2, State: "draft"}, {Version: 1, State: "published"}}, Lines: theirs.Lines,
	}}
	ps["difference-none"] = &DifferencePage{Frame: Frame{Title: "What changed", Here: "/briefs"}}
	ps["workthrough-none"] = &WorkThroughPage{Frame: Frame{Title: "Work it through", Here: "/briefs"}, Back: "/briefs/x/1"}
	ps["workthrough"] = sampleWork()
}

// sampleCallable is the table of the sample functions.
func sampleCallable(t *testing.T) template.HTML {
	t.Helper()
	html, err := callable(newUI(t).pages["edit"], sampleFunctions())
	if err != nil {
		t.Fatal(err)
	}
	return html
}

// sampleWork is the sample worked through with its model answer's values.
func sampleWork() *WorkThroughPage {
	functions := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		functions[f.Name] = f
	}
	b := sample.Brief()
	c, _ := brief.Compile(b, functions)
	w := app.WorkedBrief{BriefText: app.BriefText{Brief: b}, Full: true, Marks: 7, Untold: brief.Slips(c)}
	w.Samples, w.Worked = brief.WorkThrough(c, map[string]string{"tf": "7 bar"})
	for n := range int64(besides) {
		given := brief.Draw(b, n+1)
		_, worked := brief.WorkThrough(c, given)
		w.Beside = append(w.Beside, app.Variant{Draw: n + 1, Given: given, Worked: worked})
	}
	return &WorkThroughPage{Frame: Frame{Title: "Work it through", Here: "/briefs"}, Work: w, Back: "/briefs/x/1", Draw: 3, Other: 9}
}

// parts are the types that a brief is made of.
func parts() []reflect.Type {
	var out []reflect.Type
	seen := map[reflect.Type]bool{}
	var walk func(reflect.Type)
	walk = func(t reflect.Type) {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct || seen[t] {
			return
		}
		seen[t] = true
		out = append(out, t)
		for _, m := range brief.MembersOf(t) {
			walk(t.Field(m.Index).Type)
		}
	}
	walk(reflect.TypeFor[brief.Brief]())
	return out
}

// Every member of a brief has a name on the form, and no name stands for nothing.
func TestFormNamesEveryMember(t *testing.T) {
	names := map[string]bool{}
	for _, p := range parts() {
		for _, m := range brief.MembersOf(p) {
			name := p.Name() + "." + m.Name
			names[name] = true
			if formLabels[name] == "" && name != "Brief.brief" {
				t.Errorf("%s has no name on the form", name)
			}
		}
	}
	for _, words := range []map[string]bool{formAside, formShort, formFormulas} {
		for name := range words {
			if !names[name] {
				t.Errorf("%s is no member of a brief", name)
			}
		}
	}
	for name := range formLabels {
		if !names[name] {
			t.Errorf("%s is no member of a brief", name)
		}
	}
}

// collect gives what the form would send.
func collect(n *FormNode, f brief.Fields) {
	switch n.Kind {
	case "tick":
		if n.On {
			f[n.Path] = []string{"yes"}
		}
	case "ticks", "select":
		for _, o := range n.Options {
			if o.Chosen {
				f[n.Path] = append(f[n.Path], o.Value)
			}
		}
	case "text", "number", "area", "formula", "hidden":
		f[n.Path] = []string{strings.ReplaceAll(n.Value, "\n", "\r\n")} // as browsers send it
	}
	for _, x := range append(append([]*FormNode{}, n.Nodes...), n.Aside...) {
		collect(x, f)
	}
}

// The form has a field for everything in a brief: sent back untouched, it gives the same brief, and the file stays to the letter.
func TestFormHoldsTheWholeBrief(t *testing.T) {
	files := map[string]string{}
	names, err := filepath.Glob("../../seed/briefs/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = string(src)
	}
	src, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	files["sample"] = string(src)
	files["starter"] = starter
	for name, text := range files {
		b, err := brief.Read([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		form := newBriefForm(b, brief.FieldsOf(b), nil, "")
		sent := brief.Fields{}
		for _, n := range form.Sections {
			collect(n, sent)
		}
		got, problems := sent.Text([]byte(text))
		if string(got) != text || len(problems) > 0 {
			was, _ := brief.FieldsOf(b).Brief()
			now, _ := sent.Brief()
			t.Errorf("%s came back as another brief, %v (-was +now):\n%s", name, problems, cmp.Diff(was, now))
		}
	}
}

// Each problem stands at its field, or at the nearest thing around it; those of model answers beside their item.
func TestProblemsStandAtTheirFields(t *testing.T) {
	b := sample.Brief()
	at := func(path string) string {
		f := newBriefForm(b, brief.FieldsOf(b), brief.Problems{{Path: path, Text: "here"}}, "")
		for p, n := range f.nodes {
			if len(n.Mends) > 0 {
				return p
			}
		}
		return ""
	}
	for path, want := range map[string]string{
		"title":                                   "title",
		"stages[0].items[0].photo.visible[1]":     "stages[0].items[0].photo.visible",
		"stages[1].items[0].criteria[0]":          "stages[1].items[0].criteria",
		"stages[1].items[0]":                      "stages[1].items[0]",
		"stages[0].hold.show":                     "stages[0].hold.show",
		"model-answer[0].text":                    "stages[0].items[2].model[0].text",
		"stages[0].items[2].reading.limit.bottom": "stages[0].items[2].reading.limit",
		"nowhere": "",
	} {
		if got := at(path); got != want {
			t.Errorf("%s stands at %q, want %q", path, got, want)
		}
	}
}
