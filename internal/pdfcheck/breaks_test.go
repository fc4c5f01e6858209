package pdfcheck_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/pdfcheck"
)

// breach is the good file with one thing wrong.
type breach struct {
	rule string
	text []string          // of the file's text: what is replaced, by what, and so on
	blob map[string]string // parts that are no text, put in place of the good ones
	data []string          // of the bytes as built, replaced by as many
	more string            // put after the file's end
}

// swap puts what is wrong in the good file's text; what is replaced must be
// there once.
func swap(t *testing.T, in string, pairs []string) string {
	t.Helper()
	for pair := range slices.Chunk(pairs, 2) {
		if strings.Count(in, pair[0]) != 1 {
			t.Fatalf("%q is in the good file %d times", pair[0], strings.Count(in, pair[0]))
		}
		in = strings.Replace(in, pair[0], pair[1], 1)
	}
	return in
}

// add gives the text replacement that puts an object nobody refers to into
// the file.
func add(body string) []string {
	return []string{"obj catalog", "obj extra\n" + body + "\n\nobj catalog"}
}

// patched is a part of the good file with bytes of it replaced.
func patched(good string, at int, with string) string {
	return good[:at] + with + good[at+len(with):]
}

func breaches(good map[string]string) []breach {
	return slices.Concat(fileBreaches(), graphicsBreaches(good), fontBreaches(good), annotationBreaches(), metadataBreaches(), structureBreaches(), embeddedBreaches())
}

