package api

import (
	"errors"
	"fmt"
	"net/http"
	"reflect"
	"strings"

	"github.com/go-playground/validator/v10"
)

// newValidator checks what was read against the tags of its type, which are the document as well. Fields go by the names
// that they have outside.
func newValidator() *validator.Validate {
	v := validator.New(validator.WithRequiredStructEnabled())
	v.RegisterTagNameFunc(func(f reflect.StructField) string {
		for _, key := range []string{"json", "query", "path"} {
			if n := name(f, key); n != "" {
				return n
			}
		}
		return f.Name
	})
	return v
}

// check lists the places at which a value breaks the tags of its type; at makes a place of a field's path.
func check(v *validator.Validate, value any, at func(path string) Place) ([]Place, error) {
	err := v.Struct(value)
	var broken validator.ValidationErrors
	switch {
	case err == nil:
		return nil, nil
	case !errors.As(err, &broken):
		return nil, fmt.Errorf("check a request: %w", err)
	}
	var out []Place
	for _, f := range broken {
		_, path, _ := strings.Cut(f.Namespace(), ".")
		p := at(path)
		p.Detail = rule{f.Tag(), f.Param(), f.Kind()}.words()
		out = append(out, p)
	}
	return out, nil
}

// pointerTo is the place in a body of a field by its path: entries[2].item is /entries/2/item.
func pointerTo(path string) Place {
	return Place{Pointer: "/" + strings.NewReplacer(".", "/", "[", "/", "]", "").Replace(path)}
}

// parameter is the place of a parameter.
func parameter(path string) Place { return Place{Parameter: path} }

// rule is one rule of a validator tag, on a field of a kind.
type rule struct {
	tag, param string
	kind       reflect.Kind
}

// words says what the rule asks for.
func (c rule) words() string {
	what := map[reflect.Kind]string{reflect.String: " characters", reflect.Slice: " of these"}[c.kind]
	switch c.tag {
	case "required":
		return "This may not be empty."
	case "max":
		return "At most " + c.param + what + "."
	case "min":
		return "At least " + c.param + what + "."
	case "len":
		return "Exactly " + c.param + what + "."
	case "oneof":
		return "This has to be one of: " + strings.Join(strings.Fields(c.param), ", ") + "."
	case "hexadecimal":
		return "This has to be written with hexadecimal digits."
	case "unique":
		return "One of these stands here twice."
	}
	return "This does not have the form asked for."
}

// readAll reads path, query and body, and checks all three, so that one answer lists everything there is to mend.
func readAll[P, Q, B any](s *service, c request, p *P, q *Q, b *B) error {
	out := readPath(c.Context, reflect.ValueOf(p).Elem())
	more, err := readQuery(c.Request(), reflect.ValueOf(q).Elem())
	if err != nil {
		return err
	}
	out = append(out, more...)
	if more, err = readBody(c.Context, b); err != nil {
		return err
	}
	if out = append(out, more...); len(out) > 0 {
		return mending(out)
	}
	if out, err = check(s.validate, q, parameter); err != nil {
		return err
	}
	_, file := any(b).(*upload)
	_, brought := any(b).(*broughtFile)
	if !file && !brought {
		more, err = check(s.validate, b, pointerTo)
		out = append(out, more...)
	}
	if err == nil && len(out) > 0 {
		err = mending(out)
	}
	return err
}

// fieldPlaces gives the fields of a fault their places in the request: a member of the body, a parameter of the query, the
// file itself or its digest.
func fieldPlaces(q, b reflect.Type) func(string) (Place, bool) {
	return func(field string) (Place, bool) {
		switch {
		case b == reflect.TypeFor[upload]() && field == "sha256":
			return Place{Parameter: "Repr-Digest"}, true
		case (b == reflect.TypeFor[upload]() || b == reflect.TypeFor[broughtFile]()) && field == "file":
			return Place{}, true
		case b != reflect.TypeFor[upload]() && b != reflect.TypeFor[broughtFile]() && hasField(b, "json", field):
			return Place{Pointer: "/" + field}, true
		}
		return Place{Parameter: field}, hasField(q, "query", field)
	}
}

func hasField(t reflect.Type, key, want string) bool {
	for i := range t.NumField() {
		if name(t.Field(i), key) == want {
			return true
		}
	}
	return false
}

// statusOf is the status of a good answer: what its type says, 204 without content, else 200.
func statusOf(t reflect.Type) int {
	if s, ok := reflect.Zero(t).Interface().(interface{ status() int }); ok {
		return s.status()
	}
	if t == reflect.TypeFor[none]() {
		return http.StatusNoContent
	}
	return http.StatusOK
}
