package ui

import (
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-playground/validator/v10"
	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/fault"
)

// Form is what was typed into one form of a page and what there is to mend in it. The zero Form is an untouched one.
type Form struct {
	Which   string // names the form among those of its page
	Message string // what to do, "" for an untouched form
	values  url.Values
	faults  map[string]string // by field
	order   []string          // of the faults
	status  int
}

func newForm(which string, values url.Values, f *fault.Error, status int) Form {
	form := Form{Which: which, Message: f.Message, values: values, faults: map[string]string{}, status: status}
	for _, x := range f.Fields {
		if _, ok := form.faults[x.Name]; !ok {
			form.order = append(form.order, x.Name)
			form.faults[x.Name] = x.Message
		}
	}
	return form
}

// Status is the answer's status: 200 for an untouched form.
func (f Form) Status() int {
	if f.status == 0 {
		return http.StatusOK
	}
	return f.status
}

// For is the form where it is the one called which, else an untouched one.
func (f Form) For(which string) Form {
	if f.Which == which {
		return f
	}
	return Form{Which: which}
}

// Touched says whether this form was sent and came back.
func (f Form) Touched() bool { return f.Message != "" }

// Typed is what was typed into a field, or otherwise where the form is untouched.
func (f Form) Typed(name, otherwise string) string {
	if !f.Touched() || f.values == nil {
		return otherwise
	}
	return f.values.Get(name)
}

// Chose says whether a value was chosen among those of a field.
func (f Form) Chose(name, value string) bool { return slices.Contains(f.values[name], value) }

// Fault is what there is to mend in a field, "" where there is nothing.
func (f Form) Fault(name string) string { return f.faults[name] }

// Faults lists what there is to mend, in the order in which it was found, with the ids of the fields.
func (f Form) Faults() []Mend {
	var ms []Mend
	for _, name := range f.order {
		ms = append(ms, Mend{ID: f.ID(name), Text: f.faults[name]})
	}
	return ms
}

// Mend is one thing to mend.
type Mend struct{ ID, Text string }

// ID is the id of a field's input within the page.
func (f Form) ID(name string) string { return idOf(f.Which + "-" + name) }

// idOf makes an id of words and marks.
func idOf(s string) string {
	return strings.NewReplacer("/", "-", ".", "-", " ", "-", "#", "-", "@", "-").Replace(s)
}

// Field is one input with its label; the template "field" draws it.
type Field struct {
	ID, Name, Label, Kind string // Kind is the input's type, or "area" or "select"
	Value, Hint, Fault    string
	Auto, Mode            string // autocomplete and inputmode
	Rows, Most            int    // of an area; characters
	Must                  bool
	Options               []Option
	Among                 []Option // what may be chosen in place of typing
}

// Option is one thing to choose.
type Option struct {
	Value, Text string
	Chosen      bool
}

// Choices draws the options. A list of everybody is long, and a template takes twenty times as long over each.
func (f Field) Choices() template.HTML {
	var b strings.Builder
	for _, o := range f.Options {
		b.WriteString(`<option value="` + template.HTMLEscapeString(o.Value) + `"`)
		if o.Chosen {
			b.WriteString(" selected")
		}
		b.WriteString(">" + template.HTMLEscapeString(o.Text) + "</option>")
	}
	return template.HTML(b.String())
}

// Field makes the input called name, with what was typed into it.
func (f Form) Field(name, label string) Field {
	return Field{ID: f.ID(name), Name: name, Label: label, Kind: "text", Value: f.Typed(name, ""), Fault: f.Fault(name), Rows: 3}
}

// As gives the field another kind. A password is never sent back; a number is typed on a phone's keys for digits.
func (f Field) As(kind string) Field {
	switch f.Kind = kind; kind {
	case "password":
		f.Value = ""
	case "number":
		f.Mode = "numeric"
	}
	return f
}

// Offering adds what may be chosen in place of typing.
func (f Field) Offering(among []Option) Field { f.Among = among; return f }

