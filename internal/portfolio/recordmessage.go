package portfolio

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/formula"
)

// message is a value of this package, of a brief or of the marker as JSON for a record. Members have the names of their json tags,
// else the field's own in small letters; what holds nothing is left out, unless a tag without omitempty keeps it. A number with a
// fraction is text, a line of a formula its words in plain text, a decision its own canonical bytes.
func message(v any) (json.RawMessage, error) {
	p, err := plain(reflect.ValueOf(v))
	if err != nil {
		return nil, err
	}
	raw, err := json.Marshal(p)
	if err != nil {
		return nil, fmt.Errorf("a part of a portfolio's record to JSON: %w", err)
	}
	return raw, nil
}

// plain is a value in the terms of JSON.
func plain(v reflect.Value) (any, error) {
	switch x := v.Interface().(type) {
	case decision.Record:
		canonical, err := x.Canonical()
		return json.RawMessage(canonical), err
	case time.Time:
		return stamp(x), nil
	case formula.Line:
		return x.Text(), nil
	case uuid.UUID:
		return x.String(), nil
	case encoding.TextMarshaler:
		text, err := x.MarshalText()
		return string(text), err
	}
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return nil, nil
		}
		return plain(v.Elem())
	case reflect.Float64:
		return strconv.FormatFloat(v.Float(), 'g', -1, 64), nil
	case reflect.String:
		return v.String(), nil
	case reflect.Bool:
		return v.Bool(), nil
	case reflect.Int, reflect.Int64:
		return v.Int(), nil
	case reflect.Slice:
		return plainList(v)
	case reflect.Struct:
		out := map[string]any{}
		return out, members(v, out)
	}
	return nil, fmt.Errorf("a portfolio's record has no form for a %s", v.Type())
}

func plainList(v reflect.Value) (any, error) {
	out := make([]any, v.Len())
	for i := range out {
		x, err := plain(v.Index(i))
		if err != nil {
			return nil, err
		}
		out[i] = x
	}
	return out, nil
}

// members puts a struct's fields into out; those of a struct within that has no name of its own stand among them.
func members(v reflect.Value, out map[string]any) error {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case !f.IsExported() || name == "-":
			continue
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			if err := members(v.Field(i), out); err != nil {
				return err
			}
			continue
		}
		if empty(v.Field(i)) && (name == "" || strings.Contains(options, "omit")) {
			continue
		}
		if name == "" {
			name = small(f.Name)
		}
		x, err := plain(v.Field(i))
		if err != nil {
			return err
		}
		if _, taken := out[name]; taken {
			return fmt.Errorf("a portfolio's record has two members %q in a %s", name, v.Type())
		}
		out[name] = x
	}
	return nil
}

func empty(v reflect.Value) bool {
	return v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0
}

// small writes HandedOverAt as handed_over_at.
func small(name string) string {
	var b strings.Builder
	for i, r := range name {
		if unicode.IsUpper(r) && i > 0 && !unicode.IsUpper(rune(name[i-1])) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
