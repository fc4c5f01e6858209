package api

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"witnessmark/internal/account"
	"witnessmark/internal/golden"
)

// open names the operations that ask nothing of the caller; every other row names an action.
var open = []string{"openAPI", "signIn", "signOut", "askForLink", "invited", "acceptInvitation", "verifyPortfolio", "visitInvited", "openVisit"}

// complaints says what is wrong with a table.
func complaints(routes []Route) []string {
	var out []string
	seen := map[string]bool{}
	for _, r := range routes {
		at := r.Method + " " + r.Path
		say := func(what string) { out = append(out, at+": "+what) }
		if r.Action == "" && !slices.Contains(open, r.shape.id) {
			say("names no action")
		}
		if !strings.HasSuffix(r.About, ".") || strings.Count(r.About, ". ") > 0 {
			say("has no sentence, or more than one")
		}
		if !strings.HasPrefix(r.Path, "/api/") {
			say("is not under /api")
		}
		for _, key := range []string{at, r.shape.id} {
			if seen[key] {
				say(key + " stands twice")
			}
			seen[key] = true
		}
		if n := strings.Count(r.Path, "{"); n != r.shape.path.NumField() {
			say("does not name each parameter of its path once")
		}
		for i := range r.shape.path.NumField() {
			if p := name(r.shape.path.Field(i), "path"); !strings.Contains(r.Path, "{"+p+"}") {
				say("lacks {" + p + "}")
			}
		}
	}
	return out
}

func TestEveryRowIsWhole(t *testing.T) {
	s := newService(nil, nil)
	for _, c := range complaints(s.routes()) {
		t.Error(c)
	}
	// The test itself can fail: each of these rows has something wrong with it.
	bad := []Route{
		route("a", get, "/api/a", "", "Says.", s.whoAmI),
		route("b", get, "/api/b", signedIn, "", s.whoAmI),
		route("c", get, "/c", signedIn, "Says.", s.whoAmI),
		route("d", get, "/api/{id}", signedIn, "Says.", s.whoAmI),
		route("e", get, "/api/e", signedIn, "Says.", s.sheet),
	}
	for _, r := range bad {
		if len(complaints([]Route{r})) == 0 {
			t.Errorf("the row %s passes and should not", r.shape.id)
		}
	}
	if twice := []Route{route("f", get, "/api/f", signedIn, "Says.", s.whoAmI), route("g", get, "/api/f", signedIn, "Says.", s.whoAmI)}; len(complaints(twice)) == 0 {
		t.Error("a path that stands twice passes and should not")
	}
}

// TestHandlersAreShortAndCallOneMethod reads the source: a handler is ten lines or fewer and calls one method of the
// application; those that are about the session or the document alone call none.
func TestHandlersAreShortAndCallOneMethod(t *testing.T) {
	none := []string{"openAPI", "signOut", "whoAmI"}
	fset := token.NewFileSet()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	handlers := map[string]bool{}
	for _, r := range newService(nil, nil).routes() {
		handlers[r.shape.id] = true
	}
	for _, file := range files {
		f, err := parser.ParseFile(fset, file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Recv == nil || !handlers[fn.Name.Name] {
				continue
			}
			delete(handlers, fn.Name.Name)
			lines := fset.Position(fn.Body.Rbrace).Line - fset.Position(fn.Body.Lbrace).Line - 1
			want := 1
			if slices.Contains(none, fn.Name.Name) {
				want = 0
			}
			if got := appCalls(fn.Body); lines > 10 || got != want {
				t.Errorf("%s has %d lines and calls the application %d times, want at most 10 and %d", fn.Name.Name, lines, got, want)
			}
		}
	}
	for left := range handlers {
		t.Errorf("there is no handler called %s", left)
	}
}

// appCalls counts calls of s.app's methods.
func appCalls(body ast.Node) int {
	n := 0
	ast.Inspect(body, func(x ast.Node) bool {
		call, ok := x.(*ast.CallExpr)
		if !ok {
			return true
		}
		if sel, ok := call.Fun.(*ast.SelectorExpr); ok {
			if of, ok := sel.X.(*ast.SelectorExpr); ok && of.Sel.Name == "app" {
				n++
			}
		}
		return true
	})
	return n
}

// TestDocument keeps openapi.json golden and has it judged by kin-openapi v0.153, which is not ours.
func TestDocument(t *testing.T) {
	s := newService(nil, nil)
	golden.Check(t, "testdata/openapi.json", s.document)
	doc := load(t, s.document)
	if err := doc.Validate(t.Context()); err != nil {
		t.Errorf("openapi.json: %v", err)
	}
	for _, r := range s.routes() {
		if doc.Paths.Find(r.Path).GetOperation(r.Method) == nil {
			t.Errorf("openapi.json lacks %s %s", r.Method, r.Path)
		}
	}
}

func load(t *testing.T, raw []byte) *openapi3.T {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(raw)
	if err != nil {
		t.Fatalf("read openapi.json: %v", err)
	}
	return doc
}

// TestRolesOfTheDocument holds the roles that a body may name against the roles that there are.
func TestRolesOfTheDocument(t *testing.T) {
	doc := load(t, newService(nil, nil).document)
	got := doc.Components.Schemas["NewPerson"].Value.Properties["roles"].Value.Items.Value.Enum
	for _, r := range account.Roles() {
		if !slices.Contains(got, any(string(r))) {
			t.Errorf("a person cannot be given the role %s: the document has %v", r, got)
		}
	}
	if len(got) != len(account.Roles()) {
		t.Errorf("the document has the roles %v, the centre %v", got, account.Roles())
	}
}
