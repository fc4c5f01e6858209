package ui

import (
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// capture is the entry of the page that a trainee fills in, and early the first of its modules, which comes before all others:
// there it is a plain script, which a browser runs as soon as it is there, and gives what it has to the others by a global name.
const (
	capture   = "capture.js"
	early     = "phone/early.js"
	earlyName = "early"
)

// entries are the modules that all other pages begin with, of which one has a module of its own.
var entries = []string{"page.js", "spot.js", "judge.js", "brief.js"}

// bundle is modules as they are sent, put together without comments and long names: on a slow phone every file and every byte
// of them is waited for.
//
// What the capture page always needs is one file. What a tap brings are files of their own, which have from it what they share
// with it, as it is when they come; esbuild's own way to share would cut a dozen files from it, one for each set of modules that
// is shared.
type bundle struct{ built }

// newBundle puts the modules in files together.
func newBundle(files fs.FS) (*bundle, error) {
	b := &bundle{newBuilt()}
	made, err := build(files, api.BuildOptions{EntryPoints: entries, Splitting: true}, nil)
	if err != nil {
		return nil, err
	}
	b.add(made)
	first, err := build(files, api.BuildOptions{EntryPoints: []string{early}, Format: api.FormatIIFE, GlobalName: earlyName}, nil)
	if err != nil {
		return nil, err
	}
	b.add(first)
	inside, taps, err := survey(files)
	if err != nil {
		return nil, err
	}
	return b, b.capturePage(files, inside, taps)
}

// capturePage builds the file of the modules that the capture page always needs, and those of the modules that a tap brings; early
// is there before them.
func (b *bundle) capturePage(files fs.FS, inside, taps []string) error {
	names, err := build(files, api.BuildOptions{EntryPoints: append(inside, early)}, func(_ string, kind api.ResolveKind) (string, string) {
		if kind == api.ResolveEntryPoint {
			return "", ""
		}
		return "elsewhere", ""
	})
	if err != nil {
		return err
	}
	there := fmt.Sprintf("export const {%s} = %s;", strings.Join(names.exports[early], ", "), earlyName)
	shared := map[string]bool{}
	brought, err := build(files, api.BuildOptions{EntryPoints: taps, Splitting: true, EntryNames: "[name]-[hash]"}, func(name string, _ api.ResolveKind) (string, string) {
		switch {
		case name == capture:
			return "./" + name, ""
		case name == early:
			return "", there
		case slices.Contains(inside, name):
			shared[name] = true
			return "", fmt.Sprintf("import {%[1]s} from '/%[2]s';\nexport const {%[3]s} = %[1]s;", handle(name), capture, strings.Join(names.exports[name], ", "))
		}
		return "", ""
	})
	if err != nil {
		return err
	}
	hub := fmt.Sprintf("import '/%s';\n", capture)
	for _, name := range slices.Sorted(maps.Keys(shared)) {
		hub += fmt.Sprintf("export * as %s from '/%s';\n", handle(name), name)
	}
	page, err := build(files, api.BuildOptions{EntryPoints: []string{"hub"}, EntryNames: strings.TrimSuffix(capture, ".js")}, func(name string, kind api.ResolveKind) (string, string) {
		switch {
		case name == "hub":
			return "", hub
		case name == early:
			return "", there
		case kind == api.ResolveJSDynamicImport:
			return "./" + brought.made[name], ""
		}
		return "", ""
	})
	if err != nil {
		return err
	}
	b.add(brought)
	b.add(page)
	return nil
}

// handle is the name under which the capture page's file has one of its modules for others.
func handle(name string) string {
	return strings.NewReplacer("/", "_", ".", "_", "-", "_").Replace(name)
}

// survey finds the modules that the capture page always needs, but for the first, and those that a tap brings.
func survey(files fs.FS) (inside, taps []string, err error) {
	for todo := []string{capture}; len(todo) > 0; todo = todo[1:] {
		_, err := build(files, api.BuildOptions{EntryPoints: todo[:1]}, func(name string, kind api.ResolveKind) (string, string) {
			switch {
			case kind == api.ResolveJSDynamicImport:
				if !slices.Contains(taps, name) {
					taps, todo = append(taps, name), append(todo, name)
				}
				return "./" + name, ""
			case todo[0] == capture && name != early && !slices.Contains(inside, name):
				inside = append(inside, name)
			}
			return "", ""
		})
		if err != nil {
			return nil, nil, err
		}
	}
	slices.Sort(inside)
	slices.Sort(taps)
	return inside, taps, nil
}

// follow lists an entry and everything that has to be there before it runs, the nearest first; with deep also what it may
// ask for later.
func (b *bundle) follow(entry string, deep bool) []string {
	names := []string{entry}
	for i := 0; i < len(names); i++ {
		next := b.needs[names[i]]
		if deep {
			next = slices.Concat(next, b.later[names[i]])
		}
		for _, name := range next {
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}
