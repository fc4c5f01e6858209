package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"

	"github.com/evanw/esbuild/pkg/api"
)

// entries are the modules that pages begin with: the page that a trainee fills in, with the first of its modules, which comes
// before all others; and every other page, of which one has a module of its own.
var entries = [][]string{{"capture.js", "phone/early.js"}, {"page.js", "spot.js"}}

// bundle is modules as they are sent: those that an entry always needs are put together into few files without comments and
// long names, since on a slow phone every file and every byte of them is waited for. What an entry asks for only when it
// comes to it stays a file of its own.
type bundle struct {
	files map[string][]byte   // by name
	needs map[string][]string // what each file names at its head, the files that have to be there before it runs
	later map[string][]string // what each file may ask for when it runs
}

// newBundle puts the modules in files together, by the program esbuild.
func newBundle(files fs.FS) (*bundle, error) {
	b := &bundle{files: map[string][]byte{}, needs: map[string][]string{}, later: map[string][]string{}}
	for _, group := range entries {
		made := api.Build(api.BuildOptions{
			EntryPoints: group, Outdir: "/", Outbase: "/", AbsWorkingDir: "/", Plugins: []api.Plugin{from(files)},
			Bundle: true, Splitting: true, Format: api.FormatESModule, Target: api.ES2022, Charset: api.CharsetUTF8,
			MinifyWhitespace: true, MinifyIdentifiers: true, MinifySyntax: true, Metafile: true,
		})
		if err := troubles(made.Errors); err != nil {
			return nil, err
		}
		for _, f := range made.OutputFiles {
			b.files[f.Path[1:]] = f.Contents
		}
		if err := b.connect(made.Metafile); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// from has modules read from files, by names relative to each other.
func from(files fs.FS) api.Plugin {
	return api.Plugin{Name: "embedded", Setup: func(p api.PluginBuild) {
		p.OnResolve(api.OnResolveOptions{Filter: `.*`}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			name := path.Join("/", path.Dir(a.Importer), a.Path)
			if _, err := fs.Stat(files, name[1:]); err != nil && a.Kind == api.ResolveJSDynamicImport {
				return api.OnResolveResult{Path: a.Path, External: true}, nil
			}
			return api.OnResolveResult{Path: name, Namespace: "file"}, nil
		})
		p.OnLoad(api.OnLoadOptions{Filter: `.*`}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			content, err := fs.ReadFile(files, a.Path[1:])
			text := string(content)
			return api.OnLoadResult{Contents: &text, Loader: api.LoaderJS}, err
		})
	}}
}

// troubles is what esbuild found in our own modules.
func troubles(found []api.Message) error {
	var errs []error
	for _, m := range found {
		at := ""
		if m.Location != nil {
			at = fmt.Sprintf("%s:%d: ", m.Location.File, m.Location.Line)
		}
		errs = append(errs, fmt.Errorf("put the modules together: %s%s", at, m.Text))
	}
	return errors.Join(errs...)
}

// connect reads which file asks for which.
func (b *bundle) connect(metafile string) error {
	var about struct {
		Outputs map[string]struct {
			Imports []struct {
				Path, Kind string
				External   bool
			}
		}
	}
	if err := json.Unmarshal([]byte(metafile), &about); err != nil {
		return fmt.Errorf("read how the modules hang together: %w", err)
	}
	for name, o := range about.Outputs {
		for _, i := range o.Imports {
			if i.External {
				continue
			}
			to := b.needs
			if i.Kind == "dynamic-import" {
				to = b.later
			}
			to[name] = append(to[name], i.Path)
		}
	}
	return nil
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
