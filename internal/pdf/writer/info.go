package writer

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
	"time"
)

// writeInfo writes the document information dictionary (ISO 32000-1, 14.3.3).
func (f *File) writeInfo() Ref {
	m := f.meta
	body := "<<"
	for _, field := range []struct{ key, value string }{
		{"Title", m.Title}, {"Author", m.Author}, {"Subject", m.Subject},
		{"Creator", m.Producer}, {"Producer", m.Producer},
	} {
		if field.value != "" {
			body += " /" + field.key + " " + textString(field.value)
		}
	}
	if !m.Created.IsZero() {
		body += " /CreationDate " + date(m.Created) + " /ModDate " + date(m.Created)
	}
	return f.add(body + " >>")
}

// writeCatalog writes the root of the file: pages, bookmarks, named places,
// page labels (plain figures from 1) and metadata.
func (f *File) writeCatalog() Ref {
	body := fmt.Sprintf("<< /Type /Catalog /Pages %d 0 R /PageLabels << /Nums [0 << /S /D >>] >>", f.tree)
	body += fmt.Sprintf(" /ViewerPreferences << /DisplayDocTitle true >> /Metadata %d 0 R", f.writeXMP())
	if f.meta.Language != "" {
		body += " /Lang " + textString(f.meta.Language)
	}
	if outline := f.writeOutline(); outline != 0 {
		body += fmt.Sprintf(" /Outlines %d 0 R /PageMode /UseOutlines", outline)
	}
	if names := f.writeTargets(); names != 0 {
		body += fmt.Sprintf(" /Names << /Dests %d 0 R >>", names)
	}
	return f.add(body + " >>")
}

// writeXMP writes the same facts as the information dictionary in XMP (ISO
// 16684-1), uncompressed so that a program that knows no PDF can find them.
func (f *File) writeXMP() Ref {
	m := f.meta
	var b strings.Builder
	b.WriteString("<?xpacket begin=\"\uFEFF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` +
		`<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">` + "\n")
	write := func(open, value, shut string) {
		if value != "" {
			b.WriteString(open + f.escape(value) + shut + "\n")
		}
	}
	write(`<dc:title><rdf:Alt><rdf:li xml:lang="x-default">`, m.Title, `</rdf:li></rdf:Alt></dc:title>`)
	write(`<dc:creator><rdf:Seq><rdf:li>`, m.Author, `</rdf:li></rdf:Seq></dc:creator>`)
	write(`<dc:description><rdf:Alt><rdf:li xml:lang="x-default">`, m.Subject, `</rdf:li></rdf:Alt></dc:description>`)
	write(`<dc:language><rdf:Bag><rdf:li>`, m.Language, `</rdf:li></rdf:Bag></dc:language>`)
	write(`<pdf:Producer>`, m.Producer, `</pdf:Producer>`)
	write(`<xmp:CreatorTool>`, m.Producer, `</xmp:CreatorTool>`)
	if !m.Created.IsZero() {
		at := m.Created.Format(time.RFC3339)
		write(`<xmp:CreateDate>`, at, `</xmp:CreateDate>`)
		write(`<xmp:ModifyDate>`, at, `</xmp:ModifyDate>`)
	}
	b.WriteString("</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>")
	ref := f.reserve()
	f.begin(ref)
	f.printf("<< /Type /Metadata /Subtype /XML /Length %d >>\nstream\n%s\nendstream\nendobj\n", b.Len(), b.String())
	return ref
}

func (f *File) escape(s string) string {
	var b bytes.Buffer
	f.fail(xml.EscapeText(&b, []byte(s)))
	return b.String()
}