func fileBreaches() []breach {
	unsigned := []string{"/V @signed ", ""}
	return []breach{
		{rule: "reads", text: []string{"/X1 Do EMC", "/X1 Do EMC\n(abc"}},
		{rule: "reads", text: []string{"/Kids [@page1 @page2]", "/Kids [@page1 @page2 @page2]"}},
		{rule: "reads", text: []string{"obj unicode\n<< >>", "obj unicode\n<< /Filter /FlateDecode >>"}},
		{rule: "reads", text: []string{"<000100020003> Tj", "<00010002000300> Tj"}},
		{rule: "reads", text: []string{"/Filter /DCTDecode", "/Filter [/FlateDecode /DCTDecode]"}},
		{rule: "reads", text: []string{"/UF @embedded", "/UF @embedded /DOS 3"}},
		{rule: "reads", text: []string{"/Subtype /application#2Fjson", "/Subtype /application#2Fjson /Filter /FlateDecode"}},
		{rule: "reads", text: []string{"/EmbeddedFiles << /Names [(record.json) @spec] >>", "/EmbeddedFiles @names",
			"obj catalog", "obj names\n<< /Names [(record.json) @spec] /Kids [@names] >>\n\nobj catalog"}},
		{rule: "reads", data: []string{"%%EOF\n", "%%EOG\n"}},
		{rule: "open", data: []string{"/ID [<0123> <0123>]", "/Encrypt <<>>       "}},
		{rule: "header", data: []string{"%\xe2\xe3\xcf\xd3", "%abcd"}},
		{rule: "header", data: []string{"%PDF-1.7", "%PDF-1.9"}},
		{rule: "end", text: unsigned, more: "more"},
		{rule: "id", data: []string{"/ID [<0123> <0123>]", "/ID [<0123>       ]"}},
		{rule: "table", data: []string{"xref\n0 ", "xref 0 "}},
		{rule: "object", data: []string{"\n7 0 obj\n", "\n7 0 obj "}},
		{rule: "hex", text: add("<012>")},
		{rule: "hex", text: []string{"/Artifact BMC /X1", "/Artifact << /Why <012> >> BDC /X1"}},
		{rule: "length", data: []string{"/Length 13 /Type /XObject", "/Length 12 /Type /XObject"}},
		{rule: "outside", text: []string{"/Subtype /Form ", "/Subtype /Form /FFilter /FlateDecode "}},
		{rule: "filter", text: add("<< /Filter /LZWDecode >>\nstream\nx\nendstream")},
		{rule: "filter", text: add("<< /Filter [/FlateDecode /Crypt] >>\nstream\nx\nendstream")},
		{rule: "name", text: add("<< /Caf#E9 1 >>")},
		{rule: "limit", text: add("[2147483648]")},
		{rule: "limit", text: add("[-1" + strings.Repeat("0", 39) + ".0]")},
		{rule: "limit", text: add("<< /" + strings.Repeat("n", 128) + " 1 >>")},
		{rule: "limit", text: add("(" + strings.Repeat("s", 32768) + ")")},
		{rule: "limit", text: []string{"/MediaBox [0 0 200 200]", "/MediaBox [0 0 200 2]"}},
		{rule: "limit", text: []string{"0 190 200 1 re", "0 3000000000 200 1 re"}},
		{rule: "permission", text: []string{"/AF [@spec]", "/AF [@spec] /Perms << /Other << >> >>"}},
		{rule: "requirement", text: []string{"/AF [@spec]", "/AF [@spec] /Requirements [<< /S /EnableJavaScripts >>]"}},
		{rule: "requirement", text: []string{"/Names << ", "/Names << /AlternatePresentations << >> "}},
		{rule: "requirement", text: []string{"/StructParents 0", "/StructParents 0 /PresSteps << >>"}},
		{rule: "judged", text: []string{"/AF [@spec]", "/AF [@spec] /OCProperties << >>"}},
		{rule: "judged", text: add("<< /Type /Metadata >>\nstream\nx\nendstream")},
		{rule: "judged", text: add("<< /Filter /JPXDecode >>\nstream\nx\nendstream")},
		{rule: "judged", text: []string{"/X1 Do EMC", "BI /W 1 /H 1 /BPC 8 /CS /G ID x EI EMC"}},
		{rule: "judged", text: []string{"/C1 cs 1 0 0 sc", "/Pattern cs"}},
		{rule: "judged", text: []string{"/S /L /P @document", "/S /L /P @document /C /Nice"}},
		{rule: "judged", text: []string{"/Annots [@link]", "/Annots [@link << /Subtype /Link >>]"}},
		{rule: "judged", text: []string{"/Names [(record.json) @spec]", "/Names [(record.json) @spec (stray) << >>]"}},
		{rule: "judged", text: []string{"/Encoding /Identity-H", "/Encoding @unicode"}},
		{rule: "judged", text: []string{"/StemV 80", "/StemV 80 /CIDSet @places"}},
		{rule: "judged", text: []string{"/W [@@widths]", "/W [" + strings.Repeat("0 65535 600 ", 70) + "@@widths]"}},
		{rule: "judged", text: []string{"/BM /Normal", "/Font [@font 8]"}},
		{rule: "judged", text: []string{"/C1 cs 1 0 0 sc", "/Pattern cs /P9 scn", "/ExtGState <<", "/Pattern << /P9 << >> >> /ExtGState <<"}},
		{rule: "judged", text: []string{"0 0 10 1 re f", "/P << /MCID 0 >> BDC 0 0 10 1 re f EMC"}},
		{rule: "judged", text: []string{"/C1 cs", "/F2 8 Tf /C1 cs", "/F1 @font >> /XObject", "/F1 @font /F2 << /Type /Font >> >> /XObject"}},
		{rule: "judged", text: []string{"/C1 cs", "0 0 d0 /C1 cs"}},
		{rule: "judged", text: []string{"/OutputIntents [@intent]", "/OutputIntents [@intent << /S /GTS_PDFX >>]"}},
		{rule: "judged", text: []string{"/Subtype /Type0", "/Subtype /TrueType"}},
	}
}

