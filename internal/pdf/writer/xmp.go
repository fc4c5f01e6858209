package writer

import (
	"bytes"
	"encoding/xml"
	"strings"
	"time"
)

// conforms names the standards that the file keeps (ISO 19005-3, 6.6.4; ISO
// 14289-1, 5). The second is not among those that the first knows, so its
// schema is described as 6.6.2.3 there asks.
const conforms = `<rdf:Description rdf:about="" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/"><pdfaid:part>3</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"><pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA Universal Accessibility Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that the file conforms to</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>
`

// writeXMP writes the same facts as the information dictionary in XMP (ISO
// 16684-1), uncompressed so that a program that knows no PDF can find them.
func (f *File) writeXMP() Ref {
	m := f.meta
	var b strings.Builder
	b.WriteString("<?xpacket begin=\"\uFEFF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n" +
		`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">` + "\n" +
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
	write(`<dc:format>`, "application/pdf", `</dc:format>`)
	write(`<pdf:Producer>`, m.Producer, `</pdf:Producer>`)
	write(`<xmp:CreatorTool>`, m.Producer, `</xmp:CreatorTool>`)
	if !m.Created.IsZero() {
		at := m.Created.Format(time.RFC3339)
		write(`<xmp:CreateDate>`, at, `</xmp:CreateDate>`)
		write(`<xmp:ModifyDate>`, at, `</xmp:ModifyDate>`)
	}
	b.WriteString("</rdf:Description>\n" + conforms + "</rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>")
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
