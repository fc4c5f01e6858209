package api

import (
	"reflect"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"
)

// Date is a day without a time.
type Date struct{ time.Time }

// MarshalJSON writes the day as YYYY-MM-DD.
func (d Date) MarshalJSON() ([]byte, error) {
	return []byte(`"` + d.Format(time.DateOnly) + `"`), nil
}

var (
	uuidType = reflect.TypeFor[uuid.UUID]()
	timeType = reflect.TypeFor[time.Time]()
	dateType = reflect.TypeFor[Date]()
)

// Sentences on values that do not have the form asked for.
const (
	sayUUID   = "This has to be a UUID: 36 small hexadecimal digits and dashes, such as 01890a5d-ac96-774b-bcce-b302099a8057."
	sayTime   = "This has to be a time such as 2026-03-02T09:30:00Z (RFC 3339)."
	sayDate   = "This has to be a day such as 2026-03-02."
	sayInt    = "This has to be a whole number, written with digits alone."
	sayNumber = "This number is too large to be one of what is asked for."
	sayBool   = "This has to be true or false."
	sayNUL    = "This holds the character NUL, which cannot be kept."
	sayNull   = "This may not be null. Give a value, or leave the member out where it may be left out."
	sayGone   = "This is missing."
	sayOther  = "There is no such member here."
	sayObject = "The body has to be one JSON object."
)

// name is the name of a field outside the program, by the key of its tag.
func name(f reflect.StructField, key string) string {
	n, _, _ := strings.Cut(f.Tag.Get(key), ",")
	return n
}

// optional says whether a field may be left out: its validator tag has omitempty. Everything else has to be there.
func optional(f reflect.StructField) bool {
	for tag := range strings.SplitSeq(f.Tag.Get("validate"), ",") {
		if tag == "omitempty" {
			return true
		}
	}
	return false
}

// bind puts a JSON value into v and lists, by their pointers, the places at which it does not fit.
func bind(n node, v reflect.Value, pointer string) []Place {
	if n.form == null {
		return []Place{{Pointer: pointer, Detail: sayNull}}
	}
	switch {
	case v.Kind() == reflect.Pointer: // of what may be left out and is not the same as nothing
		v.Set(reflect.New(v.Type().Elem()))
		return bind(n, v.Elem(), pointer)
	case v.Type() == uuidType, v.Type() == timeType, v.Type() == dateType, v.Kind() == reflect.String:
		if n.form != text {
			return wrongForm(pointer, text, n)
		}
		return bindText(v, n.text, Place{Pointer: pointer})
	case v.Kind() == reflect.Bool:
		if n.form != boolean {
			return wrongForm(pointer, boolean, n)
		}
		return bindText(v, n.text, Place{Pointer: pointer})
	case v.Kind() == reflect.Int, v.Kind() == reflect.Int64, v.Kind() == reflect.Float64:
		if n.form != number {
			return wrongForm(pointer, number, n)
		}
		return bindText(v, n.text, Place{Pointer: pointer})
	case v.Kind() == reflect.Slice:
		return bindSlice(n, v, pointer)
	}
	return bindStruct(n, v, pointer)
}

func wrongForm(pointer string, want form, n node) []Place {
	return []Place{{Pointer: pointer, Detail: "This has to be " + want.words() + ", not " + n.form.words() + "."}}
}

func bindSlice(n node, v reflect.Value, pointer string) []Place {
	if n.form != array {
		return wrongForm(pointer, array, n)
	}
	v.Set(reflect.MakeSlice(v.Type(), len(n.items), len(n.items)))
	var out []Place
	for i := range n.items {
		out = append(out, bind(n.items[i], v.Index(i), pointer+"/"+strconv.Itoa(i))...)
	}
	return out
}

func bindStruct(n node, v reflect.Value, pointer string) []Place {
	if n.form != object {
		return wrongForm(pointer, object, n)
	}
	var out []Place
	fields := fieldsOf(v.Type())
	there := make([]bool, len(fields.list))
	for _, m := range n.members {
		at := pointer + "/" + escapePointer(m.name)
		i, ok := fields.byName[m.name]
		if !ok {
			out = append(out, Place{Pointer: at, Detail: sayOther})
			continue
		}
		there[i] = true
		out = append(out, bind(m.value, v.Field(i), at)...)
	}
	for i, f := range fields.list {
		if !there[i] && !f.optional {
			out = append(out, Place{Pointer: pointer + "/" + f.name, Detail: sayGone})
		}
	}
	return out
}

// field is one field of a struct as a body has it.
type field struct {
	name     string
	optional bool
}

type fields struct {
	list   []field
	byName map[string]int
}

// known keeps the fields of the bodies' few types: their tags are the same for every request.
var known sync.Map // reflect.Type: fields

// fieldsOf is the fields of a struct type by their members' names.
func fieldsOf(t reflect.Type) fields {
	if kept, ok := known.Load(t); ok {
		if f, ok := kept.(fields); ok {
			return f
		}
	}
	f := fields{list: make([]field, t.NumField()), byName: make(map[string]int, t.NumField())}
	for i := range f.list {
		f.list[i] = field{name(t.Field(i), "json"), optional(t.Field(i))}
		f.byName[f.list[i].name] = i
	}
	known.Store(t, f)
	return f
}

// escapePointer writes a member's name as a step of a JSON Pointer (RFC 6901, section 3), cut short where it is long.
func escapePointer(s string) string {
	if len(s) > 80 { // bytes, of which there are no fewer than characters
		if rs := []rune(s); len(rs) > 80 {
			s = string(rs[:80]) + "…"
		}
	}
	return pointerEscapes.Replace(s)
}

// pointerEscapes is made once: every member of every body goes through it.
var pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1")

// bitsOf is how large a whole number may be; the larger ones still go through programs that have only floating point.
func bitsOf(k reflect.Kind) int {
	if k == reflect.Int64 {
		return 53
	}
	return 32
}

// bindText puts one value written as text into v; at is where it stands.
func bindText(v reflect.Value, s string, at Place) []Place {
	no := func(detail string) []Place {
		at.Detail = detail
		return []Place{at}
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if strings.ContainsRune(s, 0) {
		return no(sayNUL)
	}
	switch v.Type() {
	case uuidType:
		id, err := uuid.Parse(s)
		if err != nil || id.String() != s {
			return no(sayUUID)
		}
		v.Set(reflect.ValueOf(id))
		return nil
	case timeType:
		var t time.Time
		if err := t.UnmarshalText([]byte(s)); err != nil || strings.Contains(s, ",") { // RFC 3339 knows no decimal comma
			return no(sayTime)
		}
		v.Set(reflect.ValueOf(t.UTC()))
		return nil
	case dateType:
		t, err := time.Parse(time.DateOnly, s)
		if err != nil {
			return no(sayDate)
		}
		v.Set(reflect.ValueOf(Date{t}))
		return nil
	}
	switch v.Kind() {
	case reflect.Bool:
		if s != "true" && s != "false" {
			return no(sayBool)
		}
		v.SetBool(s == "true")
	case reflect.Int, reflect.Int64:
		n, err := strconv.ParseInt(s, 10, bitsOf(v.Kind()))
		if err != nil || strconv.FormatInt(n, 10) != s {
			return no(sayInt)
		}
		v.SetInt(n)
	case reflect.Float64:
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return no(sayNumber)
		}
		v.SetFloat(x)
	default:
		v.SetString(s)
	}
	return nil
}