func graphicsBreaches(good map[string]string) []breach {
	profile := good["profile"]
	return []breach{
		{rule: "operator", text: []string{"0 0 10 1 re f", "0 0 10 1 re fill"}},
		{rule: "operator", text: []string{"/C1 cs", "/F1 8 9 Tf /C1 cs"}},
		{rule: "resource", text: []string{"/P1 Do", "/P9 Do"}},
		{rule: "resource", text: []string{"BT /F1 8 Tf 10 180 Td <00010002> Tj", "BT 10 180 Td <00010002> Tj"}},
		{rule: "resource", text: []string{"/BBox [0 0 10 10] /Resources << >>", "/BBox [0 0 10 10]"}},
		{rule: "resource", text: []string{"/C1 cs", "/C9 cs"}},
		{rule: "resource", text: []string{"/Parent @pages /Resources << /Font << /F1 @font >> >>", "/Parent @pages",
			"/MediaBox [0 0 200 200]", "/MediaBox [0 0 200 200] /Resources << /Font << /F1 @font >> >>"}},
		{rule: "balance", text: []string{"/P1 Do Q", "/P1 Do"}},
		{rule: "balance", text: []string{"/P1 Do Q", "/P1 Do Q Q"}},
		{rule: "balance", text: []string{"/X1 Do EMC", "/X1 Do"}},
		{rule: "balance", text: []string{"/X1 Do EMC", "/X1 Do EMC EMC"}},
		{rule: "balance", text: []string{"/X1 Do EMC", strings.Repeat("q ", 29) + strings.Repeat("Q ", 29) + "/X1 Do EMC"}},
		{rule: "intent", text: []string{"/OutputIntents [@intent]", ""}},
		{rule: "intent", text: []string{"/OutputIntents [@intent]", "/OutputIntents [@intent @intent]"}},
		{rule: "intent", text: []string{"/OutputConditionIdentifier (sRGB)", ""}},
		{rule: "intent", blob: map[string]string{"profile": patched(profile, 12, "spac")}},
		{rule: "profile", text: []string{"<< /N 3 >>", "<< /N 4 >>"}},
		{rule: "profile", text: []string{"[/ICCBased @profile]", "[/ICCBased 3]"}},
		{rule: "profile", blob: map[string]string{"profile": patched(profile, 128, "\x7f")}},
		{rule: "profile", blob: map[string]string{"profile": profile[:len(profile)-1]}},
		{rule: "profile", blob: map[string]string{"profile": patched(profile, 36, "acsx")}},
		{rule: "profile", blob: map[string]string{"profile": patched(profile, 8, "\x05")}},
		{rule: "profile", blob: map[string]string{"profile": patched(profile, 12, "link")}},
		{rule: "profile", blob: map[string]string{"profile": strings.Replace(profile, "gTRC", "xTRC", 1)}},
		{rule: "profile", blob: map[string]string{"profile": patched(profile, 136, "\xff")}},
		{rule: "colour", text: []string{"0 0 1 rg", "0 0 0 1 k"}},
		{rule: "colour", blob: map[string]string{"profile": strings.NewReplacer("RGB ", "GRAY", "rTRC", "kTRC").Replace(profile)}, text: []string{"<< /N 3 >>", "<< /N 1 >>"}},
		{rule: "state", text: []string{"/RI /Perceptual", "/TR /Identity"}},
		{rule: "state", text: []string{"/RI /Perceptual", "/TR2 /Identity"}},
		{rule: "rendering", text: []string{"/RI /Perceptual", "/RI /Bright"}},
		{rule: "rendering", text: []string{"/BitsPerComponent 8", "/BitsPerComponent 8 /Intent /Bright"}},
		{rule: "rendering", text: []string{"/C1 cs", "/Bright ri /C1 cs"}},
		{rule: "interpolate", text: []string{"/BitsPerComponent 8", "/BitsPerComponent 8 /Interpolate true"}},
		{rule: "alternates", text: []string{"/BitsPerComponent 8", "/BitsPerComponent 8 /Alternates []"}},
		{rule: "picture", text: []string{"/Height 64", "/Height 65"}},
		{rule: "picture", text: []string{"/ColorSpace /DeviceRGB", "/ColorSpace /DeviceGray"}},
		{rule: "picture", blob: map[string]string{"jpeg": "\xff\xd8\xff\xd9"}},
		{rule: "form", text: []string{"/BBox [0 0 10 10]", "/BBox [0 0 10 10] /Ref << >>"}},
		{rule: "form", text: []string{"/BBox [0 0 10 10]", "/BBox [0 0 10 10] /Subtype2 /PS"}},
		{rule: "opaque", text: []string{"/ca 1 ", "/ca .5 "}},
		{rule: "opaque", text: []string{"/BM /Normal", "/BM /Multiply"}},
		{rule: "opaque", text: []string{"/BM /Normal", "/SMask << >>"}},
		{rule: "opaque", text: []string{"/BitsPerComponent 8", "/BitsPerComponent 8 /SMask @picture"}},
		{rule: "opaque", text: []string{"/BBox [0 0 10 10]", "/BBox [0 0 10 10] /Group << /S /Transparency >>"}},
		{rule: "opaque", text: []string{"/StructParents 0", "/StructParents 0 /Group << /S /Transparency >>"}},
	}
}

