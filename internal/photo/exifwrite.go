package photo

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// EXIF is what WithEXIF writes. A zero field is left out.
type EXIF struct {
	TakenAt     time.Time // its wall-clock time is written, to the second
	ZoneStated  bool      // also write TakenAt's offset from UTC
	Make, Model string
	Orientation int // 1 to 8
	GPS         *GPS
}

// GPS is a place in decimal degrees: north and east are positive.
type GPS struct {
	Latitude, Longitude float64
}

// WithEXIF gives the JPEG with an EXIF segment at its front, as a camera writes it: where the picture has one already, the
// new one is read in its stead. It is there for drawn pictures (the demonstration centre's, and tests'); evidence is never
// written to. Bytes that do not begin a JPEG, and fields too long for one segment, are an error.
func WithEXIF(jpeg []byte, e EXIF) ([]byte, error) {
	if !hasPrefix(jpeg, "\xff\xd8\xff") {
		return nil, errors.New("writing EXIF: not a JPEG")
	}
	block := append([]byte(exifMagic), e.encode()...)
	if len(block)+2 > math.MaxUint16 {
		return nil, fmt.Errorf("writing EXIF: %d bytes do not fit into one segment", len(block))
	}
	segment := binary.BigEndian.AppendUint16([]byte{0xff, markerAPP1}, uint16(len(block)+2))
	return slices.Concat(jpeg[:2], segment, block, jpeg[2:]), nil
}

// field is a directory entry with its value, already in big-endian bytes.
type field struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

func ascii(tag uint16, s string) field {
	s = strings.ReplaceAll(s, "\x00", "") + "\x00"
	return field{tag, typeASCII, uint32(len(s)), []byte(s)}
}

// encode writes a big-endian TIFF file of up to three directories: the picture's, the exposure's, the place's.
func (e EXIF) encode() []byte {
	var main, exposure, place []field // each in ascending order of tags, as TIFF demands
	if e.Make != "" {
		main = append(main, ascii(tagMake, e.Make))
	}
	if e.Model != "" {
		main = append(main, ascii(tagModel, e.Model))
	}
	if e.Orientation != 0 {
		main = append(main, field{tagOrientation, typeShort, 1, binary.BigEndian.AppendUint16(nil, uint16(e.Orientation))})
	}
	if !e.TakenAt.IsZero() {
		exposure = append(exposure, ascii(tagTakenAt, e.TakenAt.Format(takenForm)))
		if e.ZoneStated {
			exposure = append(exposure, ascii(tagTakenAtOffset, e.TakenAt.Format("-07:00")))
		}
	}
	if e.GPS != nil {
		place = append(place,
			ascii(tagGPSLatitudeRef, side(e.GPS.Latitude, "N", "S")), degrees(tagGPSLatitude, e.GPS.Latitude),
			ascii(tagGPSLongRef, side(e.GPS.Longitude, "E", "W")), degrees(tagGPSLongitude, e.GPS.Longitude))
	}
	// The pointers count towards the main directory's length before their targets are known.
	pointers := 0
	for _, fields := range [][]field{exposure, place} {
		if len(fields) > 0 {
			pointers++
		}
	}
	const start = 8
	at := uint32(start + directorySize(main) + pointers*entrySize)
	if len(exposure) > 0 {
		main = append(main, pointer(tagEXIFIFD, at))
		at += uint32(directorySize(exposure))
	}
	if len(place) > 0 {
		main = append(main, pointer(tagGPSIFD, at))
	}
	b := append([]byte("MM\x00*"), 0, 0, 0, start)
	for _, fields := range [][]field{main, exposure, place} {
		if len(fields) > 0 || len(b) == start {
			b = appendDirectory(b, fields)
		}
	}
	return b
}

func pointer(tag uint16, at uint32) field {
	return field{tag, typeLong, 1, binary.BigEndian.AppendUint32(nil, at)}
}

func side(v float64, positive, negative string) string {
	if v < 0 {
		return negative
	}
	return positive
}

// degrees is an angle as three fractions: degrees, minutes, and hundredths of a second.
func degrees(tag uint16, v float64) field {
	hundredths := uint32(math.Round(math.Abs(v) * 360_000))
	var b []byte
	for _, n := range []uint32{hundredths / 360_000, 1, hundredths / 6_000 % 60, 1, hundredths % 6_000, 100} {
		b = binary.BigEndian.AppendUint32(b, n)
	}
	return field{tag, typeRational, 3, b}
}

// directorySize is how many bytes appendDirectory appends: a count, the entries, no next directory, the long values.
func directorySize(fields []field) int {
	n := 2 + entrySize*len(fields) + 4
	for _, f := range fields {
		if len(f.value) > 4 {
			n += len(f.value) + len(f.value)%2
		}
	}
	return n
}

func appendDirectory(b []byte, fields []field) []byte {
	values := uint32(len(b) + 2 + entrySize*len(fields) + 4)
	var long []byte
	b = binary.BigEndian.AppendUint16(b, uint16(len(fields)))
	for _, f := range fields {
		b = binary.BigEndian.AppendUint16(b, f.tag)
		b = binary.BigEndian.AppendUint16(b, f.kind)
		b = binary.BigEndian.AppendUint32(b, f.count)
		if len(f.value) <= 4 {
			b = append(b, append(slices.Clone(f.value), 0, 0, 0, 0)[:4]...)
			continue
		}
		b = binary.BigEndian.AppendUint32(b, values+uint32(len(long)))
		if long = append(long, f.value...); len(long)%2 == 1 {
			long = append(long, 0) // values begin at even offsets
		}
	}
	b = append(b, 0, 0, 0, 0)
	return append(b, long...)
}
