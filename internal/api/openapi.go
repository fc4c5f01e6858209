package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The parts of an OpenAPI 3.1 document that ours is made of.
type (
	openAPI struct {
		OpenAPI    string                          `json:"openapi"`
		Info       info                            `json:"info"`
		Servers    []server                        `json:"servers"`
		Security   []map[string][]string           `json:"security"`
		Paths      map[string]map[string]operation `json:"paths"`
		Components components                      `json:"components"`
	}
	info struct {
		Title       string `json:"title"`
		Version     string `json:"version"`
		Description string `json:"description"`
	}
	server struct {
		URL string `json:"url"`
	}
	components struct {
		Schemas         map[string]*schema        `json:"schemas"`
		Responses       map[string]response       `json:"responses"`
		SecuritySchemes map[string]securityScheme `json:"securitySchemes"`
	}
	securityScheme struct {
		Type        string `json:"type"`
		In          string `json:"in"`
		Name        string `json:"name"`
		Description string `json:"description"`
	}
	operation struct {
		OperationID string                 `json:"operationId"`
		Summary     string                 `json:"summary"`
		Action      string                 `json:"x-action,omitempty"`
		Security    *[]map[string][]string `json:"security,omitempty"`
		Parameters  []parameterObject      `json:"parameters,omitempty"`
		RequestBody *requestBody           `json:"requestBody,omitempty"`
		Responses   map[string]response    `json:"responses"`
	}
	parameterObject struct {
		Name        string  `json:"name"`
		In          string  `json:"in"`
		Required    bool    `json:"required"`
		Description string  `json:"description,omitempty"`
		Schema      *schema `json:"schema"`
	}
	requestBody struct {
		Description string           `json:"description,omitempty"`
		Required    bool             `json:"required"`
		Content     map[string]media `json:"content"`
	}
	media struct {
		Schema *schema `json:"schema"`
	}
	response struct {
		Ref         string           `json:"$ref,omitempty"`
		Description string           `json:"description,omitempty"`
		Content     map[string]media `json:"content,omitempty"`
	}
)

// about is what the document says of the whole.
const about = "The same operations as the pages. Sign in at POST /api/session; the cookie of its answer goes with every further request. " +
	"Bodies are JSON in UTF-8 of at most 1 MiB, 32 levels deep, read to the letter: unknown or repeated members and null are refused. " +
	"Writes that a browser sends from another site are refused. x-action names what the application asks of the caller: " +
	"what they may not see is 404, what they see and may not do is 403, what changed since they looked is 409."

// emit writes the document of the table. A type or tag that it has no words for is a mistake of ours: it panics, at
// start-up.
func emit(routes []Route) []byte {
	em := &emitter{schemas: map[string]*schema{}, types: map[string]reflect.Type{}}
	doc := openAPI{
		OpenAPI: "3.1.0", Info: info{Title: "Witnessmark", Version: "1", Description: about}, Servers: []server{{URL: "/"}},
		Security: []map[string][]string{{"session": {}}}, Paths: map[string]map[string]operation{},
		Components: components{
			Schemas: em.schemas,
			Responses: map[string]response{"Problem": {
				Description: "A problem document (RFC 9457).",
				Content:     map[string]media{problemMedia: {Schema: em.schema(reflect.TypeFor[Problem](), false)}},
			}},
			SecuritySchemes: map[string]securityScheme{"session": {
				Type: "apiKey", In: "cookie", Name: "__Host-wm", Description: "Set by POST /api/session. Over plain http its name is wm.",
			}},
		},
	}
	for _, r := range routes {
		if doc.Paths[r.Path] == nil {
			doc.Paths[r.Path] = map[string]operation{}
		}
		doc.Paths[r.Path][strings.ToLower(r.Method)] = em.operation(r)
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(doc); err != nil {
		panic(fmt.Sprintf("write openapi.json: %v", err))
	}
	return b.Bytes()
}

// emitter collects the schemas that operations refer to.
type emitter struct {
	schemas map[string]*schema
	types   map[string]reflect.Type
}

func (em *emitter) operation(r Route) operation {
	op := operation{OperationID: r.shape.id, Summary: r.About, Action: string(r.Action), Responses: map[string]response{}}
	if r.Action == "" {
		op.Security = &[]map[string][]string{}
	}
	op.Parameters = append(em.parameters(r.shape.path, "path"), em.parameters(r.shape.query, "query")...)
	switch r.shape.body {
	case reflect.TypeFor[none]():
	case reflect.TypeFor[upload]():
		op.Parameters = append(op.Parameters, parameterObject{
			Name: "Repr-Digest", In: "header", Description: "The file's SHA-256 (RFC 9530): sha-256=:Base64:. Other bytes are refused.",
			Schema: &schema{Type: "string"},
		})
		op.RequestBody = &requestBody{
			Description: "The file's bytes as they are, at most 25 MiB: JPEG, PNG, HEIC or PDF. What they are is found out from them.", Required: true,
			Content: map[string]media{"*/*": {Schema: &schema{}}},
		}
	case reflect.TypeFor[broughtFile]():
		op.RequestBody = &requestBody{
			Description: "The portfolio's bytes as they are, at most 512 MiB. Nothing of it is kept.", Required: true,
			Content: map[string]media{"*/*": {Schema: &schema{}}},
		}
	default:
		op.RequestBody = &requestBody{Required: true, Content: map[string]media{"application/json": {Schema: em.schema(r.shape.body, true)}}}
	}
	op.Responses[strconv.Itoa(statusOf(r.shape.answer))] = em.answer(r.shape.answer)
	if r.shape.answer == reflect.TypeFor[content]() {
		op.Responses["206"] = em.answer(r.shape.answer)
	}
	op.Responses["default"] = response{Ref: "#/components/responses/Problem"}
	return op
}

// answer describes a good answer.
func (em *emitter) answer(t reflect.Type) response {
	switch t {
	case reflect.TypeFor[none]():
		return response{Description: "Done."}
	case reflect.TypeFor[content]():
		return response{Description: "The bytes, whole or in part (Range).", Content: map[string]media{"*/*": {Schema: &schema{}}}}
	case reflect.TypeFor[document]():
		return response{Description: "This document.", Content: map[string]media{"application/json": {Schema: &schema{Type: "object"}}}}
	}
	return response{Description: "Done.", Content: map[string]media{"application/json": {Schema: em.schema(t, false)}}}
}

// parameters describes the fields of a path or query.
func (em *emitter) parameters(t reflect.Type, in string) []parameterObject {
	var out []parameterObject
	for i := range t.NumField() {
		f := t.Field(i)
		out = append(out, parameterObject{
			Name: name(f, in), In: in, Required: in == "path" || !optional(f), Description: f.Tag.Get("about"), Schema: em.field(f, true),
		})
	}
	return out
}

// title is a type's name in the document.
func title(t reflect.Type) string {
	r, n := utf8.DecodeRuneInString(t.Name())
	return string(unicode.ToUpper(r)) + t.Name()[n:]
}