func fontBreaches(good map[string]string) []breach {
	cut := good["font"]
	return []breach{
		{rule: "embedded", text: []string{"/FontFile2 @program", ""}},
		{rule: "embedded", text: []string{"@@fontsize", "17"}},
		{rule: "embedded", blob: map[string]string{"font": cut[:200], "fontsize": "200"}},
		{rule: "embedded", blob: map[string]string{"font": strings.Replace(cut, "loca", "lost", 1)}},
		{rule: "embedded", blob: map[string]string{"places": good["places"][:16] + "\x00\x70"}},
		{rule: "system", text: []string{"/Identity-H", "/UniJIS-H"}},
		{rule: "system", text: []string{"/Ordering (Identity)", ""}},
		{rule: "glyphs", text: []string{"/CIDToGIDMap @places", ""}},
		{rule: "glyphs", blob: map[string]string{"places": good["places"][:16]}},
		{rule: "widths", blob: map[string]string{"widths": strings.Replace(good["widths"], " 684.", " 686.", 1)}},
		{rule: "widths", text: []string{"/W [@@widths]", "/W [1 8 600]"}},
		{rule: "notdef", blob: map[string]string{"places": "\x00\x00\x00\x00" + good["places"][4:]}},
		{rule: "unicode", text: []string{"/ToUnicode @unicode", ""}},
		{rule: "unicode", text: []string{"2 beginbfchar", "2 beginbfchar ("}},
		{rule: "unicode", text: []string{"<0002> <0042>", "<0009> <0042>"}},
		{rule: "unicode", text: []string{"<0001> <0041>", "<0001> <E000>"}},
		{rule: "unicode", text: []string{"<0003> <0006> <0043>", "<0003> <0006> <FFFC>"}},
		{rule: "fontname", text: []string{"/Type0 /BaseFont /ABCDEF+", "/Type0 /BaseFont /Abcdef+", "/CIDFontType2 /BaseFont /ABCDEF+", "/CIDFontType2 /BaseFont /Abcdef+",
			"/FontName /ABCDEF+", "/FontName /Abcdef+"}},
		{rule: "fontname", text: []string{"/FontName /ABCDEF+DejaVuSans", "/FontName /DejaVuSans"}},
	}
}

