package pdfcheck

import (
	"fmt"
	"slices"

	"witnessmark/internal/pdfread"
)

// state looks at an extended graphics state.
func (s *scan) state(op pdfread.Operator) {
	c, v := s.c, s.named("ExtGState", op)
	d, where := c.f.Dict(v), object(v, s.where)
	for _, key := range []pdfread.Name{"TR", "HTP", "HT"} {
		if d[key] != nil {
			c.say("state", where, "the graphics state has /%s", key)
		}
	}
	if d["TR2"] != nil && c.f.Name(d["TR2"]) != "Default" {
		c.say("state", where, "the graphics state has a /TR2 other than Default")
	}
	c.checkRendering(where, d["RI"])
	if mask := d["SMask"]; mask != nil && c.f.Name(mask) != "None" {
		c.say("opaque", where, "the graphics state has a soft mask")
	}
	for _, key := range []pdfread.Name{"ca", "CA"} {
		if n, ok := pdfread.Number(c.f.Resolve(d[key])); ok && n != 1 {
			c.say("opaque", where, "the graphics state has /%s %g", key, n)
		}
	}
	if mode := d["BM"]; mode != nil && !slices.Contains([]pdfread.Name{"Normal", "Compatible"}, c.f.Name(mode)) {
		c.say("opaque", where, "the graphics state has a blend mode")
	}
	if d["Font"] != nil {
		c.say("judged", where, "the graphics state sets a font")
	}
}

func (s *scan) rendering(op pdfread.Operator) { s.c.checkRendering(s.where, last(op)) }

func (c *checker) checkRendering(where string, v pdfread.Value) {
	known := []pdfread.Name{"RelativeColorimetric", "AbsoluteColorimetric", "Perceptual", "Saturation"}
	if v != nil && !slices.Contains(known, c.f.Name(v)) {
		c.say("rendering", where, "the rendering intent is %s", c.f.Name(v))
	}
}

// draw paints a picture or a form.
func (s *scan) draw(op pdfread.Operator) {
	c, v := s.c, s.named("XObject", op)
	drawn := c.f.Stream(v)
	if drawn == nil {
		return
	}
	if c.f.Name(drawn.Dict["Subtype"]) != "Form" {
		s.paint(op)
		return
	}
	if s.depth == 16 {
		c.say("judged", s.where, "forms are drawn in forms 16 deep")
		return
	}
	use := formUse{drawn.Object, s.within()}
	if c.forms[use] {
		return
	}
	c.forms[use] = true
	c.readForm(drawn, use.inside, s.resources, s.depth+1)
}

// readForm goes through what a form draws.
func (c *checker) readForm(drawn *pdfread.Stream, inside held, resources pdfread.Dict, depth int) {
	where := fmt.Sprintf("object %d", drawn.Object)
	content, ok := c.data(where, drawn)
	if !ok {
		return
	}
	if own := c.f.Dict(drawn.Dict["Resources"]); own != nil {
		resources = own
	} else {
		c.say("resource", where, "the form has no resources of its own")
	}
	form := &scan{c: c, where: where, resources: resources, marks: map[int]int{}, inside: inside, depth: depth}
	form.read(content)
}

func (s *scan) inline(op pdfread.Operator) {
	s.paint(op)
	s.c.say("judged", s.where, "a picture stands among the operators")
}

func (s *scan) shading(op pdfread.Operator) {
	s.paint(op)
	v := s.named("Shading", op)
	s.c.checkSpace(object(v, s.where), s.c.f.Dict(v)["ColorSpace"])
}

// space sets a colour space: a device's by its own name, or a resource.
func (s *scan) space(op pdfread.Operator) {
	name, _ := last(op).(pdfread.Name)
	switch name {
	case "DeviceGray", "DeviceRGB", "DeviceCMYK", "Pattern":
		s.c.checkSpace(s.where, name)
	default:
		v := s.named("ColorSpace", op)
		if _, absent := v.(pdfread.Null); !absent {
			s.c.checkSpace(s.where, v)
		}
	}
}

// pattern sets a colour; with a name as its last operand it is a pattern.
func (s *scan) pattern(op pdfread.Operator) {
	if _, named := last(op).(pdfread.Name); named {
		s.named("Pattern", op)
		s.c.say("judged", s.where, "a pattern is painted")
	}
}

// deviceSpaces are the output intent's spaces that give a device's colours a
// meaning.
var deviceSpaces = map[pdfread.Name][]string{"DeviceGray": {"GRAY", "RGB", "CMYK"}, "DeviceRGB": {"RGB"}, "DeviceCMYK": {"CMYK"}}

// checkSpace looks at a colour space (ISO 32000-1, 8.6).
func (c *checker) checkSpace(where string, v pdfread.Value) {
	family := c.f.Name(v)
	list := c.f.Array(v)
	if len(list) > 0 {
		family = c.f.Name(list[0])
	}
	switch family {
	case "DeviceGray", "DeviceRGB", "DeviceCMYK":
		// Without a sound intent, its own rule has spoken.
		if c.space != "" && !slices.Contains(deviceSpaces[family], c.space) {
			c.say("colour", where, "%s is used, but the output intent's profile is %s", family, c.space)
		}
	case "ICCBased":
		if len(list) == 2 {
			c.checkProfile(object(list[1], where), c.f.Stream(list[1]))
		}
	case "CalGray", "CalRGB", "Lab":
	case "Indexed":
		if len(list) == 4 && c.f.Name(c.f.Resolve(list[1])) != "Indexed" {
			if base := c.f.Array(list[1]); len(base) == 0 || c.f.Name(base[0]) != "Indexed" {
				c.checkSpace(where, list[1])
			}
		}
	default:
		c.say("judged", where, "the colour space is %s", or(string(family), "none that is known"))
	}
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// checkFormDict looks at the dictionary of a form.
func (c *checker) checkFormDict(where string, s *pdfread.Stream) {
	for _, key := range []pdfread.Name{"PS", "Ref", "OPI"} {
		if s.Dict[key] != nil {
			c.say("form", where, "the form has /%s", key)
		}
	}
	if c.f.Name(s.Dict["Subtype2"]) == "PS" {
		c.say("form", where, "the form is PostScript")
	}
	if c.f.Name(c.f.Dict(s.Dict["Group"])["S"]) == "Transparency" {
		c.say("opaque", where, "the form is a transparency group")
	}
}
