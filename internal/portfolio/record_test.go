package portfolio_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/formula"
	"witnessmark/internal/golden"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

func record(t testing.TB) (portfolio.Document, []byte) {
	t.Helper()
	src, _ := portfoliotest.Source(t)
	d := portfolio.Assemble(src)
	r, err := d.Record()
	if err != nil {
		t.Fatal(err)
	}
	text, err := r.JSON()
	if err != nil {
		t.Fatal(err)
	}
	return d, text
}

func TestRecordGolden(t *testing.T) {
	_, text := record(t)
	var wide bytes.Buffer
	if err := json.Indent(&wide, text, "", " "); err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "testdata/record.json", append(wide.Bytes(), '\n'))
}

func TestRecordThereAndBack(t *testing.T) {
	d, text := record(t)
	if _, again := record(t); !bytes.Equal(text, again) {
		t.Error("the same source gave another record the second time")
	}
	r, err := portfolio.ReadRecord(text)
	if err != nil {
		t.Fatal(err)
	}
	back, err := r.JSON()
	if err != nil || !bytes.Equal(back, text) {
		t.Errorf("read and written again the record is another (%v)", err)
	}
	for i, task := range d.Tasks {
		for j, at := range task.Attempts {
			for k, x := range at.Records {
				want, err := x.Canonical()
				if err != nil {
					t.Fatal(err)
				}
				if got := r.Tasks[i].Attempts[j].Records[k]; !bytes.Equal(got, want) {
					t.Errorf("a decision stands in the record as %s, want its canonical bytes %s", got, want)
				}
			}
		}
	}
}

func TestRecordRefuses(t *testing.T) {
	_, text := record(t)
	for name, bad := range map[string]string{
		"another spelling": strings.Replace(string(text), `":`, `": `, 1),
		"a later edition":  strings.Replace(string(text), `"edition":"1","files"`, `"edition":"2","files"`, 1),
		"something new":    strings.Replace(string(text), `{"centre":`, `{"bench":1,"centre":`, 1),
		"something behind": string(text) + "{}",
		"cut short":        string(text[:len(text)/2]),
		"nothing":          "",
	} {
		if _, err := portfolio.ReadRecord([]byte(bad)); err == nil || bad == string(text) {
			t.Errorf("%s is taken as a record", name)
		}
	}
}

// No number in a record has a fraction or an exponent, or more digits than every program keeps.
func TestRecordNumbersAreWhole(t *testing.T) {
	_, text := record(t)
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	for n := 0; ; {
		tok, err := d.Token()
		if err != nil {
			if n == 0 {
				t.Error("the record has no number at all")
			}
			return
		}
		if number, ok := tok.(json.Number); ok {
			n++
			if whole, err := number.Int64(); err != nil || whole >= 1<<53 {
				t.Errorf("the number %s stands in the record", number)
			}
		}
	}
}

// What only a tutor sees of a brief, and answers, stand in no record.
func TestRecordHasNoAnswers(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	var at *portfolio.Attempt
	for i := range src.Tasks[0].Attempts {
		at = &src.Tasks[0].Attempts[i]
		at.Marking, at.Explained, at.Records = nil, nil, nil
		at.Entries = nil
	}
	d := portfolio.Assemble(src)
	r, err := d.Record()
	if err != nil {
		t.Fatal(err)
	}
	text, err := r.JSON()
	if err != nil {
		t.Fatal(err)
	}
	b := src.Tasks[0].Brief
	hidden := 0
	for _, st := range b.Stages {
		for _, it := range st.Items {
			var secrets []string
			if it.Figure != nil {
				for _, s := range it.Figure.Slips {
					secrets = append(secrets, s.Is)
				}
			}
			if it.Choice != nil {
				for _, o := range it.Choice.Options {
					secrets = append(secrets, o.When)
				}
			}
			if it.Answer != nil {
				secrets = append(secrets, it.Answer.Guide)
			}
			for _, s := range secrets {
				if s == "" {
					continue
				}
				hidden++
				if quoted, _ := json.Marshal(s); bytes.Contains(text, quoted) {
					t.Errorf("the record gives %q away", s)
				}
			}
		}
	}
	if hidden == 0 {
		t.Error("the brief for tests hides nothing, so this tests nothing")
	}
	if bytes.Contains(text, []byte(`"model-answer"`)) {
		t.Error("the record gives the model answers away")
	}
}

// Whatever is in a document stands in its record: every text, moment and digest, wherever it was put.
func TestRecordSaysWhatThePagesSay(t *testing.T) {
	d, text := record(t)
	said := map[string]bool{}
	dec := json.NewDecoder(bytes.NewReader(text))
	for {
		tok, err := dec.Token()
		if err != nil {
			break
		}
		if s, ok := tok.(string); ok {
			said[s] = true
		}
	}
	n := 0
	each(reflect.ValueOf(d), "document", func(where, s string) {
		n++
		if !said[s] {
			t.Errorf("%s is %q, which does not stand in the record", where, s)
		}
	})
	if n < 1000 {
		t.Errorf("only %d texts of the document were looked at", n)
	}
}

// each walks everything that is exported. What is passed over stands elsewhere: places and titles of the layout, and the brief, whose
// answers are left out on purpose.
func each(v reflect.Value, where string, see func(where, s string)) {
	switch x := v.Interface().(type) {
	case portfolio.Ref, brief.Brief, brief.Stage, brief.Item, brief.Slot:
		return
	case formula.Line:
		if len(x) > 0 {
			see(where, x.Text())
		}
		return
	case time.Time:
		if !x.IsZero() {
			see(where, moment(where, x))
		}
		return
	case uuid.UUID:
		if x != uuid.Nil {
			see(where, x.String())
		}
		return
	case decision.Record:
		each(reflect.ValueOf(x.Words), where+".Words", see)
		each(reflect.ValueOf(x.ID), where+".ID", see)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			each(v.Elem(), where, see)
		}
	case reflect.String:
		if v.Len() > 0 && !strings.HasSuffix(where, "Anchor") && !strings.HasSuffix(where, ".Ref") { // the pages say the criterion's code
			see(where, v.String())
		}
	case reflect.Slice:
		for i := range v.Len() {
			each(v.Index(i), fmt.Sprintf("%s[%d]", where, i), see)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				each(v.Field(i), where+"."+f.Name, see)
			}
		}
	}
}

func moment(where string, at time.Time) string {
	if strings.HasSuffix(where, "DueOn") {
		return at.Format(time.DateOnly)
	}
	return at.UTC().Truncate(time.Microsecond).Format(time.RFC3339Nano)
}
