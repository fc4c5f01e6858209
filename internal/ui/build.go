package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"strings"
	"sync"

	"github.com/evanw/esbuild/pkg/api"
)

// built is what esbuild made of some modules. Names are relative to the folder of the static files.
type built struct {
	files   map[string][]byte
	made    map[string]string   // the file that each entry became
	exports map[string][]string // the names that each entry gives to others
	needs   map[string][]string // what each file names at its head
	later   map[string][]string // what each file may ask for when it runs
}

func newBuilt() built {
	return built{map[string][]byte{}, map[string]string{}, map[string][]string{}, map[string][]string{}, map[string][]string{}}
}

// add takes another's files in.
func (b *built) add(o built) {
	maps.Copy(b.files, o.files)
	maps.Copy(b.made, o.made)
	maps.Copy(b.needs, o.needs)
	maps.Copy(b.later, o.later)
}

// turn says where a module is to come from that is asked for in some way: from outside, under an address of its own; with a
// text that stands in for it; or, with neither, from its file. It is asked by one at a time.
type turn func(name string, kind api.ResolveKind) (address, text string)

// build has esbuild read modules from files, and put together and shorten what the entries need.
func build(files fs.FS, o api.BuildOptions, t turn) (built, error) {
	o.Outdir, o.Outbase, o.AbsWorkingDir, o.Plugins = "/", "/", "/", []api.Plugin{from(files, t)}
	o.Bundle, o.Target, o.Charset, o.Metafile = true, api.ES2022, api.CharsetUTF8, true
	if o.GlobalName == "" {
		o.Format = api.FormatESModule
	}
	o.MinifyWhitespace, o.MinifyIdentifiers, o.MinifySyntax = true, true, true
	b := newBuilt()
	made := api.Build(o)
	if err := troubles(made.Errors); err != nil {
		return b, err
	}
	for _, f := range made.OutputFiles {
		b.files[f.Path[1:]] = f.Contents
	}
	return b, b.connect(made.Metafile)
}

// standIn is the namespace of modules whose text is not that of their file.
const standIn = "stand-in"

// from has modules read from files, by names relative to each other, but where t turns them elsewhere.
func from(files fs.FS, t turn) api.Plugin {
	var mutex sync.Mutex // esbuild asks from several goroutines
	texts := map[string]string{}
	return api.Plugin{Name: "embedded", Setup: func(p api.PluginBuild) {
		p.OnResolve(api.OnResolveOptions{Filter: `.*`}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			name := a.Path
			if !path.IsAbs(name) {
				name = path.Join("/", path.Dir(a.Importer), name)
			}
			if t != nil {
				mutex.Lock()
				defer mutex.Unlock()
				switch address, text := t(name[1:], a.Kind); {
				case address != "":
					return api.OnResolveResult{Path: address, External: true}, nil
				case text != "":
					texts[name] = text
					return api.OnResolveResult{Path: name, Namespace: standIn}, nil
				}
			}
			return api.OnResolveResult{Path: name, Namespace: "file"}, nil
		})
		p.OnLoad(api.OnLoadOptions{Filter: `.*`}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			if a.Namespace == standIn {
				mutex.Lock()
				defer mutex.Unlock()
				text := texts[a.Path]
				return api.OnLoadResult{Contents: &text, Loader: api.LoaderJS}, nil
			}
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

// connect reads what became of the entries, and which file asks for which.
func (b *built) connect(metafile string) error {
	var about struct {
		Outputs map[string]struct {
			EntryPoint string
			Exports    []string
			Imports    []struct {
				Path, Kind string
				External   bool
			}
		}
	}
	if err := json.Unmarshal([]byte(metafile), &about); err != nil {
		return fmt.Errorf("read how the modules hang together: %w", err)
	}
	for name, o := range about.Outputs {
		if entry := strings.TrimPrefix(strings.TrimPrefix(o.EntryPoint, standIn+":"), "/"); entry != "" {
			b.made[entry], b.exports[entry] = name, o.Exports
		}
		for _, i := range o.Imports {
			to := b.needs
			if i.Kind == "dynamic-import" {
				to = b.later
			}
			target := i.Path
			if i.External {
				target = path.Join(path.Dir(name), target)
			}
			to[name] = append(to[name], target)
		}
	}
	return nil
}