// Hinted adds a hint.
func (f Field) Hinted(hint string) Field { f.Hint = hint; return f }

// Begun is what stands in the field before anything was typed.
func (f Field) Begun(value string) Field {
	if f.Value == "" && f.Fault == "" {
		f.Value = value
	}
	return f
}

// Needed marks the field as one that has to be filled in.
func (f Field) Needed() Field { f.Must = true; return f }

// Filling names what a browser may fill in.
func (f Field) Filling(auto string) Field { f.Auto = auto; return f }

// Tall gives an area its height in lines.
func (f Field) Tall(rows int) Field { f.Rows = rows; return f }

// From makes the field a choice.
func (f Field) From(options []Option) Field {
	f.Kind, f.Options = "select", slices.Clone(options)
	for i := range f.Options {
		f.Options[i].Chosen = f.Options[i].Chosen && f.Value == "" || f.Options[i].Value == f.Value
	}
	return f
}

// Describes lists the ids that describe the input, for aria-describedby.
func (f Field) Describes() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Fault != "" {
		ids = append(ids, f.ID+"-mend")
	}
	return strings.Join(ids, " ")
}

// pathID reads an id out of the page's address; what is no id names nothing.
func pathID(c echo.Context, name string) (uuid.UUID, error) {
	id, err := uuid.Parse(c.Param(name))
	if err != nil {
		return uuid.Nil, fault.NotFound("There is no such page. Go back and choose again.")
	}
	return id, nil
}

// read decodes the posted form into a struct of strings, numbers, ticks, ids, dates and lists by its `form` tags, and
// checks its `validate` tags; a field's `say` tag is what a person reads when it does not hold.
func (u *UI) read(c echo.Context, into any) error {
	if err := c.Request().ParseForm(); err != nil {
		if tooLarge := new(echo.HTTPError); errors.As(err, &tooLarge) {
			return tooLarge
		}
		return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	v := reflect.ValueOf(into).Elem()
	var fields []fault.Field
	for i := range v.NumField() {
		name, ok := v.Type().Field(i).Tag.Lookup("form")
		if !ok {
			continue
		}
		if err := set(v.Field(i), c.Request().PostForm[name]); err != nil {
			fields = append(fields, fault.Field{Name: name, Message: saying(v.Type().Field(i))})
		}
	}
	var found validator.ValidationErrors
	if err := u.validate.Struct(into); errors.As(err, &found) {
		for _, x := range found {
			if sf, ok := v.Type().FieldByName(x.StructField()); ok {
				fields = append(fields, fault.Field{Name: sf.Tag.Get("form"), Message: saying(sf)})
			}
		}
	} else if err != nil {
		return fmt.Errorf("check a form: %w", err)
	}
	if len(fields) > 0 {
		return fault.InvalidFields(fields)
	}
	return nil
}

func saying(f reflect.StructField) string {
	if s := f.Tag.Get("say"); s != "" {
		return s
	}
	return "This cannot be read. Type it again."
}

// set puts what was posted into one field. Nothing posted leaves it empty.
func set(f reflect.Value, values []string) error {
	if f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.String {
		out := reflect.MakeSlice(f.Type(), len(values), len(values))
		for i, s := range values {
			out.Index(i).SetString(s)
		}
		f.Set(out)
		return nil
	}
	text := ""
	if len(values) > 0 {
		text = values[0]
	}
	switch p := f.Addr().Interface().(type) {
	case *uuid.UUID:
		return setParsed(p, text, uuid.Parse)
	case *time.Time:
		return setParsed(p, text, func(s string) (time.Time, error) { return time.Parse(time.DateOnly, s) })
	case *int:
		return setParsed(p, text, strconv.Atoi)
	case *bool:
		*p = text != ""
		return nil
	}
	if f.Kind() != reflect.String {
		return fmt.Errorf("a form cannot fill a %s", f.Type())
	}
	f.SetString(text)
	return nil
}

func setParsed[T any](to *T, text string, parse func(string) (T, error)) (err error) {
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	*to, err = parse(text)
	return err
}
