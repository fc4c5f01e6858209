package ui

import (
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/web"
)

// Frame is what stands around every page: where I am, who I am, and what was just done.
type Frame struct {
	Title    string
	Here     string // the address of the place in the head that the page belongs to
	SignedIn bool
	Name     string
	Person   string // their id; "" for signed-out people
	Drawn    int64  // the server's clock when the page was drawn, in milliseconds since 1970
	Places   []Place
	Notice   string // a sentence about what was just done
	Trouble  string // why a form was not taken, where its place on the page is gone
	Again    int    // seconds after which the page is loaded again; 0 for never
}

func (f *Frame) frame() *Frame { return f }

// Place is somewhere to go from the head of every page.
type Place struct {
	Address, Text string
	Here          bool
}

// places lists where people with these roles have something to do.
func places(who account.Caller, here string) []Place {
	var ps []Place
	add := func(address, text string, roles ...account.Role) {
		for _, r := range roles {
			if who.Has(r) {
				ps = append(ps, Place{Address: address, Text: text, Here: address == here})
				return
			}
		}
	}
	if who.Visit != uuid.Nil { // nothing else is there for them
		add("/visit", "Your visit", account.ExternalVerifier)
		return ps
	}
	add("/tasks", "My tasks", account.Trainee)
	add("/bench", "Bench", account.Tutor)
	add("/cohorts", "Cohorts", account.Manager, account.QualityAssurer, account.Tutor)
	add("/briefs", "Briefs", account.Tutor, account.QualityAssurer, account.Manager)
	add("/rules", "Rules", account.Tutor, account.QualityAssurer, account.Manager)
	add("/second-looks", "Second looks", account.QualityAssurer, account.Manager)
	add("/people", "People", account.Manager)
	add("/centre", "The centre", account.Manager, account.QualityAssurer, account.Technician, account.Tutor)
	add("/portfolios", "Portfolios", account.Manager, account.QualityAssurer, account.Tutor)
	return ps
}

// readPages parses every page together with the layout and the parts that pages share.
func readPages(static *staticFiles) (map[string]*template.Template, error) {
	shared := []string{"page/layout.html", "page/parts.html", "page/line.html", "page/inputs.html", "page/deciding.html", "page/briefform.html", "page/filed.html", "page/visitparts.html"}
	base, err := template.New("base").Funcs(functions(static)).ParseFS(web.Files, shared...)
	if err != nil {
		return nil, fmt.Errorf("read the layout: %w", err)
	}
	names, err := fs.Glob(web.Files, "page/*.html")
	if err != nil {
		return nil, fmt.Errorf("list the pages: %w", err)
	}
	pages := map[string]*template.Template{}
	for _, file := range names {
		name := strings.TrimSuffix(path.Base(file), ".html")
		if slices.Contains(shared, file) {
			continue
		}
		t, err := base.Clone()
		if err != nil {
			return nil, fmt.Errorf("copy the layout: %w", err)
		}
		if pages[name], err = t.ParseFS(web.Files, file); err != nil {
			return nil, fmt.Errorf("read page %s: %w", name, err)
		}
	}
	return pages, nil
}