func annotationBreaches() []breach {
	link := "/Subtype /Link /F 4 /Rect [40 138 60 150]"
	return []breach{
		{rule: "annotation", text: []string{link, "/Subtype /Movie /F 4 /Rect [40 138 40 138]", "/S /Link", "/S /Annot"}},
		{rule: "print", text: []string{link, strings.Replace(link, "/F 4", "/F 0", 1)}},
		{rule: "print", text: []string{link, strings.Replace(link, "/F 4", "/F 6", 1)}},
		{rule: "appearance", text: []string{"/F 132 /Rect [0 0 0 0]", "/F 132 /Rect [0 0 9 9]"}},
		{rule: "appearance", text: []string{"/F 132 /Rect [0 0 0 0]", "/F 132 /Rect [0 0 9 9] /AP << /N @form /D @form >>"}},
		{rule: "appearance", text: []string{"/F 132 /Rect [0 0 0 0]", "/F 132 /Rect [0 0 9 9] /AP << /N << >> >>"}},
		{rule: "appearance", text: []string{"/F 132 /Rect [0 0 0 0]", "/F 132"}},
		{rule: "action", text: []string{"/S /GoTo", "/S /Launch"}},
		{rule: "action", text: []string{"/S /GoTo", "/S /Named /N /Print"}},
		{rule: "action", text: []string{"/Names << ", "/Names << /JavaScript << >> "}},
		{rule: "action", text: []string{"/AF [@spec]", "/AF [@spec] /OpenAction << /S /JavaScript /JS (1) >>"}},
		{rule: "trigger", text: []string{"/StructParents 0", "/StructParents 0 /AA << >>"}},
		{rule: "fields", text: []string{"/SigFlags 3", "/SigFlags 3 /NeedAppearances true"}},
		{rule: "fields", text: []string{"/SigFlags 3", "/SigFlags 3 /XFA []"}},
		{rule: "fields", text: []string{"/FT /Sig", "/FT /Sig /A << /S /GoTo /D [@page1 /Fit] >>"}},
		{rule: "signature", text: []string{"[0 1111111111", "[1 1111111111"}},
		{rule: "signature", text: []string{"/Contents <0000", "/Contentz <0000"}},
		{rule: "signature", text: []string{"/Contents <0000", "/Contents ()/Z <0000"}},
		{rule: "described", text: []string{"/Contents (To the second page)", ""}},
		{rule: "described", text: []string{"/TU (The signature of the centre)", ""}},
		{rule: "held", text: []string{"/StructParent 2", "/StructParent 3"}},
		{rule: "held", text: []string{"[2 << /Type /OBJR /Obj @link >>]", "[2]"}},
		{rule: "held", text: []string{"/S /Form /P", "/S /Sect /P"}},
		{rule: "held", text: []string{"/Obj @link >>", "/Obj @link /Pg @page2 >>"}},
		{rule: "tabs", text: []string{"/Tabs /S /Annots [@link]", "/Annots [@link]"}},
	}
}

func metadataBreaches() []breach {
	return []breach{
		{rule: "metadata", text: []string{"/Metadata @xmp", ""}},
		{rule: "metadata", text: []string{"</rdf:RDF>", ""}},
		{rule: "metadata", text: []string{`<?xpacket begin="" id`, `<?xpacket begin="" encoding="UTF-8" id`}},
		{rule: "metadata", text: []string{"<pdf:Producer>", "<pdf:Producer>Other</pdf:Producer><pdf:Producer>"}},
		{rule: "part3a", text: []string{`conformance="A"`, `conformance="B"`}},
		{rule: "part3a", text: []string{"xmlns:pdfaid=", "xmlns:id=", "pdfaid:part", "id:part", "pdfaid:conformance", "id:conformance"}},
		{rule: "ua1", text: []string{"xmlns:pdfuaid=", "xmlns:id=", "<pdfuaid:part>1</pdfuaid:part>", "<id:part>1</id:part>"}},
		{rule: "ua1", text: []string{"<pdfuaid:part>1<", "<pdfuaid:part>2<"}},
		{rule: "schema", text: []string{"<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/", "<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/"}},
		{rule: "schema", text: []string{"<pdfaProperty:category>internal</pdfaProperty:category>", ""}},
		{rule: "schema", text: []string{"<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>", ""}},
		{rule: "schema", text: []string{"<pdf:Producer>", "<pdf:Colour>red</pdf:Colour><pdf:Producer>"}},
		{rule: "schema", text: []string{"<rdf:Seq><rdf:li>A. Tutor</rdf:li></rdf:Seq>", "A. Tutor"}},
		{rule: "info", text: []string{"/Title (Task)", "/Title (Tasks)"}},
		{rule: "info", text: []string{"+01'00'", "+02'00'"}},
		{rule: "title", text: []string{"/DisplayDocTitle true", "/DisplayDocTitle false"}},
		{rule: "title", text: []string{">Task</rdf:li>", "></rdf:li>", "/Title (Task)", ""}},
	}
}

