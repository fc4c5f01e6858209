package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
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

type markCmd struct {
	Brief      string `arg:"" help:"The brief file."`
	Submission string `arg:"" help:"The submission file."`
	JSON       bool   `help:"Print the result as JSON."`
}

// Run marks the submission. Exit code 2 says that a line failed or has to be read by the tutor.
func (c *markCmd) Run(w *world) error {
	src, err := os.ReadFile(c.Brief)
	if err != nil {
		return fmt.Errorf("read the brief: %w", err)
	}
	b, err := brief.Read(src)
	if err != nil {
		return fmt.Errorf("%s:\n%w", c.Brief, err)
	}
	compiled, problems := brief.Compile(b, app.Functions())
	if err := problems.Err(); err != nil {
		return fmt.Errorf("%s:\n%w", c.Brief, err)
	}
	sub, err := os.ReadFile(c.Submission)
	if err != nil {
		return fmt.Errorf("read the submission: %w", err)
	}
	sheet, err := marking.ReadSheet(sub)
	if err != nil {
		return fmt.Errorf("%s:\n%w", c.Submission, err)
	}
	result := marking.Mark(compiled, sheet)
	if c.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(result); err != nil {
			return fmt.Errorf("print the result: %w", err)
		}
	} else if _, err := fmt.Fprint(w.out, marking.Table(result)); err != nil {
		return err
	}
	for _, f := range result.Findings {
		if !f.Verdict.Full() {
			return exit(2)
		}
	}
	return nil
}
