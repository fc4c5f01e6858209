package brief_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/golden"
)

func TestSchemaFile(t *testing.T) {
	got, err := brief.Schema()
	if err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "schema.json", got)
}

func TestSampleFile(t *testing.T) {
	got, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	golden.Check(t, filepath.Join(testdata, "sample.yaml"), got)
}

// compiledSchema is the schema as an independent validator reads it; it also refuses a schema that is none itself.
func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	return schemaOf(t, brief.Schema, brief.SchemaID)
}

// validate gives a YAML file to the schema as an editor would.
func validate(t *testing.T, s *jsonschema.Schema, src []byte) error {
	t.Helper()
	js, err := yaml.YAMLToJSON(src)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(js))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

func TestSchemaAdmitsTheSample(t *testing.T) {
	src, err := os.ReadFile(filepath.Join(testdata, "sample.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(t, compiledSchema(t), src); err != nil {
		t.Error(err)
	}
}

func TestSchemaRefuses(t *testing.T) {
	s := compiledSchema(t)
	src, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, from, to string }{
		{"another edition", "brief: 1", "brief: 2"},
		{"unknown member", "key: bay-7", "kee: 1\nkey: bay-7"},
		{"missing member", "title: Prove the heat output of Bay 7\n", ""},
		{"key in capitals", "key: bay-7", "key: Bay-7"},
		{"list for text", "title: Prove the heat output of Bay 7", "title: [a]"},
		{"text for list", "            - as-found\n            - as-left\n", "            as-left\n"},
		{"phase that is none", "- as-found", "- as-was"},
		{"entitlement that is none", "entitlement: electrical", "entitlement: water"},
		{"whole number as text", "repeats: 3", "repeats: three"},
		{"too large a number", "repeats: 3", "repeats: 300"},
		{"two forms", "        document:\n", "        confirm: {text: x}\n        document:\n"},
		{"no form", "        document:\n          is: the wiring sheet that you filled in, as a PDF or a photo\n", ""},
		{"true as text", "optional: true", "optional: perhaps"},
	} {
		t.Run(c.name, func(t *testing.T) {
			broken := bytes.Replace(src, []byte(c.from), []byte(c.to), 1)
			if bytes.Equal(broken, src) {
				t.Fatalf("%q is not in the sample", c.from)
			}
			if err := validate(t, s, broken); err == nil {
				t.Error("the schema admits it")
			}
			if b, err := brief.Read(broken); err == nil && len(brief.Check(b, functions(), nil).Failures()) == 0 {
				t.Error("Read and Check admit it")
			}
		})
	}
}

// TestSchemaHasEveryMember compares the schema with the Go types: every yaml name is in it with a description, and no
// other.
func TestSchemaHasEveryMember(t *testing.T) {
	src, err := brief.Schema()
	if err != nil {
		t.Fatal(err)
	}
	type object struct {
		Properties map[string]struct{ Description string }
		Required   []string
	}
	var root struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(src, &root); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	var walk func(reflect.Type, object)
	walk = func(typ reflect.Type, o object) {
		if seen[typ.Name()] {
			return
		}
		seen[typ.Name()] = true
		names, required := map[string]bool{}, 0
		for i := range typ.NumField() {
			f := typ.Field(i)
			name, rest, _ := strings.Cut(f.Tag.Get("yaml"), ",")
			if name == "-" {
				continue // no part of the file
			}
			if js, _, _ := strings.Cut(f.Tag.Get("json"), ","); js != name {
				t.Errorf("%s.%s is %q in YAML and %q in JSON", typ.Name(), f.Name, name, js)
			}
			names[name] = true
			if p, ok := o.Properties[name]; !ok || p.Description == "" {
				t.Errorf("%s.%s (%s) is not described in the schema", typ.Name(), f.Name, name)
			}
			if rest == "" {
				required++
			}
			e := f.Type
			for e.Kind() == reflect.Slice || e.Kind() == reflect.Pointer {
				e = e.Elem()
			}
			if e.Kind() == reflect.Struct {
				walk(e, root.Defs[e.Name()])
			}
		}
		if len(o.Required) != required {
			t.Errorf("%s requires %v, want %d members", typ.Name(), o.Required, required)
		}
		for name := range o.Properties {
			if !names[name] {
				t.Errorf("the schema has %s.%s, the type has not", typ.Name(), name)
			}
		}
	}
	walk(reflect.TypeFor[brief.Brief](), root.object)
	if len(seen) != len(root.Defs)+1 || len(seen) < 25 {
		t.Errorf("%d types, %d definitions", len(seen), len(root.Defs))
	}
}
