package main

import (
	"encoding/json"
	"fmt"
	"io"

	"witnessmark/internal/marking"
)

// markForm is how results are printed: each as it comes, and what is to be said at the end.
type markForm interface {
	marked(file, trainee string, r marking.Result) error
	unread(file string, err error) error
	end() error
}

// jsonForm prints one object a line, so that any number of them can be read as they come.
type jsonForm struct{ enc *json.Encoder }

// jsonLine is one line of it: a result, or why there is none.
type jsonLine struct {
	File    string          `json:"file"`
	Trainee string          `json:"trainee,omitempty"`
	Result  *marking.Result `json:"result,omitempty"`
	Error   string          `json:"error,omitempty"`
}

func newJSONForm(out io.Writer) jsonForm {
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	return jsonForm{enc}
}

func (f jsonForm) marked(file, trainee string, r marking.Result) error {
	return f.enc.Encode(jsonLine{File: file, Trainee: trainee, Result: &r})
}

func (f jsonForm) unread(file string, err error) error {
	return f.enc.Encode(jsonLine{File: file, Error: err.Error()})
}

func (jsonForm) end() error { return nil }

// sumForm prints nothing but the sum of all.
type sumForm struct {
	out     io.Writer
	cohort  marking.Cohort
	missing int
	passed  int // files that say they are something else
}

func (f *sumForm) marked(file, trainee string, r marking.Result) error {
	name := file
	if trainee != "" {
		name = trainee
	}
	f.cohort.Add(name, r)
	return nil
}

func (f *sumForm) unread(string, error) error {
	f.missing++
	return nil
}

func (f *sumForm) end() error {
	if _, err := io.WriteString(f.out, f.cohort.Table()); err != nil {
		return err
	}
	if f.missing > 0 {
		if _, err := fmt.Fprintf(f.out, "%d could not be read.\n", f.missing); err != nil {
			return err
		}
	}
	return f.overPassed()
}

// overPassed says how many files were passed over.
func (f *sumForm) overPassed() error {
	if f.passed == 0 {
		return nil
	}
	files := "1 file that says it is"
	if f.passed > 1 {
		files = fmt.Sprintf("%d files that say they are", f.passed)
	}
	_, err := fmt.Fprintf(f.out, "Passed over: %s a brief, a rule set or what is expected of submissions.\n", files)
	return err
}

// sheetForm prints every sheet in full and, where there are several, the sum of all below them.
type sheetForm struct {
	out     io.Writer
	sum     sumForm
	several bool
}

func (f *sheetForm) marked(file, trainee string, r marking.Result) error {
	if !f.several {
		_, err := io.WriteString(f.out, marking.Table(r))
		return err
	}
	if err := f.sum.marked(file, trainee, r); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(f.out, "── %s\n\n%s\n", file, marking.Table(r)); err != nil {
		return err
	}
	return nil
}

func (f *sheetForm) unread(file string, err error) error {
	if !f.several {
		return nil
	}
	if _, err := fmt.Fprintf(f.out, "── %s\n\nThis could not be read; see the end.\n\n", file); err != nil {
		return err
	}
	return f.sum.unread(file, err)
}

func (f *sheetForm) end() error {
	if !f.several {
		return f.sum.overPassed()
	}
	return f.sum.end()
}
