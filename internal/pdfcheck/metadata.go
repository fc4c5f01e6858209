package pdfcheck

import (
	"bytes"
	"encoding/xml"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/pdfread"
)

// mostMetadata is how many bytes of metadata are read.
const mostMetadata = 1 << 20

// checkMetadata looks at the catalogue's metadata and at what else says the
// same.
func (c *checker) checkMetadata() {
	if on, _ := c.f.Resolve(c.f.Dict(c.f.Catalog()["ViewerPreferences"])["DisplayDocTitle"]).(pdfread.Bool); !bool(on) {
		c.say("title", "catalogue", "a reader would show the file's name, not its title")
	}
	v := c.f.Catalog()["Metadata"]
	where := object(v, "catalogue")
	s := c.f.Stream(v)
	if s == nil || c.f.Name(s.Dict["Type"]) != "Metadata" || c.f.Name(s.Dict["Subtype"]) != "XML" {
		c.say("metadata", where, "the catalogue has no XMP metadata")
		return
	}
	if len(c.f.Filters(s)) > 0 {
		c.say("metadata", where, "the metadata is packed")
	}
	data, ok := c.data(where, s)
	if !ok {
		return
	}
	if len(data) > mostMetadata {
		c.say("judged", where, "the metadata is %d bytes", len(data))
		return
	}
	head, _, _ := bytes.Cut(data, []byte("?>"))
	if !bytes.HasPrefix(head, []byte("<?xpacket begin=")) || bytes.Contains(head, []byte("bytes=")) || bytes.Contains(head, []byte("encoding=")) {
		c.say("metadata", where, "the metadata does not begin with a packet header without bytes and encoding")
	}
	p, err := readPacket(data)
	if err != nil {
		c.say("metadata", where, "the metadata cannot be read: %v", err)
		return
	}
	// Readers look for these two by their prefixes, which the standards fix.
	if part, level := p.value(nsPDFA, "part"), p.value(nsPDFA, "conformance"); part != "3" || level != "A" || !bytes.Contains(data, []byte("pdfaid:part")) {
		c.say("part3a", where, "the metadata says part %q, conformance %q, or with another prefix than pdfaid", part, level)
	}
	if part := p.value(nsUA, "part"); part != "1" || !bytes.Contains(data, []byte("pdfuaid:part")) {
		c.say("ua1", where, "the metadata says PDF/UA part %q, or with another prefix than pdfuaid", part)
	}
	if strings.TrimSpace(p.value(nsDC, "title")) == "" {
		c.say("title", where, "the metadata has no title")
	}
	c.checkSchemas(where, p)
	c.checkInfo(p)
}

// knownProperties are those of the schemas that ISO 19005-3 takes from XMP, as
// far as this checker knows them, and its own.
var knownProperties = map[string][]string{
	nsDC: {"contributor", "coverage", "creator", "date", "description", "format", "identifier", "language", "publisher", "relation", "rights",
		"source", "subject", "title", "type"},
	nsXMP: {"Advisory", "BaseURL", "CreateDate", "CreatorTool", "Identifier", "Label", "MetadataDate", "ModifyDate", "Nickname", "Rating", "Thumbnails"},
	nsPDF: {"Keywords", "PDFVersion", "Producer"},
	nsMM: {"DerivedFrom", "DocumentID", "History", "InstanceID", "ManagedFrom", "Manager", "ManageTo", "ManageUI", "ManagerVariant", "RenditionClass",
		"RenditionParams", "VersionID", "Versions", "OriginalDocumentID"},
	nsRights: {"Certificate", "Marked", "Owner", "UsageTerms", "WebStatement"},
	nsPDFA:   {"part", "amd", "corr", "conformance"},
	nsExtend: {"schemas"},
}

// arrays are the properties that are lists, with their kind (ISO 16684-1, 8.3).
var arrays = map[string]string{"title": "Alt", "description": "Alt", "rights": "Alt", "creator": "Seq", "date": "Seq",
	"language": "Bag", "subject": "Bag", "contributor": "Bag", "publisher": "Bag", "relation": "Bag", "type": "Bag"}

// checkSchemas looks for properties that nobody has described, or that are not
// of the type that their description says.
func (c *checker) checkSchemas(where string, p *packet) {
	described := c.describedProperties(where, p)
	for _, name := range p.order {
		want := arrays[name.Local]
		if name.Space != nsDC {
			want = ""
		}
		if n := p.nodes[name]; want != "" && (list(n) == nil || n.kids[0].name.Local != want) {
			c.say("schema", where, "the property %s is no %s", name.Local, want)
		}
		if !slices.Contains(knownProperties[name.Space], name.Local) && !described[name] {
			c.say("schema", where, "the property %s of %s is not described", name.Local, name.Space)
		}
	}
}

// describedProperties are those of the packet's extension schemas
// (ISO 19005-3, 6.6.2.3.3).
func (c *checker) describedProperties(where string, p *packet) map[xml.Name]bool {
	described := map[xml.Name]bool{}
	for _, schema := range list(p.nodes[xml.Name{Space: nsExtend, Local: "schemas"}]) {
		space, _ := schema.field(nsSchema, "namespaceURI")
		prefix, _ := schema.field(nsSchema, "prefix")
		title, _ := schema.field(nsSchema, "schema")
		if space == "" || prefix == "" || title == "" {
			c.say("schema", where, "an extension schema lacks its name, prefix or namespace")
		}
		_, properties := schema.field(nsSchema, "property")
		for _, property := range list(properties) {
			var facts [4]string
			for i, field := range []string{"name", "valueType", "category", "description"} {
				facts[i], _ = property.field(nsProperty, field)
			}
			if slices.Contains(facts[:], "") || facts[2] != "internal" && facts[2] != "external" {
				c.say("schema", where, "the extension schema %s describes the property %q incompletely", prefix, facts[0])
			}
			described[xml.Name{Space: space, Local: facts[0]}] = true
		}
	}
	return described
}

// pairs are the entries of the information dictionary and the properties that
// say the same.
var pairs = []struct {
	key          pdfread.Name
	space, local string
}{
	{"Title", nsDC, "title"}, {"Author", nsDC, "creator"}, {"Subject", nsDC, "description"}, {"Keywords", nsPDF, "Keywords"},
	{"Creator", nsXMP, "CreatorTool"}, {"Producer", nsPDF, "Producer"}, {"CreationDate", nsXMP, "CreateDate"}, {"ModDate", nsXMP, "ModifyDate"},
}

func (c *checker) checkInfo(p *packet) {
	v := c.f.Trailer()["Info"]
	info := c.f.Dict(v)
	for _, pair := range pairs {
		entry, ok := info[pair.key]
		if !ok {
			continue
		}
		said, meta := c.f.Text(entry), p.value(pair.space, pair.local)
		if pair.key == "CreationDate" || pair.key == "ModDate" {
			at, err1 := pdfread.Date(said)
			same, err2 := time.Parse(time.RFC3339, meta)
			if err1 != nil || err2 != nil || !at.Equal(same) {
				c.say("info", object(v, "trailer"), "/%s is %q, the metadata says %q", pair.key, said, meta)
			}
			continue
		}
		if said != meta {
			c.say("info", object(v, "trailer"), "/%s is %q, the metadata says %q", pair.key, said, meta)
		}
	}
}
