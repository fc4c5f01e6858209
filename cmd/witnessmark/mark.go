package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

type markCmd struct {
	ruleFlags
	Brief       string   `arg:"" help:"The brief file."`
	Submissions []string `arg:"" name:"submission" help:"Submission files, or folders of them: every .yaml, .yml and .json below that does not say it is a brief, a rule set or what is expected of submissions."`
	JSON        bool     `xor:"form" help:"Print one JSON object a line: file, trainee and result, or file and error where it cannot be read."`
	Table       bool     `xor:"form" help:"Print the sum alone: a row for each submission and each line."`
	Explain     bool     `xor:"form" help:"Print each figure worked out step by step with the submission's own values, too."`
}

// Run marks every submission in turn, those of a folder by name. One that cannot be read does not stop the others: it is
// told at the end. Exit code 0 says that all were read and marked, whatever their verdicts; 1 that something could not be
// read.
func (c *markCmd) Run(w *world) error {
	files, err := submissionFiles(c.Brief, c.Submissions)
	if err != nil {
		return err
	}
	sets, book, err := c.load(files.rules)
	if err != nil {
		return err
	}
	compiled, err := compileFile(c.Brief, sets, book)
	if err != nil {
		return err
	}
	form := c.form(w.out, files)
	var unread unreadFiles
	for _, name := range files.submissions {
		if err := w.ctx.Err(); err != nil {
			return fmt.Errorf("stopped before %s: %w", name, err)
		}
		sheet, err := readSubmission(name)
		if err != nil {
			unread.add(fmt.Errorf("%s:\n%w", name, err))
			err = form.unread(name, err)
		} else {
			err = form.marked(name, sheet.Trainee, marking.Mark(compiled, sheet))
			if err == nil && c.Explain {
				err = explain(w.out, compiled, sheet)
			}
		}
		if err != nil {
			return fmt.Errorf("print the result: %w", err)
		}
	}
	if err := form.end(); err != nil {
		return fmt.Errorf("print the sum: %w", err)
	}
	return unread.err()
}

// form prints results as they come.
func (c *markCmd) form(out io.Writer, files markFiles) markForm {
	sum := sumForm{out: out, passed: files.passed}
	switch {
	case c.JSON:
		return newJSONForm(out)
	case c.Table:
		return &sum
	}
	return &sheetForm{out: out, sum: sum, several: len(files.submissions) > 1}
}

// compileFile reads a brief and puts it under the book. What is wrong with a rule set that it names stands against it, too.
func compileFile(name string, sets []ruleFile, book brief.Book) (*brief.Compiled, error) {
	src, err := readAtMost(name, brief.MaxBytes)
	if err != nil {
		return nil, fmt.Errorf("read the brief: %w", err)
	}
	b, err := brief.Read(src)
	if err != nil {
		return nil, fmt.Errorf("%s:\n%w", name, err)
	}
	for _, f := range sets {
		if f.problems.Err() != nil && (f.set == nil || slices.Contains(b.RuleSets(), f.set.Key)) {
			return nil, fmt.Errorf("%s:\n%w", f.name, f.problems.Failures())
		}
	}
	b, problems := under(b, book)
	compiled, more := brief.Compile(b, app.Functions())
	if problems = problems.And(more); problems.Err() != nil {
		return nil, fmt.Errorf("%s:\n%w", name, problems.Failures().Located(src))
	}
	return compiled, nil
}

func readSubmission(name string) (marking.Sheet, error) {
	src, err := readAtMost(name, marking.MaxSheetBytes)
	if err != nil {
		return marking.Sheet{}, fmt.Errorf("read the submission: %w", err)
	}
	if strings.EqualFold(filepath.Ext(name), ".json") {
		return marking.ReadJSONSheet(src)
	}
	return marking.ReadSheet(src)
}

// readAtMost reads a file that may have so many bytes, and one more where it has more: whoever takes them then says so.
func readAtMost(name string, most int64) (src []byte, err error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return io.ReadAll(io.LimitReader(f, most+1))
}

// markFiles is what stands where submissions are looked for, by name.
type markFiles struct {
	submissions, rules []string
	passed             int // briefs, rule sets and what is expected of submissions, but for the brief itself
}

// submissionFiles lists the files named, and in folders every file below that looks like a submission. One that says that it
// is something else is passed over.
func submissionFiles(briefFile string, names []string) (markFiles, error) {
	var found markFiles
	own, err := os.Stat(briefFile)
	if err != nil {
		return found, fmt.Errorf("read the brief: %w", err)
	}
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			found.submissions = append(found.submissions, name) // what is wrong with it is told in its turn
			continue
		}
		err = filepath.WalkDir(name, func(path string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() || !slices.Contains([]string{".yaml", ".yml", ".json"}, strings.ToLower(filepath.Ext(path))) {
				return err
			}
			info, err := d.Info()
			if err == nil && !os.SameFile(info, own) {
				found.add(path)
			}
			return err
		})
		if err != nil {
			return found, fmt.Errorf("look for submissions: %w", err)
		}
	}
	if len(found.submissions) == 0 {
		text := "there is no submission there: a folder's are its .yaml, .yml and .json files"
		if found.passed > 0 {
			text += fmt.Sprintf(", but for those that say they are something else, of which there are %d", found.passed)
		}
		return found, errors.New(text)
	}
	return found, nil
}

// add puts a file of a folder where it belongs, by its first member.
func (m *markFiles) add(path string) {
	src, err := readAtMost(path, max(brief.MaxBytes, marking.MaxSheetBytes))
	switch kind := brief.FirstMember(src); {
	case err != nil: // told in its turn
		m.submissions = append(m.submissions, path)
	case kind == "rule-set":
		m.rules = append(m.rules, path)
		m.passed++
	case kind == "brief" || kind == "attempts":
		m.passed++
	default:
		m.submissions = append(m.submissions, path)
	}
}

// mostUnread is how many files are told one by one.
const mostUnread = 20

// unreadFiles is what could not be read.
type unreadFiles struct {
	told []error
	more int
}

func (u *unreadFiles) add(err error) {
	if len(u.told) < mostUnread {
		u.told = append(u.told, err)
		return
	}
	u.more++
}

func (u *unreadFiles) err() error {
	if u.more > 0 {
		u.told = append(u.told, fmt.Errorf("and %d more files could not be read", u.more))
	}
	return errors.Join(u.told...)
}
