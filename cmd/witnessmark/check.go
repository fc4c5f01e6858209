package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

type checkCmd struct {
	Files []string `arg:"" name:"file" help:"Brief files, or folders of them."`
	Slips bool     `help:"Say as well which slips, declared or found by the marker itself, cannot be told from a right answer or from one another, where and why."`
}

// Run checks every file and prints what is wrong. Exit code 1 says that something was, warnings not counted.
func (c *checkCmd) Run(w *world) error {
	files, err := briefFiles(c.Files)
	if err != nil {
		return err
	}
	bad := 0
	for _, f := range files {
		b, problems, err := checkFile(f)
		if err != nil {
			return err
		}
		if problems.Err() != nil {
			bad++
		}
		for _, p := range problems {
			fmt.Fprintf(w.out, "%s, %s\n", f, p)
		}
		if len(problems) == 0 {
			fmt.Fprintf(w.out, "%s: nothing to mend\n", f)
		}
		if c.Slips && b != nil && problems.Err() == nil {
			if err := printSlips(w.out, f, b); err != nil {
				return err
			}
		}
	}
	if bad > 0 {
		return exit(1)
	}
	return nil
}

// checkFile is all that is wrong with one brief file; the brief is nil where it cannot be read.
func checkFile(name string) (*brief.Brief, brief.Problems, error) {
	src, err := readAtMost(name, brief.MaxBytes)
	if err != nil {
		return nil, nil, fmt.Errorf("read the brief: %w", err)
	}
	b, err := brief.Read(src)
	var problems brief.Problems
	if errors.As(err, &problems) {
		return nil, problems, nil
	} else if err != nil {
		return nil, nil, err
	}
	return b, app.FullCheck(b, app.Functions(), nil).Located(src), nil
}

// printSlips says which slips of a brief in order cannot be told.
func printSlips(out io.Writer, name string, b *brief.Brief) error {
	c, problems := brief.Compile(b, app.Functions())
	if err := problems.Err(); err != nil {
		return err
	}
	for _, u := range brief.Slips(c) {
		from, share := "the right answer", "everywhere"
		if u.From != "" {
			from = "“" + u.From + "”"
		}
		if !u.Everywhere() {
			share = fmt.Sprintf("in %d of %d sets of values", u.Sets, u.Of)
		}
		by := "declared"
		if u.Made {
			by = "found by the marker"
		}
		if _, err := fmt.Fprintf(out, "%s, %s: “%s” (%s: %s) cannot be told from %s %s. %s\n", name, u.Item, u.Key, by, u.Is, from, share, u.Why); err != nil {
			return err
		}
	}
	return nil
}

// briefFiles lists the files named, and in folders every .yaml file below.
func briefFiles(names []string) ([]string, error) {
	var files []string
	for _, n := range names {
		err := filepath.WalkDir(n, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if !d.IsDir() && (path == n || strings.HasSuffix(path, ".yaml")) {
				files = append(files, path)
			}
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("look for briefs: %w", err)
		}
	}
	slices.Sort(files)
	if len(files) == 0 {
		return nil, errors.New("there is no .yaml file there")
	}
	return files, nil
}
