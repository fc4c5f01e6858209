package pdfcheck

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"unicode/utf8"

	"witnessmark/internal/pdfread"
)

// raw reads n bytes of the file for a look at how it is written. What fails
// shows in Err of the file's next read; here it reads as nothing.
func (c *checker) raw(at, n int64) []byte {
	b, err := io.ReadAll(c.f.Raw(at, n))
	if err != nil {
		c.say("reads", fmt.Sprintf("byte %d", at), "%v", err)
	}
	return b
}

var (
	headerForm = regexp.MustCompile(`(?s)\A%PDF-1\.[0-7](?:\r\n|\r|\n)%[\x80-\xff]{4}`)
	tableForm  = regexp.MustCompile(`\Axref(?:\r\n|\r|\n)\d+ \d+ ?(?:\r\n|\r|\n)`)
	objectForm = regexp.MustCompile(`\A[\r\n]\d+ \d+ obj[\r\n]`)
	closeForm  = regexp.MustCompile(`\A(?:\r\n|\r|\n)endstream[\r\n]`)
)

// latin turns bytes into runes one by one, so that a pattern can name them.
func latin(b []byte) string {
	runes := make([]rune, len(b))
	for i, x := range b {
		runes[i] = rune(x)
	}
	return string(runes)
}

// checkFile looks at the file as it is written: its beginning, its end, its
// tables and trailer.
func (c *checker) checkFile() {
	if !headerForm.MatchString(latin(c.raw(0, 32))) {
		c.say("header", "byte 0", "the first lines are not %%PDF-1.n and a remark of bytes above 127")
	}
	tail := c.raw(c.f.Size()-1024, 1024)
	if c.f.Size() < 1024 {
		tail = c.raw(0, c.f.Size())
	}
	after := tail[bytes.LastIndex(tail, []byte("%%EOF"))+len("%%EOF"):]
	if !slices.Contains([]string{"", "\n", "\r", "\r\n"}, string(after)) {
		c.say("end", fmt.Sprintf("byte %d", c.f.Size()-int64(len(after))), "%d bytes follow the file's end", len(after))
	}
	id := c.f.Array(c.f.Trailer()["ID"])
	for i := range 2 {
		if len(id) != 2 || len(c.string(id[i])) == 0 {
			c.say("id", "trailer", "the /ID is not two strings")
			break
		}
	}
	for _, t := range c.f.Tables() {
		if !t.Stream && !tableForm.Match(c.raw(t.Offset, 64)) {
			c.say("table", fmt.Sprintf("byte %d", t.Offset), "the table's first lines are written otherwise")
		}
	}
	for _, key := range c.f.Dict(c.f.Catalog()["Perms"]).Keys() {
		if key != "DocMDP" && key != "UR3" {
			c.say("permission", "catalogue", "the permissions have /%s", key)
		}
	}
	if c.f.Catalog()["Requirements"] != nil {
		c.say("requirement", "catalogue", "the file has /Requirements")
	}
	if c.f.Dict(c.f.Catalog()["Names"])["AlternatePresentations"] != nil {
		c.say("requirement", "catalogue", "the file has other presentations")
	}
	if c.f.Catalog()["OCProperties"] != nil {
		c.say("judged", "catalogue", "the file has optional content")
	}
}

func (c *checker) string(v pdfread.Value) string {
	s, _ := c.f.Resolve(v).(pdfread.String)
	return string(s)
}

// checkObjects looks at every object for what holds wherever it is used.
func (c *checker) checkObjects() {
	for _, n := range c.f.Objects() {
		where := fmt.Sprintf("object %d", n)
		if at, plain := c.f.Place(n); plain && !objectForm.Match(c.raw(at-1, 32)) {
			c.say("object", where, "its first line is written otherwise")
		}
		v := c.f.Object(n)
		if c.f.OddDigits(n) {
			c.say("hex", where, "a string has an odd number of hexadecimal digits")
		}
		c.checkValue(where, v)
		c.checkActions(where, v)
		if s, ok := v.(*pdfread.Stream); ok {
			c.checkStream(where, s)
		}
	}
}

