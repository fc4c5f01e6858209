package pdfcheck

import (
	"fmt"
	"slices"

	"witnessmark/internal/pdfread"
)

// kindsAllowed are the annotations of ISO 32000-1, table 169 without those that
// ISO 19005-3, 6.3.1 refuses and the printer's marks, of which ISO 14289-1,
// 7.18.2 and 7.18.8 have rules of their own.
var kindsAllowed = []pdfread.Name{"Text", "Link", "FreeText", "Line", "Square", "Circle", "Polygon", "PolyLine", "Highlight", "Underline", "Squiggly",
	"StrikeOut", "Stamp", "Caret", "Ink", "Popup", "FileAttachment", "Widget", "Watermark", "Redact"}

// The flags of an annotation (ISO 32000-1, table 165).
const (
	flagInvisible = 1 << iota
	flagHidden
	flagPrint
	flagNoZoom
	flagNoRotate
	flagNoView
	_
	_
	flagToggleNoView
)

// perAnnotation is what looking at an annotation costs, in bytes read.
const perAnnotation = 1 << 10

// checkAnnotations looks at the annotations of a page.
func (c *checker) checkAnnotations(page string, p *pdfread.Page) {
	list := c.f.Array(p.Dict["Annots"])
	if len(list) > 0 && c.f.Name(p.Dict["Tabs"]) != "S" {
		c.say("tabs", page, "the page has annotations, but its /Tabs is not S")
	}
	for _, v := range list {
		if !c.spend(page, perAnnotation) {
			return
		}
		ref, ok := v.(pdfread.Ref)
		if !ok {
			c.say("judged", page, "an annotation is no object of its own")
			continue
		}
		where := fmt.Sprintf("%s, object %d", page, ref.Number)
		a := c.f.Dict(ref)
		kind := c.f.Name(a["Subtype"])
		if !slices.Contains(kindsAllowed, kind) {
			c.say("annotation", where, "the annotation is %s", or(string(kind), "of no kind"))
		}
		if kind == "Popup" {
			continue
		}
		flags, _ := c.f.Integer(a["F"])
		if flags&flagPrint == 0 {
			c.say("print", where, "the annotation does not print")
		}
		if flags&(flagInvisible|flagHidden|flagNoView|flagToggleNoView) != 0 {
			c.say("print", where, "the annotation can be hidden")
		}
		c.checkAppearance(where, kind, a)
		c.checkDescribed(where, kind, a)
		c.checkHeld(where, kind, ref, a, p)
	}
}

func (c *checker) checkAppearance(where string, kind pdfread.Name, a pdfread.Dict) {
	appearance := c.f.Dict(a["AP"])
	box := c.numbers(a["Rect"])
	if len(box) != 4 {
		c.say("appearance", where, "the annotation has no place (/Rect)")
		return
	}
	empty := box[0] == box[2] && box[1] == box[3]
	if appearance == nil {
		if kind != "Link" && !empty {
			c.say("appearance", where, "the annotation has no appearance")
		}
		return
	}
	for _, key := range appearance.Keys() {
		if key != "N" {
			c.say("appearance", where, "the annotation has an appearance /%s", key)
		}
	}
	normal := c.f.Stream(appearance["N"])
	if normal == nil {
		c.say("appearance", where, "the annotation's normal appearance is no stream")
		return
	}
	// What belongs to an annotation belongs to its element.
	if use := (formUse{normal.Object, element}); !c.forms[use] {
		c.forms[use] = true
		c.readForm(normal, element, nil, 1)
	}
}

// checkDescribed looks for the words that say what an annotation is.
func (c *checker) checkDescribed(where string, kind pdfread.Name, a pdfread.Dict) {
	if kind == "Widget" {
		if c.inherited(a, "TU") == nil {
			c.say("described", where, "the field has no name for people (/TU)")
		}
		return
	}
	if c.f.Text(a["Contents"]) == "" {
		c.say("described", where, "the annotation has no words (/Contents)")
	}
}

// inherited is a field's entry, or that of a field above it.
func (c *checker) inherited(field pdfread.Dict, key pdfread.Name) pdfread.Value {
	for range 32 {
		if v, ok := field[key]; ok {
			return v
		}
		if field = c.f.Dict(field["Parent"]); field == nil {
			break
		}
	}
	return nil
}

// checkHeld holds an annotation against the element that it should belong to.
func (c *checker) checkHeld(where string, kind pdfread.Name, ref pdfread.Ref, a pdfread.Dict, p *pdfread.Page) {
	if !c.tree.there {
		return
	}
	holders := c.tree.objects[ref.Number]
	if len(holders) != 1 {
		c.say("held", where, "the annotation is in %d elements of the structure", len(holders))
		return
	}
	holder := holders[0]
	want := map[pdfread.Name]pdfread.Name{"Link": "Link", "Widget": "Form"}[kind]
	if want == "" {
		want = "Annot"
	}
	if holder.kind != want {
		c.say("held", where, "the annotation is in a %s, not in a %s", holder.kind, want)
	}
	key, ok := c.f.Integer(a["StructParent"])
	if !ok || c.tree.parents[key] != pdfread.Value(holder.ref) {
		c.say("held", where, "its /StructParent does not lead to the element that holds it (%s)", holder.where)
	}
	if page := holder.objectPages[ref.Number]; page != p.Ref {
		c.say("held", where, "the element that holds it puts it on another page")
	}
}

// checkForm looks at the file's interactive form and its signatures.
func (c *checker) checkForm() {
	form := c.f.Dict(c.f.Catalog()["AcroForm"])
	if on, _ := c.f.Resolve(form["NeedAppearances"]).(pdfread.Bool); bool(on) {
		c.say("fields", "catalogue", "the form leaves its appearances to the reader")
	}
	if form["XFA"] != nil {
		c.say("fields", "catalogue", "the form has XFA")
	}
	for _, n := range c.f.Objects() {
		if d := c.f.Dict(c.f.Object(n)); c.f.Name(d["Subtype"]) == "Widget" && d["A"] != nil {
			c.say("fields", fmt.Sprintf("object %d", n), "the field has an action")
		}
	}
	signatures, err := c.f.Signatures()
	if err != nil {
		c.say("signature", "catalogue", "%v", err)
	}
	for _, s := range signatures {
		if err := s.Covers(c.f.Size()); err != nil {
			c.say("signature", fmt.Sprintf("object %d", s.Object), "%v", err)
		}
	}
}
