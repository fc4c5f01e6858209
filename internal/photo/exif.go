package photo

import (
	"encoding/binary"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// EXIF tags and field types used here (CIPA DC-008 "Exif 2.32", 4.6; the numbers of TIFF 6.0 within it).
const (
	tagMake           = 0x010f
	tagModel          = 0x0110
	tagOrientation    = 0x0112
	tagEXIFIFD        = 0x8769
	tagGPSIFD         = 0x8825
	tagTakenAt        = 0x9003 // DateTimeOriginal
	tagTakenAtOffset  = 0x9011 // OffsetTimeOriginal
	tagGPSLatitudeRef = 0x0001
	tagGPSLatitude    = 0x0002
	tagGPSLongRef     = 0x0003
	tagGPSLongitude   = 0x0004

	typeASCII    = 2
	typeShort    = 3
	typeLong     = 4
	typeRational = 5
)

const (
	entrySize  = 12
	maxEntries = 512 // of one directory; cameras write under a hundred
	maxText    = 64  // characters of a camera's name
	maxRawText = 256 // bytes of any text looked at
	takenForm  = "2006:01:02 15:04:05"
)

// facts are the fields of an EXIF block that are used, as they stand there.
type facts struct {
	orientation      uint16
	taken, offset    string
	maker, model     string
	latitude, longit bool
}

// tiff is an EXIF block: a TIFF file without a picture. Every offset in it is a claim.
type tiff struct {
	b     []byte
	order binary.ByteOrder
}

// entry is one directory entry; at is where its value or the value's offset stands.
type entry struct {
	tag, kind uint16
	count     uint32
	at        int
}

// readEXIF reads an EXIF block that begins with its TIFF header. It cannot fail: whatever cannot be read is not there.
// It looks into three directories at most, each once, and follows no chain, so no loop of offsets can hold it.
func readEXIF(b []byte) facts {
	var f facts
	t := tiff{b: b}
	switch {
	case hasPrefix(b, "II*\x00"):
		t.order = binary.LittleEndian
	case hasPrefix(b, "MM\x00*"):
		t.order = binary.BigEndian
	default:
		return f
	}
	var exifAt, gpsAt uint32
	t.each(t.long(4), func(e entry) {
		switch e.tag {
		case tagMake:
			f.maker = t.text(e)
		case tagModel:
			f.model = t.text(e)
		case tagOrientation:
			if e.kind == typeShort {
				f.orientation = t.short(e.at)
			}
		case tagEXIFIFD:
			exifAt = t.long(e.at)
		case tagGPSIFD:
			gpsAt = t.long(e.at)
		}
	})
	t.each(exifAt, func(e entry) {
		switch e.tag {
		case tagTakenAt:
			f.taken = t.text(e)
		case tagTakenAtOffset:
			f.offset = t.text(e)
		}
	})
	t.each(gpsAt, func(e entry) {
		f.latitude = f.latitude || e.tag == tagGPSLatitude
		f.longit = f.longit || e.tag == tagGPSLongitude
	})
	return f
}

// each calls fn for the entries of the directory at the given offset; an offset of 0 is no directory.
func (t tiff) each(offset uint32, fn func(entry)) {
	if offset == 0 || int64(offset)+2 > int64(len(t.b)) {
		return
	}
	at := int(offset)
	n := min(int(t.short(at)), maxEntries)
	for at += 2; n > 0 && at+entrySize <= len(t.b); n, at = n-1, at+entrySize {
		fn(entry{tag: t.short(at), kind: t.short(at + 2), count: t.long(at + 4), at: at + 8})
	}
}

// short and long read a number; past the end it is 0.
func (t tiff) short(at int) uint16 {
	if at+2 > len(t.b) {
		return 0
	}
	return t.order.Uint16(t.b[at:])
}

func (t tiff) long(at int) uint32 {
	if at+4 > len(t.b) {
		return 0
	}
	return t.order.Uint32(t.b[at:])
}

// text reads an ASCII value up to its NUL. Four bytes or fewer stand in the entry itself, more at an offset.
func (t tiff) text(e entry) string {
	at := int64(e.at)
	if e.kind != typeASCII {
		return ""
	}
	if e.count > 4 {
		at = int64(t.long(e.at))
	}
	end := at + int64(min(e.count, maxRawText))
	if end > int64(len(t.b)) {
		return ""
	}
	s, _, _ := strings.Cut(string(t.b[at:end]), "\x00")
	return s
}

// info turns facts into the checked form.
func (f facts) info(media Media) Info {
	info := Info{Media: media, Orientation: 1, HasLocation: f.latitude || f.longit,
		Make: printable(f.maker), Model: printable(f.model)}
	if f.orientation >= 1 && f.orientation <= 8 {
		info.Orientation = int(f.orientation)
	}
	taken, err := time.Parse(takenForm, strings.TrimSpace(f.taken))
	if err != nil || taken.Year() == 0 {
		return info // also "0000:00:00 00:00:00" and blanks, EXIF's own ways to say "not known"
	}
	info.TakenAt = taken
	if zoned, err := time.Parse(takenForm+"-07:00", strings.TrimSpace(f.taken)+strings.TrimSpace(f.offset)); err == nil {
		info.TakenAt, info.ZoneStated = zoned, true
	}
	return info
}

// printable keeps what can be printed in one line, without characters that turn the reading direction.
func printable(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			continue
		}
		if b.WriteRune(r); utf8.RuneCountInString(b.String()) == maxText {
			break
		}
	}
	return strings.TrimSpace(b.String())
}
