package pdfcheck

import (
	"errors"
	"fmt"
	"io"

	"witnessmark/internal/pdfread"
)

// Finding is one place where a file breaks a rule.
type Finding struct {
	Rule, Clause string // as in Rules
	Where        string // such as "page 3" or "object 12"
	Words        string // what is wrong there
}

func (f Finding) String() string {
	return fmt.Sprintf("%s (%s): %s: %s", f.Rule, f.Clause, f.Where, f.Words)
}

// mostPerRule is how many findings of one rule are told; one more says that
// there are others.
const mostPerRule = 20

// Check holds a file against all rules. Findings come in the order of Rules
// and, within a rule, of the file. The error is the source's: the findings are
// then not all.
func Check(f *pdfread.File) ([]Finding, error) {
	c := &checker{f: f, found: map[string][]Finding{}, fonts: map[int]*font{}, forms: map[formUse]bool{}, does: operators(), profiles: map[int]string{}}
	var err error
	if c.pages, err = f.Pages(); err != nil {
		c.say("reads", "pages", "%v", err)
	}
	c.checkFile()
	c.checkIntent()
	c.checkObjects()
	c.readStructure()
	for i := range c.pages {
		c.checkPage(&c.pages[i])
	}
	c.checkFonts()
	c.checkForm()
	c.checkMetadata()
	c.checkStructure()
	c.checkEmbedded()
	return c.findings(), f.Err()
}

// CheckFile is Check for a file not opened yet: one that cannot be read, or is
// encrypted, breaks the rule that says so.
func CheckFile(r io.ReaderAt, size int64) ([]Finding, error) {
	f, err := pdfread.Open(r, size)
	var damage *pdfread.Error
	c := &checker{found: map[string][]Finding{}}
	switch {
	case err == nil:
		return Check(f)
	case errors.Is(err, pdfread.ErrEncrypted):
		c.say("open", "trailer", "the file is encrypted")
	case errors.As(err, &damage):
		c.say("reads", fmt.Sprintf("byte %d", damage.Offset), "%v", err)
	default:
		return nil, err
	}
	return c.findings(), nil
}

type checker struct {
	f     *pdfread.File
	found map[string][]Finding
	pages []pdfread.Page
	// What the pages use, gathered while they are read.
	fonts    map[int]*font  // by object number
	profiles map[int]string // colour spaces of profiles, by object number
	forms    map[formUse]bool
	does     map[string]func(*scan, pdfread.Operator) // what each operator does
	// The output intent's colour space: RGB, GRAY or CMYK; empty for none.
	space string
	tree  structure
	read  int64 // bytes unpacked so far
}

// mostRead is how many bytes are unpacked for one file, so that a small file
// that unpacks to a great deal, again and again, does not take for ever.
const mostRead = 256 << 20

// data is a stream's bytes; false, with a finding, when they cannot be had.
func (c *checker) data(where string, s *pdfread.Stream) ([]byte, bool) {
	if !c.spend(where, s.Length) {
		return nil, false
	}
	b, err := c.f.Data(s)
	if err != nil {
		c.say("reads", where, "%v", err)
		return nil, false
	}
	return b, c.spend(where, int64(len(b)))
}

// spend counts bytes that are read or gone through; false, with one finding,
// when there are no more to spend.
func (c *checker) spend(where string, n int64) bool {
	before := c.read
	if c.read += n; c.read > mostRead && before <= mostRead {
		c.say("judged", where, "the file holds more than is looked at")
	}
	return c.read <= mostRead
}

// say keeps a finding under a rule's name.
func (c *checker) say(rule, where, format string, args ...any) {
	n := len(c.found[rule])
	if n > mostPerRule {
		return
	}
	f := Finding{Rule: rule, Where: where, Words: fmt.Sprintf(format, args...)}
	if n == mostPerRule {
		f.Where, f.Words = "further on", "the rule is broken in more places than are listed"
	}
	c.found[rule] = append(c.found[rule], f)
}

func (c *checker) findings() []Finding {
	var all []Finding
	for _, rule := range Rules() {
		for _, f := range c.found[rule.ID] {
			f.Clause = rule.Clause
			all = append(all, f)
		}
	}
	return all
}

// object names the object that v refers to, for Where; a value that is no
// reference is named by what holds it.
func object(v pdfread.Value, holder string) string {
	if ref, ok := v.(pdfread.Ref); ok {
		return fmt.Sprintf("object %d", ref.Number)
	}
	return holder
}
