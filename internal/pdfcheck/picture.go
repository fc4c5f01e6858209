package pdfcheck

import (
	"encoding/binary"
	"errors"
	"io"

	"witnessmark/internal/pdfread"
)

// checkPicture looks at a picture's dictionary and, for a JPEG, at its head.
func (c *checker) checkPicture(where string, s *pdfread.Stream) {
	if on, _ := c.f.Resolve(s.Dict["Interpolate"]).(pdfread.Bool); bool(on) {
		c.say("interpolate", where, "the picture asks to be interpolated")
	}
	for _, key := range []pdfread.Name{"Alternates", "OPI"} {
		if s.Dict[key] != nil {
			c.say("alternates", where, "the picture has /%s", key)
		}
	}
	c.checkRendering(where, s.Dict["Intent"])
	if s.Dict["SMask"] != nil {
		c.say("opaque", where, "the picture has a soft mask")
	}
	mask, _ := c.f.Resolve(s.Dict["ImageMask"]).(pdfread.Bool)
	if !mask {
		c.checkSpace(where, s.Dict["ColorSpace"])
	}
	filters := c.f.Filters(s)
	if len(filters) == 0 || filters[len(filters)-1] != "DCTDecode" {
		return
	}
	r, err := c.f.Reader(s)
	if err != nil {
		c.say("reads", where, "%v", err)
		return
	}
	frame, err := readFrame(io.LimitReader(r, 8<<20))
	if err != nil {
		c.say("picture", where, "the JPEG cannot be read: %v", err)
		return
	}
	wide, _ := c.f.Integer(s.Dict["Width"])
	high, _ := c.f.Integer(s.Dict["Height"])
	bits, _ := c.f.Integer(s.Dict["BitsPerComponent"])
	if int64(frame.wide) != wide || int64(frame.high) != high || int64(frame.bits) != bits {
		c.say("picture", where, "the JPEG is %d × %d pixels of %d bits, the dictionary says %d × %d of %d",
			frame.wide, frame.high, frame.bits, wide, high, bits)
	}
	if n := c.colours(s.Dict["ColorSpace"]); n != 0 && n != frame.colours {
		c.say("picture", where, "the JPEG has %d colours, its colour space %d", frame.colours, n)
	}
}

// colours is how many numbers a colour of a space has; 0 where not known.
func (c *checker) colours(v pdfread.Value) int {
	family := c.f.Name(v)
	list := c.f.Array(v)
	if len(list) > 0 {
		family = c.f.Name(list[0])
	}
	switch family {
	case "DeviceGray", "CalGray", "Indexed":
		return 1
	case "DeviceRGB", "CalRGB", "Lab":
		return 3
	case "DeviceCMYK":
		return 4
	case "ICCBased":
		if len(list) == 2 {
			n, _ := c.f.Integer(c.f.Dict(list[1])["N"])
			return int(n)
		}
	}
	return 0
}

type frame struct{ wide, high, bits, colours int }

// readFrame reads a JPEG's first frame header (ITU-T T.81, B.2.2). Arithmetic
// and lossless coding, which readers of PDF need not know, are errors.
func readFrame(r io.Reader) (frame, error) {
	var b [8]byte
	if _, err := io.ReadFull(r, b[:2]); err != nil {
		return frame{}, err
	}
	if b[0] != 0xFF || b[1] != 0xD8 {
		return frame{}, errors.New("it does not begin like one")
	}
	for range 4096 {
		if _, err := io.ReadFull(r, b[:4]); err != nil {
			return frame{}, err
		}
		length := int64(binary.BigEndian.Uint16(b[2:])) - 2
		if b[0] != 0xFF || length < 0 {
			return frame{}, errors.New("a marker is missing")
		}
		switch code := b[1]; {
		case code >= 0xC0 && code <= 0xC2:
			if _, err := io.ReadFull(r, b[:6]); err != nil {
				return frame{}, err
			}
			return frame{bits: int(b[0]), high: int(binary.BigEndian.Uint16(b[1:])), wide: int(binary.BigEndian.Uint16(b[3:])), colours: int(b[5])}, nil
		case code == 0xC3 || code >= 0xC5 && code <= 0xCF && code != 0xC8 && code != 0xCC:
			return frame{}, errors.New("its coding is not one that every reader knows")
		case code == 0xDA:
			return frame{}, errors.New("it has no frame header")
		}
		if _, err := io.CopyN(io.Discard, r, length); err != nil {
			return frame{}, err
		}
	}
	return frame{}, errors.New("it has no frame header")
}
