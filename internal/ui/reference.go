package ui

import (
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/formula"
)

// ReferencePage is every function that formulas may call, with its formula, units, range, source, example and chart.
type ReferencePage struct {
	Frame
	Search   string
	Found    int
	Subjects []SubjectView
	Builtins []formula.Builtin // of the notation itself; only where nothing is searched for
}

func (*ReferencePage) template() string { return "reference" }

// SubjectView is a chapter of the reference.
type SubjectView struct {
	Key, Title, About string
	Functions         []FunctionView
}

// formulaWide is how many bytes of a formula fit a phone however its fractions fall.
const formulaWide = 60

// FunctionView is one function as a tutor reads it.
type FunctionView struct {
	Name, About, Method string
	Subject             string        // its chapter's title, where it stands outside of its chapter
	Call                string        // with the parameters' names: "bore(od, wall)"
	Formula             template.HTML // typeset; "" where Method says it
	Wide                bool          // the formula may not fit a phone: keys reach it to move it sideways
	Params              []ParamView
	Unit                string // of what it gives; "" for a plain number
	Range, Source       string
	ExampleCall, Gives  string
	Chart               *ChartView
}

// ParamView is a parameter of a function.
type ParamView struct{ Name, Unit, Is string }

// Words are what a search finds the function by although its line does not show it.
func (f FunctionView) Words() string {
	ss := []string{f.Subject, f.Source}
	for _, p := range f.Params {
		ss = append(ss, p.Is)
	}
	return strings.Join(ss, " ")
}

func (u *UI) reference(c echo.Context, who account.Caller) error {
	subjects, err := u.app.Reference(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &ReferencePage{Frame: Frame{Title: "Functions for formulas", Here: "/briefs"}, Search: strings.TrimSpace(c.QueryParam("find"))}
	for _, s := range subjects {
		view := SubjectView{Key: s.Key, Title: s.Title, About: s.About}
		for _, e := range s.Entries {
			if f := newFunctionView(e); matches(p.Search, s.Title, f) {
				view.Functions = append(view.Functions, f)
			}
		}
		if len(view.Functions) > 0 {
			p.Subjects = append(p.Subjects, view)
			p.Found += len(view.Functions)
		}
	}
	if p.Search == "" {
		p.Builtins = formula.Builtins()
	}
	return u.render(c, who, http.StatusOK, p)
}

// matches says whether every word looked for is somewhere in what is said of the function.
func matches(search, subject string, f FunctionView) bool {
	said := []string{subject, f.Call, f.About, f.Method, f.Unit, f.Range, f.Source}
	for _, p := range f.Params {
		said = append(said, p.Name, p.Unit, p.Is)
	}
	text := strings.ToLower(strings.Join(said, " "))
	for _, word := range strings.Fields(strings.ToLower(search)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

func newFunctionView(e app.TradeEntry) FunctionView {
	f := FunctionView{
		Name: e.Name, About: e.About, Method: e.Method, Unit: e.Result.String(), Range: unbroken(e.Range), Source: e.Source, Gives: e.Gives,
	}
	var names []string
	for _, p := range e.Params {
		names = append(names, p.Name)
		f.Params = append(f.Params, ParamView{Name: p.Name, Unit: p.Unit.String(), Is: p.About})
	}
	f.Call = e.Name + "(" + strings.Join(names, ", ") + ")"
	if e.Formula != "" {
		f.Formula, f.Wide = typeset(e.Formula), len(e.Formula) > formulaWide
	}
	if len(e.Example) > 0 {
		f.ExampleCall = e.Name + "(" + strings.Join(e.Example, ", ") + ")"
	}
	f.Chart = newChartView(e)
	return f
}

// callableOnce writes callable when it is first asked for: it is the same on every page on which a brief is written, and longer than all
// the rest of it.
func callableOnce(t *template.Template) func([]app.TradeSubject) (template.HTML, error) {
	var (
		once sync.Once
		html template.HTML
		err  error
	)
	return func(subjects []app.TradeSubject) (template.HTML, error) {
		once.Do(func() {
			var all []FunctionView
			for _, s := range subjects {
				for _, e := range s.Entries {
					f := newFunctionView(e)
					f.Subject = s.Title
					all = append(all, f)
				}
			}
			html, err = callable(t, all)
		})
		return html, err
	}
}

// callable is the table of the functions that a formula may call.
func callable(t *template.Template, all []FunctionView) (template.HTML, error) {
	var b strings.Builder
	if err := t.ExecuteTemplate(&b, "callable", all); err != nil {
		return "", fmt.Errorf("write the functions: %w", err)
	}
	return template.HTML(b.String()), nil // the template's own
}

// writing shows a brief's text being written, beside it the functions that its formulas may call.
func (u *UI) writing(c echo.Context, who account.Caller, status int, p *EditPage) error {
	subjects, err := u.app.Reference(c.Request().Context(), who)
	if err != nil {
		return err
	}
	if p.Callable, err = u.callable(subjects); err != nil {
		return err
	}
	return u.render(c, who, status, p)
}