func structureBreaches() []breach {
	return []breach{
		{rule: "marked", text: []string{"/Marked true", "/Marked false"}},
		{rule: "marked", text: []string{"/Marked true", "/Marked true /Suspects true"}},
		{rule: "tree", text: []string{"/StructTreeRoot @tree", ""}},
		{rule: "tree", text: []string{"/S /Lbl /P @item", "/S /Lbl /P @list"}},
		{rule: "tree", text: []string{"@toc @note @formfield]", "@toc @note @formfield @toc]"}},
		{rule: "type", text: []string{"<< /Words /P >>", "<< /Words /Wards >>"}},
		{rule: "type", text: []string{"<< /Words /P >>", "<< /Words /Words >>"}},
		{rule: "type", text: []string{"<< /Words /P >>", "<< /Words /P /P /H1 >>"}},
		{rule: "language", text: []string{"/Lang (en-GB)", ""}},
		{rule: "language", text: []string{"/Lang (en-GB)", "/Lang (British)", "/S /H1 /P", "/S /H1 /Lang (no language) /P"}},
		{rule: "tagged", text: []string{"/Artifact BMC /X1 Do EMC", "/X1 Do"}},
		{rule: "tagged", text: []string{"/Artifact BMC /X1 Do EMC", "/Artifact BMC /X1 Do EMC BT /F1 8 Tf <0001> Tj ET"}},
		{rule: "tagged", text: []string{"/Artifact BMC /X1 Do EMC", "/Span BMC /P1 Do EMC"}},
		{rule: "apart", text: []string{"/Formula << /MCID 7 >> BDC", "/Formula << /MCID 7 >> BDC /Artifact BMC EMC"}},
		{rule: "apart", text: []string{"/P << /MCID 1 >> BDC", "/Artifact BMC /P << /MCID 1 >> BDC", "<0005>] TJ ET EMC", "<0005>] TJ ET EMC EMC"}},
		{rule: "parents", text: []string{"0 [@h1 @para", "0 [@para @h1"}},
		{rule: "parents", text: []string{"/P << /MCID 1 >> BDC", "/P << /MCID 11 >> BDC"}},
		{rule: "parents", text: []string{"/P << /MCID 1 >> BDC", "/P << /MCID 0 >> BDC"}},
		{rule: "parents", text: []string{"/StructParents 0", ""}},
		{rule: "parents", text: []string{"/Kids [@keys]", "/Kids [@keys @keys]"}},
		{rule: "parents", text: []string{"/S /Lbl /P @item /Pg @page1 /K [3]", "/S /Lbl /P @item /K [3]"}},
		{rule: "parents", text: []string{"/Obj @link >>", "/Obj @link >> << /Type /OBJR >>"}},
		{rule: "parents", text: []string{"<0005>] TJ ET EMC", "<0005>] TJ ET", "<0006> Tj ET EMC\n/Lbl", "<0006> Tj ET EMC EMC\n/Lbl"}},
		{rule: "parents", text: []string{"/S /Lbl /P @item /Pg @page1 /K [3]", "/S /Lbl /P @item /Pg @page1 /K [3 4]"}},
		{rule: "headings", text: []string{"/S /H2", "/S /H3"}},
		{rule: "headings", text: []string{"/S /H1", "/S /H2"}},
		{rule: "headings", text: []string{"/S /H2", "/S /H"}},
		{rule: "figure", text: []string{"/Alt (Four quarters in four colours)", ""}},
		{rule: "formula", text: []string{"/Alt (B)", ""}},
		{rule: "rows", text: []string{"/S /TBody", "/S /Div"}},
		{rule: "rows", text: []string{"/S /TBody", "/S /THead"}},
		{rule: "rows", text: []string{"/K [@thead @tbody]", "/K [@title @thead @tbody @words]", "obj catalog",
			"obj title\n<< /Type /StructElem /S /Caption /P @table >>\n\nobj words\n<< /Type /StructElem /S /Caption /P @table >>\n\nobj catalog"}},
		{rule: "columns", text: []string{"/ColSpan 2", "/ColSpan 3"}},
		{rule: "columns", text: []string{"/RowSpan 2", "/RowSpan 1"}},
		{rule: "columns", text: []string{"/RowSpan 2", "/RowSpan 3"}},
		{rule: "columns", text: []string{"/RowSpan 2", "/RowSpan 0"}},
		{rule: "columns", text: []string{"/S /TD /P @row2 /Pg @page2 /K [4]", "/S /TD /P @row2 /Pg @page2 /A << /O /Table /RowSpan 2 >> /K [4]"}},
		{rule: "columns", text: []string{"/S /TD /P @row2 /Pg @page2 /K [5]", "/S /TD /P @row2 /Pg @page2 /A << /O /Table /RowSpan 2 >> /K [5]",
			"/S /TD /P @row3 /Pg @page2 /K [6]", "/S /TD /P @row3 /Pg @page2 /A << /O /Table /ColSpan 2 >> /K [6]"}},
		{rule: "scope", text: []string{"/Scope /Row ", ""}},
		{rule: "list", text: []string{"/S /LBody", "/S /P"}},
		{rule: "list", text: []string{"/X1 Do EMC", "/X1 Do EMC /L << /MCID 8 >> BDC EMC", "/K @item", "/Pg @page1 /K [@item 8]", "@caption @sum]", "@caption @sum @list]"}},
		{rule: "list", text: []string{"/ListNumbering /Disc", "/ListNumbering /None"}},
		{rule: "list", text: []string{"/S /LI /P @list /K [@label @body]", "/S /LI /P @list /K [@label @body @stray]",
			"obj catalog", "obj stray\n<< /Type /StructElem /S /L /P @item >>\n\nobj catalog"}},
		{rule: "contents", text: []string{"/S /TOCI", "/S /Div"}},
		{rule: "note", text: []string{"/ID (note-1)", ""}},
	}
}

