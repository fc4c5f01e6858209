package main

import (
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

type checkCmd struct {
	ruleFlags
	Files []string `arg:"" name:"file" help:"Files of briefs and rule sets, or folders of them."`
	Slips bool     `help:"Say as well which slips, declared or found by the marker itself, cannot be told from a right answer or from one another, where and why."`
}

// Run checks every file and prints what is wrong. Exit code 1 says that something was, warnings not counted.
func (c *checkCmd) Run(w *world) error {
	briefs, found, err := filesToCheck(c.Files)
	if err != nil {
		return err
	}
	sets, book, err := c.load(found)
	if err != nil {
		return err
	}
	bad := false
	for _, f := range sets {
		bad = report(w.out, f.name, f.problems) || bad
	}
	for _, f := range briefs {
		b, problems, err := checkFile(f, book)
		if err != nil {
			return err
		}
		wrong := report(w.out, f, problems)
		bad = bad || wrong
		if c.Slips && !wrong {
			if err := printSlips(w.out, b); err != nil {
				return err
			}
		}
	}
	if bad {
		return exit(1)
	}
	return nil
}

// report prints what is to be said of a file, and says whether something was wrong.
func report(out io.Writer, file string, problems brief.Problems) bool {
	for _, p := range problems {
		fmt.Fprintf(out, "%s, %s\n", file, p)
	}
	if len(problems) == 0 {
		fmt.Fprintf(out, "%s: nothing to mend\n", file)
	}
	return problems.Err() != nil
}

// checkFile is all that is wrong with one brief file; the brief, put under the book, is nil where it cannot be read.
func checkFile(name string, book brief.Book) (*brief.Brief, brief.Problems, error) {
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
	b, problems = under(b, book)
	return b, problems.And(app.FullCheck(b, app.Functions(), nil)).Located(src), nil
}

// filesToCheck lists the files named, and in folders every .yaml and .yml file below but submissions and what is expected of
// them, which are for mark: briefs and rule sets.
func filesToCheck(names []string) (briefs, sets []string, err error) {
	for _, n := range names {
		files, err := below(n, func(file string) bool { return !isSubmission(file) })
		if err != nil {
			return nil, nil, fmt.Errorf("look for briefs: %w", err)
		}
		for _, f := range files {
			if isRules(f) {
				sets = append(sets, f)
			} else {
				briefs = append(briefs, f)
			}
		}
	}
	slices.Sort(briefs)
	slices.Sort(sets)
	if len(briefs)+len(sets) == 0 {
		return nil, nil, errors.New("there is no .yaml file there")
	}
	return briefs, sets, nil
}

// submissionMember is a member that neither a brief nor a rule set has.
var submissionMember = regexp.MustCompile(`(?m)^(entries|attempts):`)

// isSubmission says whether a file means to be a submission, or to say what is expected of some.
func isSubmission(name string) bool {
	src, err := readAtMost(name, marking.MaxSheetBytes)
	return err == nil && submissionMember.Match(src)
}
