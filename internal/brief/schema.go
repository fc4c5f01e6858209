package brief

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
)

// SchemaID names the published JSON Schema of this edition of the format. It is a name; nothing is fetched from it.
const SchemaID = "urn:witnessmark:brief:1"

// schema is the part of JSON Schema 2020-12 that the format needs.
type schema struct {
	Schema               string      `json:"$schema,omitempty"`
	ID                   string      `json:"$id,omitempty"`
	Ref                  string      `json:"$ref,omitempty"`
	Title                string      `json:"title,omitempty"`
	Description          string      `json:"description,omitempty"`
	Type                 types       `json:"type,omitempty"`
	Enum                 []string    `json:"enum,omitempty"`
	Pattern              string      `json:"pattern,omitempty"`
	MinLength            *int        `json:"minLength,omitempty"`
	MaxLength            *int        `json:"maxLength,omitempty"`
	Minimum              *int        `json:"minimum,omitempty"`
	Maximum              *int        `json:"maximum,omitempty"`
	Items                *schema     `json:"items,omitempty"`
	MinItems             int         `json:"minItems,omitempty"`
	MaxItems             int         `json:"maxItems,omitempty"`
	Properties           *properties `json:"properties,omitempty"`
	Required             []string    `json:"required,omitempty"`
	AdditionalProperties *bool       `json:"additionalProperties,omitempty"`
	OneOf                []schema    `json:"oneOf,omitempty"`
	Defs                 *properties `json:"$defs,omitempty"`
}

// types are the JSON types that a value may have.
type types []string

// MarshalJSON writes a lone type as a text and several as a list.
func (t types) MarshalJSON() ([]byte, error) {
	if len(t) == 1 {
		return json.Marshal(t[0])
	}
	return json.Marshal([]string(t))
}

// properties keeps the order of the format.
type properties struct {
	names   []string
	schemas []*schema
}

func (p *properties) add(name string, s *schema) {
	p.names, p.schemas = append(p.names, name), append(p.schemas, s)
}

// MarshalJSON writes the properties as an object in order.
func (p *properties) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, name := range p.names {
		if i > 0 {
			b.WriteByte(',')
		}
		value, err := json.Marshal(p.schemas[i])
		if err != nil {
			return nil, fmt.Errorf("schema of %s: %w", name, err)
		}
		fmt.Fprintf(&b, "%q:", name)
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// Schema is the published JSON Schema (draft 2020-12) of a brief file, for editors that help while typing. It follows
// the types and the rules that Check follows; what a schema cannot say (names, units, formulas) is Check's alone.
func Schema() ([]byte, error) { return emitted(reflect.TypeFor[Brief](), SchemaID, "A brief") }

func emitted(t reflect.Type, id, title string) ([]byte, error) {
	e := emitter{defs: &properties{}}
	root := e.object(t)
	root.Schema, root.ID = "https://json-schema.org/draft/2020-12/schema", id
	root.Title, root.Defs = title, e.defs
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(root); err != nil {
		return nil, fmt.Errorf("writing the schema: %w", err)
	}
	return b.Bytes(), nil
}

type emitter struct{ defs *properties }

func (e *emitter) object(t reflect.Type) *schema {
	no := false
	s := &schema{Type: types{"object"}, Properties: &properties{}, AdditionalProperties: &no}
	for _, m := range members(t) {
		s.Properties.add(m.name, e.member(t, m))
		if m.required {
			s.Required = append(s.Required, m.name)
		}
	}
	if t == reflect.TypeFor[Item]() {
		for _, f := range forms {
			s.OneOf = append(s.OneOf, schema{Required: []string{string(f)}})
		}
	}
	return s
}

func (e *emitter) member(t reflect.Type, m member) *schema {
	r := rules[t.Name()+"."+m.name]
	s := e.value(t.Field(m.index).Type, r, m.required)
	s.Description = r.about
	return s
}

func (e *emitter) value(t reflect.Type, r rule, required bool) *schema {
	switch t.Kind() {
	case reflect.Pointer:
		return e.value(t.Elem(), r, required)
	case reflect.Struct:
		if !slices.Contains(e.defs.names, t.Name()) {
			e.defs.add(t.Name(), nil) // holds the place while the type's own members are emitted
			i := len(e.defs.names) - 1
			e.defs.schemas[i] = e.object(t)
		}
		return &schema{Ref: "#/$defs/" + t.Name()}
	case reflect.Slice:
		return &schema{Type: types{"array"}, Items: e.value(t.Elem(), r, true), MinItems: r.least, MaxItems: r.entries()}
	case reflect.Bool:
		return &schema{Type: types{"boolean"}}
	case reflect.Int:
		least, top := r.least, r.largest()
		return &schema{Type: types{"integer"}, Minimum: &least, Maximum: &top}
	}
	return textSchema(r, required)
}

// textSchema admits numbers and true and false as well, because a file's texts need no quotes and 1.10 is read as it is
// written. A schema can measure and match only what its reader takes for a text.
func textSchema(r rule, required bool) *schema {
	s := &schema{Type: types{"string", "number", "boolean"}}
	if len(r.oneOf) > 0 {
		return &schema{Type: types{"string"}, Enum: r.oneOf}
	}
	most := r.characters()
	s.MaxLength = &most
	if least := 1; required && !r.blank {
		s.MinLength = &least
	}
	if r.pattern != nil {
		s.Pattern = r.pattern.String()
		if !r.pattern.MatchString("1") { // no number fits, so no number may stand
			s.Type = types{"string"}
		}
	}
	return s
}

// The defaults that a rule leaves out.
func (r rule) characters() int { return orElse(r.most, 200) }
func (r rule) entries() int    { return orElse(r.top, 100) }
func (r rule) largest() int    { return orElse(r.top, 9999) }

func orElse(n, otherwise int) int {
	if n == 0 {
		return otherwise
	}
	return n
}

// forms are the forms of item in the order of the format.
var forms = []Form{FormPhoto, FormReading, FormTest, FormObservation, FormSequence, FormFigure, FormChoice, FormAnswer, FormConfirm, FormDocument}