func embeddedBreaches() []breach {
	return []breach{
		{rule: "filename", text: []string{"/UF (record.json)", ""}},
		{rule: "relationship", text: []string{"/AFRelationship /Data", "/AFRelationship /Friend"}},
		{rule: "associated", text: []string{"/AF [@spec]", ""}},
		{rule: "associated", text: []string{"/Names [(record.json) @spec]", "/Names []"}},
		{rule: "mediatype", text: []string{"/Subtype /application#2Fjson", ""}},
		{rule: "params", text: []string{"/ModDate (D:20260504153000Z) >> >>\nstream", ">> >>\nstream"}},
		{rule: "params", text: []string{"/Size 9", "/Size 10"}},
	}
}

// Each breach is found by its own rule and by no other, and no rule is without
// a breach that shows it works.
func TestEachRuleFindsItsBreach(t *testing.T) {
	text, good := source(t), blobs(t)
	shown := map[string]bool{}
	for i, b := range breaches(good) {
		shown[b.rule] = true
		t.Run(fmt.Sprintf("%s %d", b.rule, i), func(t *testing.T) {
			parts := maps.Clone(good)
			maps.Copy(parts, b.blob)
			file := string(build(swap(t, text, b.text), parts))
			file = swap(t, file, b.data) + b.more
			found := check(t, []byte(file))
			if len(found) == 0 {
				t.Error("nothing is found")
			}
			for _, f := range found {
				if f.Rule != b.rule {
					t.Errorf("found besides: %v", f)
				}
				if f.Clause == "" || f.Where == "" || f.Words == "" {
					t.Errorf("not told whole: %+v", f)
				}
			}
		})
	}
	for _, r := range pdfcheck.Rules() {
		if !shown[r.ID] {
			t.Errorf("no breach shows that the rule %q works", r.ID)
		}
	}
}

func FuzzCheck(f *testing.F) {
	f.Add(build(source(f), blobs(f)))
	f.Fuzz(func(t *testing.T, data []byte) {
		found, err := pdfcheck.CheckFile(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Errorf("from memory: %v", err)
		}
		for _, f := range found {
			if f.Clause == "" || f.Where == "" || f.Words == "" {
				t.Errorf("not told whole: %+v", f)
			}
		}
	})
}

// The good file's text with a stretch of it replaced: its table and lengths stay
// right, so that what is wrong reaches the rules.
func FuzzRules(f *testing.F) {
	text, good := source(f), blobs(f)
	for _, b := range breaches(good) {
		if len(b.text) == 2 {
			f.Add(strings.Index(text, b.text[0]), len(b.text[0]), b.text[1])
		}
	}
	f.Fuzz(func(t *testing.T, at, long int, with string) {
		if at < 0 || long < 0 || at > len(text) || long > len(text)-at {
			return
		}
		for _, f := range check(t, build(text[:at]+with+text[at+long:], good)) {
			if f.Clause == "" || f.Where == "" || f.Words == "" {
				t.Errorf("not told whole: %+v", f)
			}
		}
	})
}
