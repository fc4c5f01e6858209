package pdfcheck

import "slices"

// Rule is one rule: what a file must keep, in a sentence, and where it is
// written.
type Rule struct{ ID, Clause, Words string }

// Rules are all rules, in the order in which findings come.
func Rules() []Rule {
	return slices.Concat(fileRules, graphicsRules, fontRules, annotationRules, metadataRules, structureRules, embeddedRules)
}

const (
	a3 = "ISO 19005-3, "
	ua = "ISO 14289-1, "
	p7 = "ISO 32000-1, "
)

var fileRules = []Rule{
	{"reads", p7 + "7", "The file can be read: its tables, every object, its pages and what is drawn on them."},
	{"open", a3 + "6.1.3; " + ua + "7.16", "The file is not encrypted."},
	{"header", a3 + "6.1.2", "The file begins with %PDF-1.n and then a remark of four bytes above 127."},
	{"end", a3 + "6.1.3", "Nothing follows the last %%EOF but the end of its line."},
	{"id", a3 + "6.1.3", "The trailer has an /ID of two strings."},
	{"table", a3 + "6.1.4", "A cross-reference table begins with xref, one end of line, and two numbers with one space between them."},
	{"object", a3 + "6.1.9", "An object begins on a line of its own with its two numbers and obj, one space apart, and an end of line."},
	{"hex", a3 + "6.1.6", "A string in hexadecimal digits has an even number of them."},
	{"length", a3 + "6.1.7.1", "A stream has as many bytes as its /Length says, and endstream follows on a line of its own."},
	{"outside", a3 + "6.1.7.1", "A stream's bytes are in the file, not in another."},
	{"filter", a3 + "6.1.7.2", "Streams are packed with filters that last, without LZWDecode and Crypt."},
	{"name", a3 + "6.1.8", "Names are valid UTF-8."},
	{"limit", a3 + "6.1.13", "Numbers, names, strings and pages keep to the limits of readers."},
	{"permission", a3 + "6.1.12", "Nothing but a signature states permissions."},
	{"requirement", a3 + "6.10 and 6.11", "The file asks for no features of a reader, no slides and no other presentations."},
	{"judged", "of this program", "The file holds nothing that this checker cannot judge."},
}

var graphicsRules = []Rule{
	{"operator", a3 + "6.2.2", "What is drawn uses the operators of ISO 32000-1 only."},
	{"resource", a3 + "6.2.2", "Whatever is drawn by name is in the resources of its page or form."},
	{"balance", p7 + "8.4.2", "Each q has its Q, no more than 28 deep, and each beginning of marked content its end."},
	{"intent", a3 + "6.2.3", "One output intent GTS_PDFA1 has a name and a profile."},
	{"profile", a3 + "6.2.3 and 6.2.4.2", "A colour profile is a sound ICC profile for as many colours as the file says."},
	{"colour", a3 + "6.2.4.3", "Colours of a device are those of the output intent's profile, or grey."},
	{"state", a3 + "6.2.5", "No graphics state has transfer functions or a halftone."},
	{"rendering", a3 + "6.2.6", "Rendering intents are the four of ISO 32000-1."},
	{"interpolate", a3 + "6.2.8.1", "No picture asks to be interpolated."},
	{"alternates", a3 + "6.2.8.1", "No picture has alternates or an OPI entry."},
	{"picture", p7 + "8.9.5", "A JPEG has the size and the number of colours that its dictionary says."},
	{"form", a3 + "6.2.9", "No form is PostScript, refers to another file or has an OPI entry."},
	{"opaque", a3 + "6.2.10 (stricter)", "Nothing is transparent: no soft masks, blend modes, groups or opacity."},
}

var fontRules = []Rule{
	{"embedded", a3 + "6.2.11.4.1; " + ua + "7.21.4.1", "Every typeface in use is in the file, as a sound TrueType program."},
	{"system", a3 + "6.2.11.3.1 and 6.2.11.3.3; " + ua + "7.21.3", "A composite font's codes are identities, or its character map is in the file."},
	{"glyphs", a3 + "6.2.11.3.2; " + ua + "7.21.3.2", "A font says which glyph of its program each code shows."},
	{"widths", a3 + "6.2.11.5; " + ua + "7.21.5", "A code's width is its glyph's in the program, to a thousandth of the size."},
	{"notdef", a3 + "6.2.11.8; " + ua + "7.21.8", "No text shows the glyph that stands for none."},
	{"unicode", a3 + "6.2.11.7.2; " + ua + "7.21.7", "Every code in use has Unicode characters, none of them 0, U+FEFF, U+FFFE or private."},
	{"fontname", p7 + "9.7.6 and 9.8", "A font has one name everywhere it is named, with a tag of six capitals where it is a subset."},
}