func (c *checker) checkStream(where string, s *pdfread.Stream) {
	if !closeForm.Match(c.raw(s.Offset+s.Length, 16)) {
		c.say("length", where, "endstream does not follow after %d bytes", s.Length)
	}
	for _, key := range []pdfread.Name{"F", "FFilter", "FDecodeParms"} {
		if s.Dict[key] != nil {
			c.say("outside", where, "the stream has /%s", key)
		}
	}
	for _, filter := range c.f.Filters(s) {
		switch filter {
		case "FlateDecode", "DCTDecode":
		case "LZWDecode", "Crypt":
			c.say("filter", where, "the stream is packed by %s", filter)
		default:
			c.say("judged", where, "the stream is packed by %s", filter)
		}
	}
	if own, _ := c.f.Catalog()["Metadata"].(pdfread.Ref); c.f.Name(s.Dict["Type"]) == "Metadata" && own.Number != 0 && own.Number != s.Object {
		c.say("judged", where, "a part of the file has metadata of its own")
	}
	switch c.f.Name(s.Dict["Subtype"]) {
	case "Image":
		c.checkPicture(where, s)
	case "Form":
		c.checkFormDict(where, s)
	}
}

// checkValue holds a value, with all in it, against the limits of readers
// (ISO 19005-3, 6.1.13, which takes those of ISO 32000-1, annex C).
func (c *checker) checkValue(where string, v pdfread.Value) {
	switch v := v.(type) {
	case pdfread.Integer:
		if v > math.MaxInt32 || v < math.MinInt32 {
			c.say("limit", where, "the number %d is too large", v)
		}
	case pdfread.Real:
		if r := math.Abs(float64(v)); r > math.MaxFloat32 {
			c.say("limit", where, "the number %g is too large", float64(v))
		}
	case pdfread.String:
		if len(v) > 32767 {
			c.say("limit", where, "a string of %d bytes", len(v))
		}
	case pdfread.Name:
		if len(v) > 127 {
			c.say("limit", where, "a name of %d bytes", len(v))
		}
		if !utf8.ValidString(string(v)) {
			c.say("name", where, "the name %q is not UTF-8", string(v))
		}
	case pdfread.Array:
		for _, item := range v {
			c.checkValue(where, item)
		}
	case *pdfread.Stream:
		c.checkValue(where, v.Dict)
	case pdfread.Dict:
		for _, key := range v.Keys() {
			c.checkValue(where, key)
			c.checkValue(where, v[key])
		}
	}
}

// forbidden are the actions that ISO 19005-3, 6.5.1 names.
var forbidden = []pdfread.Name{"Launch", "Sound", "Movie", "ResetForm", "ImportData", "Hide", "SetOCGState", "Rendition", "Trans", "GoTo3DView", "JavaScript"}

var namedAllowed = []pdfread.Name{"NextPage", "PrevPage", "FirstPage", "LastPage"}

// checkActions looks at the actions that an object holds or is.
func (c *checker) checkActions(where string, v pdfread.Value) {
	if list, ok := v.(pdfread.Array); ok {
		for _, item := range list {
			if _, elsewhere := item.(pdfread.Ref); !elsewhere {
				c.checkActions(where, item)
			}
		}
		return
	}
	d, ok := v.(pdfread.Dict)
	if s, isStream := v.(*pdfread.Stream); isStream {
		d, ok = s.Dict, true
	}
	if !ok {
		return
	}
	if d["AA"] != nil {
		c.say("trigger", where, "it has additional actions (/AA)")
	}
	// Whatever is written like a forbidden action is one, elements apart, whose
	// /S is a type.
	kind := c.f.Name(d["S"])
	if c.f.Name(d["Type"]) == "StructElem" {
		kind = ""
	}
	if slices.Contains(forbidden, kind) || d["JS"] != nil {
		c.say("action", where, "the action is %s", kind)
	}
	if n := c.f.Name(d["N"]); kind == "Named" && !slices.Contains(namedAllowed, n) {
		c.say("action", where, "the named action is %s", n)
	}
	if d["JavaScript"] != nil {
		c.say("action", where, "the file has JavaScript by name")
	}
	for _, key := range d.Keys() {
		switch held := d[key].(type) {
		case pdfread.Dict, pdfread.Array:
			c.checkActions(where, held)
		}
	}
}
