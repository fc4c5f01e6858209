package pdfcheck

import (
	"encoding/binary"
	"slices"
	"strings"

	"witnessmark/internal/pdfread"
)

// checkIntent looks for the one output intent and learns its colours.
func (c *checker) checkIntent() {
	var profile pdfread.Value
	found := 0
	for _, v := range c.f.Array(c.f.Catalog()["OutputIntents"]) {
		d := c.f.Dict(v)
		if c.f.Name(d["S"]) != "GTS_PDFA1" {
			c.say("judged", object(v, "catalogue"), "an output intent is %s", c.f.Name(d["S"]))
			continue
		}
		found++
		if c.f.Text(d["OutputConditionIdentifier"]) == "" {
			c.say("intent", object(v, "catalogue"), "the output intent has no name")
		}
		profile = d["DestOutputProfile"]
	}
	s := c.f.Stream(profile)
	if found != 1 || s == nil {
		c.say("intent", "catalogue", "%d output intents GTS_PDFA1, or no profile in it", found)
		return
	}
	where := object(profile, "catalogue")
	c.space = c.checkProfile(where, s)
	if c.space == "" {
		return
	}
	if b, ok := c.data(where, s); ok {
		if class := string(b[12:16]); class != "mntr" && class != "prtr" || c.space == "Lab" {
			c.say("intent", where, "the profile is of class %q for %s, which is no device to show on", class, c.space)
		}
	}
}

// checkProfile looks at a profile once and gives its colour space; empty when
// it is not sound.
func (c *checker) checkProfile(where string, s *pdfread.Stream) string {
	if s == nil {
		c.say("profile", where, "the profile is absent")
		return ""
	}
	space, known := c.profiles[s.Object]
	if !known {
		space = c.readProfile(where, s)
		c.profiles[s.Object] = space
	}
	return space
}

// profileColours are the colour spaces that a profile may be for, with their
// number of colours.
var profileColours = map[string]int{"RGB ": 3, "GRAY": 1, "CMYK": 4, "Lab ": 3}

// readProfile looks at an ICC profile's head and its table of tags (ICC.1:2010,
// 7.2 and 7.3).
func (c *checker) readProfile(where string, s *pdfread.Stream) string {
	b, ok := c.data(where, s)
	if !ok {
		return ""
	}
	if len(b) < 132 || int(binary.BigEndian.Uint32(b)) != len(b) || string(b[36:40]) != "acsp" {
		c.say("profile", where, "the profile's %d bytes are not as many as it says, or it is none", len(b))
		return ""
	}
	class, space, connection := string(b[12:16]), string(b[16:20]), string(b[20:24])
	n, _ := c.f.Integer(s.Dict["N"])
	if major := b[8]; major != 2 && major != 4 {
		c.say("profile", where, "the profile is of version %d", major)
	}
	if !slices.Contains([]string{"mntr", "prtr", "scnr", "spac"}, class) || connection != "XYZ " && connection != "Lab " {
		c.say("profile", where, "the profile is of class %q to %q", class, connection)
		return ""
	}
	if profileColours[space] == 0 || int64(profileColours[space]) != n {
		c.say("profile", where, "the profile is for %q, the dictionary says %d colours", space, n)
		return ""
	}
	c.checkTags(where, b, space, connection)
	return strings.TrimSpace(space)
}

// wantedTags are what every profile has, and what one of curves and a matrix
// has besides (ICC.1:2010, 8).
var wantedTags = []string{"desc", "cprt", "wtpt"}

var matrixTags = []string{"rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC"}

func (c *checker) checkTags(where string, b []byte, space, connection string) {
	count := int(binary.BigEndian.Uint32(b[128:]))
	if count > (len(b)-132)/12 {
		c.say("profile", where, "the profile's table of %d tags is longer than the profile", count)
		return
	}
	has := map[string]bool{}
	for i := range count {
		entry := b[132+12*i:]
		name, at, size := string(entry[:4]), binary.BigEndian.Uint32(entry[4:]), binary.BigEndian.Uint32(entry[8:])
		has[name] = true
		if uint64(at)+uint64(size) > uint64(len(b)) || at < uint32(132+12*count) || at%4 != 0 || size < 8 {
			c.say("profile", where, "the profile's tag %q lies outside it", name)
		}
	}
	wanted := wantedTags
	if space == "RGB " && connection == "XYZ " && !has["A2B0"] {
		wanted = slices.Concat(wanted, matrixTags)
	}
	if space == "GRAY" {
		wanted = slices.Concat(wanted, []string{"kTRC"})
	}
	for _, name := range wanted {
		if !has[name] {
			c.say("profile", where, "the profile has no tag %q", name)
		}
	}
}
