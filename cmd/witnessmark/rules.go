package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// ruleFlags say which editions of the centre's rule sets briefs are put under.
type ruleFlags struct {
	Rules []string `help:"Rule-set files, or folders of them, that briefs take limits, values and tables from." placeholder:"PATH"`
	On    string   `help:"Use the editions in force on this day, as 2026-01-31; today's without it." placeholder:"DAY"`
}

// day is the day whose editions count: today by the clock that people at a centre read, whatever this machine's is.
func (f *ruleFlags) day() (brief.Day, error) {
	if f.On == "" {
		return brief.Day(time.Now().In(app.London()).Format(time.DateOnly)), nil
	}
	if d := brief.Day(f.On); d.Real() {
		return d, nil
	}
	return "", fmt.Errorf("--on takes a day such as 2026-01-31, and %q is none", f.On)
}

// ruleFile is a rule set's file with what is wrong with it.
type ruleFile struct {
	name     string
	src      []byte
	set      *brief.RuleSet // nil where the file cannot be read
	problems brief.Problems
}

// load reads the rule sets in found and those that the flags name, each once, and makes the day's book of them.
func (f *ruleFlags) load(found []string) ([]ruleFile, brief.Book, error) {
	day, err := f.day()
	if err != nil {
		return nil, brief.Book{}, err
	}
	for _, n := range f.Rules {
		more, err := below(n, isRules)
		if err != nil {
			return nil, brief.Book{}, fmt.Errorf("look for rule sets: %w", err)
		}
		if len(more) == 0 {
			return nil, brief.Book{}, fmt.Errorf("there is no rule set in %s: a file whose first member is “rule-set:”", n)
		}
		found = append(found, more...)
	}
	var files []ruleFile
	for _, n := range found {
		if slices.ContainsFunc(files, func(have ruleFile) bool { return sameFile(have.name, n) }) {
			continue
		}
		file, err := readRuleFile(n)
		if err != nil {
			return nil, brief.Book{}, err
		}
		files = append(files, file)
	}
	return files, bookOn(files, day), nil
}

func readRuleFile(name string) (ruleFile, error) {
	src, err := readAtMost(name, brief.MaxBytes)
	if err != nil {
		return ruleFile{}, fmt.Errorf("read the rule set: %w", err)
	}
	f := ruleFile{name: name, src: src}
	if f.set, err = brief.ReadRules(src); errors.As(err, &f.problems) {
		return f, nil
	} else if err != nil {
		return f, err
	}
	f.problems = brief.CheckRules(f.set)
	return f, nil
}

// bookOn makes a day's book and tells each file how its edition follows the others.
func bookOn(files []ruleFile, day brief.Day) brief.Book {
	var sets []brief.RuleSet
	for _, f := range files {
		if f.set != nil {
			sets = append(sets, *f.set)
		}
	}
	book, problems := brief.BookOn(sets, day)
	n := 0
	for i := range files {
		if f := &files[i]; f.set != nil {
			f.problems = problems.OfSet(n).And(f.problems).Located(f.src)
			n++
		}
	}
	return book
}

// under puts a brief under a book, and says how to give one where there is none.
func under(b *brief.Brief, book brief.Book) (*brief.Brief, brief.Problems) {
	ruled, problems := b.Under(book)
	if book.Empty() {
		for i := range problems {
			problems[i].Hint = "Name the file or the folder of the centre's rule sets: --rules PATH."
		}
	}
	return ruled, problems
}

// isRules says whether a file means to be a rule set; one that cannot be opened is told about when it is read.
func isRules(name string) bool {
	src, err := readAtMost(name, brief.MaxBytes)
	return err == nil && brief.IsRules(src)
}

func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	y, err2 := os.Stat(b)
	return err == nil && err2 == nil && os.SameFile(x, y)
}

// below is the file named or, of a folder, every .yaml and .yml file below that is wanted, by name.
func below(name string, wanted func(file string) bool) ([]string, error) {
	var files []string
	err := filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		ext := strings.ToLower(filepath.Ext(path))
		if path == name || (ext == ".yaml" || ext == ".yml") && wanted(path) {
			files = append(files, path)
		}
		return nil
	})
	return files, err
}
