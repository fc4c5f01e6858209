package pdfcheck

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"witnessmark/internal/pdfread"
)

var relationships = []pdfread.Name{"Source", "Data", "Alternative", "Supplement", "Unspecified"}

// checkEmbedded looks at every file inside the file, listed or not.
func (c *checker) checkEmbedded() {
	listed := map[int]bool{}
	leaves, err := c.f.Names(c.f.Dict(c.f.Catalog()["Names"])["EmbeddedFiles"])
	if err != nil {
		c.say("reads", "catalogue", "%v", err)
	}
	for _, leaf := range leaves {
		ref, ok := leaf.Value.(pdfread.Ref)
		if !ok {
			c.say("judged", "catalogue", "an embedded file's description is no object of its own")
		}
		listed[ref.Number] = true
	}
	associated := map[int]bool{}
	for _, v := range c.f.Array(c.f.Catalog()["AF"]) {
		if ref, ok := v.(pdfread.Ref); ok {
			associated[ref.Number] = true
		}
	}
	for _, n := range c.f.Objects() {
		spec, ok := c.f.Object(n).(pdfread.Dict)
		if !ok || spec["EF"] == nil {
			continue
		}
		where := fmt.Sprintf("object %d", n)
		if c.f.Text(spec["F"]) == "" || c.f.Text(spec["UF"]) == "" {
			c.say("filename", where, "the file's name is not given as /F and as /UF")
		}
		if name := c.f.Name(spec["AFRelationship"]); !slices.Contains(relationships, name) {
			c.say("relationship", where, "the file's relationship is %s", or(string(name), "not stated"))
		}
		if !listed[n] || !associated[n] {
			c.say("associated", where, "the file is not in the catalogue's /AF and its names")
		}
		held := c.f.Dict(spec["EF"])
		var before *pdfread.Stream
		for _, key := range held.Keys() {
			s := c.f.Stream(held[key])
			if s == nil || before == nil || s.Object != before.Object { // the same under two names is the rule
				c.checkHeldFile(where, s)
			}
			before = s
		}
	}
}

func (c *checker) checkHeldFile(where string, s *pdfread.Stream) {
	if s == nil {
		c.say("reads", where, "the embedded file is absent")
		return
	}
	if kind := string(c.f.Name(s.Dict["Subtype"])); strings.Count(kind, "/") != 1 || strings.ContainsAny(kind, " ;") {
		c.say("mediatype", where, "the file's kind is %q", kind)
	}
	params := c.f.Dict(s.Dict["Params"])
	if _, err := pdfread.Date(c.f.Text(params["ModDate"])); err != nil {
		c.say("params", where, "when the file was changed: %v", err)
	}
	size, stated := c.f.Integer(params["Size"])
	r, err := c.f.Reader(s)
	if err != nil {
		c.say("reads", where, "%v", err)
		return
	}
	n, err := io.Copy(io.Discard, io.LimitReader(r, max(0, mostRead-c.read)+1))
	if err != nil {
		c.say("reads", where, "%v", err)
	} else if c.spend(where, n+s.Length) && stated && n != size {
		c.say("params", where, "the file has %d bytes, its /Size says %d", n, size)
	}
}
