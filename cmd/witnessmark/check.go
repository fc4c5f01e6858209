package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

type checkCmd struct {
	Files []string `arg:"" name:"file" help:"Brief files, or folders of them."`
}

// Run checks every file and prints what is wrong. Exit code 1 says that something was, warnings not counted.
func (c *checkCmd) Run(w *world) error {
	files, err := briefFiles(c.Files)
	if err != nil {
		return err
	}
	bad := 0
	for _, f := range files {
		problems, err := checkFile(f)
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
	}
	if bad > 0 {
		return exit(1)
	}
	return nil
}

// checkFile is all that is wrong with one brief file.
func checkFile(name string) (brief.Problems, error) {
	src, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("read the brief: %w", err)
	}
	b, err := brief.Read(src)
	var problems brief.Problems
	if errors.As(err, &problems) {
		return problems, nil
	} else if err != nil {
		return nil, err
	}
	return app.FullCheck(b, app.Functions(), nil).Located(src), nil
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