var annotationRules = []Rule{
	{"annotation", a3 + "6.3.1", "Annotations are of the kinds allowed: no sound, film, 3D, screen or printer's mark."},
	{"print", a3 + "6.3.2", "An annotation prints and is not hidden."},
	{"appearance", a3 + "6.3.3", "An annotation other than a link has one normal appearance, unless it has no size."},
	{"action", a3 + "6.5.1", "Actions only lead somewhere: no programs, no JavaScript, nothing that changes the form."},
	{"trigger", a3 + "6.5.2 and 6.4.1", "Nothing happens by itself: no additional actions."},
	{"fields", a3 + "6.4.1 and 6.4.2; " + ua + "7.15", "The form shows itself: no XFA, no appearances to be made, no actions on fields."},
	{"signature", a3 + "6.4.3", "A signature covers the whole file but itself."},
	{"described", ua + "7.18.1 and 7.18.5", "An annotation says in words what it is; a field has a name for people (/TU)."},
	{"held", ua + "7.18.1, 7.18.4 and 7.18.5", "A link belongs to a Link, a field to a Form, any other annotation to an Annot of the structure, and leads back to it."},
	{"tabs", ua + "7.18.3", "On a page with annotations the tab key follows the structure."},
}

var metadataRules = []Rule{
	{"metadata", a3 + "6.6.2.1", "The catalogue has XMP metadata, not packed, that can be read."},
	{"part3a", a3 + "6.6.4", "The metadata says PDF/A part 3, conformance A."},
	{"ua1", ua + "5", "The metadata says PDF/UA part 1."},
	{"schema", a3 + "6.6.2.3", "Every property of the metadata is a known one or described in an extension schema, and of the type it should be."},
	{"info", a3 + "6.1.5, as ISO 19005-1, 6.7.3", "The information dictionary says what the metadata says."},
	{"title", ua + "7.1", "The metadata has a title, and a reader shows it in place of the file's name."},
}

var structureRules = []Rule{
	{"marked", a3 + "6.7.2.2; " + ua + "7.1", "The catalogue says that the file is tagged, and not that it is suspect."},
	{"tree", a3 + "6.7.3.3", "The file has a structure tree in which every element leads back to the one that holds it."},
	{"type", a3 + "6.7.3.4; " + ua + "7.1", "Every element is of a standard type, or mapped to one."},
	{"language", a3 + "6.7.4; " + ua + "7.2", "The catalogue states the language, and every language stated is one."},
	{"tagged", a3 + "6.7.3.1; " + ua + "7.1", "Everything drawn is tagged or an artifact."},
	{"apart", ua + "7.1", "Nothing tagged is inside an artifact, and no artifact inside something tagged."},
	{"parents", p7 + "14.7.4.4", "Pages, annotations and the structure tree lead to each other alike, each piece of content once."},
	{"headings", ua + "7.4.2", "Headings begin at H1 and never skip a level on the way down."},
	{"figure", ua + "7.3", "A figure has alternative text or its text."},
	{"formula", ua + "7.7", "A formula has alternative text."},
	{"rows", ua + "7.2 and 7.5", "A table is made of rows, and rows of cells."},
	{"columns", ua + "7.2 and 7.5", "All rows of a table have as many columns, spans counted, and no two cells overlap."},
	{"scope", ua + "7.5", "A table's header cell says whether it heads a row or a column."},
	{"list", ua + "7.6", "A list is made of items, and items of labels and bodies."},
	{"contents", ua + "7.2", "A table of contents is made of its items."},
	{"note", ua + "7.9", "A note has an identifier of its own."},
}

var embeddedRules = []Rule{
	{"filename", a3 + "6.8; " + ua + "7.11", "An embedded file has its name twice, as /F and /UF."},
	{"relationship", a3 + "6.8", "An embedded file says how it belongs to the document."},
	{"associated", a3 + "6.8", "An embedded file is associated with the document (/AF) and listed by name."},
	{"mediatype", a3 + "6.8", "An embedded file says what kind of file it is."},
	{"params", a3 + "6.8", "An embedded file says when it was changed, and its right size where it says one."},
}
