package photo

import (
	"bytes"
	"encoding/binary"
	"slices"
	"strings"

	"witnessmark/internal/fault"
)

// Media is a kind of file that is taken as evidence, as its media type.
type Media string

// The kinds that are taken. A PDF is shown as a file. A HEIC is drawn by a program of the system's, and Redrawn checks what that
// has made; without one it is shown as a file too.
const (
	JPEG Media = "image/jpeg"
	PNG  Media = "image/png"
	HEIC Media = "image/heic"
	PDF  Media = "application/pdf"
)

// SniffLen is how many bytes from the start of a file Sniff looks at.
const SniffLen = 512

const pngMagic = "\x89PNG\r\n\x1a\n"

// Sniff tells from the first SniffLen bytes of a file (fewer where the file is shorter) what it is, whatever its name or
// its sender say. A file of any other kind is a fault of kind Invalid on the field "file" that says how to send it instead.
func Sniff(head []byte) (Media, error) {
	head = head[:min(len(head), SniffLen)]
	switch {
	case len(head) == 0:
		return "", refuse("This file is empty: 0 bytes arrived. Take or choose the picture again.")
	case hasPrefix(head, "\xff\xd8\xff"):
		return JPEG, nil
	case hasPrefix(head, pngMagic):
		return PNG, nil
	case hasPrefix(head, "%PDF-"):
		return PDF, nil
	case len(head) >= 12 && string(head[4:8]) == "ftyp":
		return sniffBrand(head)
	}
	return "", sniffOther(head)
}

// other lists kinds that people do send, with what to do about each.
var other = []struct{ magic, message string }{
	{"GIF8", "This is a GIF, which keeps too few colours for evidence. Take a photo with the camera, or save it as JPEG."},
	{"BM", "This is a BMP picture. Save it as JPEG or PNG and send that."},
	{"II*\x00", "This is a raw or TIFF picture. Set the camera to JPEG, or save it as JPEG, and send that."},
	{"MM\x00*", "This is a raw or TIFF picture. Set the camera to JPEG, or save it as JPEG, and send that."},
	{"\xff\x0a", "This is a JPEG XL picture. Set the camera to JPEG, or save it as JPEG, and send that."},
	{"\x00\x00\x00\x0cJXL ", "This is a JPEG XL picture. Set the camera to JPEG, or save it as JPEG, and send that."},
	{"PK\x03\x04", "This is a zip file or an office document. Take pictures out of a zip and send them one by one; save a document as PDF."},
	{"\xd0\xcf\x11\xe0", "This is an office document. Save it as PDF and send that."},
	{"{\\rtf", "This is a text document. Save it as PDF and send that."},
	{"\x1aE\xdf\xa3", "This is a film. Send single photos of what must be seen."},
}

func sniffOther(head []byte) error {
	for _, o := range other {
		if hasPrefix(head, o.magic) {
			return refuse("%s", o.message)
		}
	}
	text := strings.ToLower(string(bytes.TrimLeft(head, "\xef\xbb\xbf \t\r\n")))
	switch {
	case hasPrefix(head, "RIFF") && len(head) >= 12 && string(head[8:12]) == "WEBP":
		return refuse("This is a WebP picture. Save it as JPEG or PNG and send that.")
	case strings.HasPrefix(text, "<"):
		return refuse("This is a drawing or a web page (SVG, XML or HTML), not a photo. Send a screenshot or save it as PDF.")
	}
	return refuse("This file is not a photo or a PDF. Send a JPEG or PNG picture, or a PDF document.")
}

// sniffBrand reads the file-type box of ISO/IEC 14496-12: the brands say which of the many kinds built on it this is.
func sniffBrand(head []byte) (Media, error) {
	end := min(int(min(binary.BigEndian.Uint32(head), SniffLen)), len(head))
	brands := []string{string(head[8:12])} // the major brand; then, after a version, the compatible ones
	for at := 16; at+4 <= end; at += 4 {
		brands = append(brands, string(head[at:at+4]))
	}
	has := func(names ...string) bool {
		return slices.ContainsFunc(brands, func(b string) bool { return slices.Contains(names, b) })
	}
	switch {
	case has("avif", "avis"):
		return "", refuse("This is an AVIF picture. Set the camera to JPEG, or save it as JPEG, and send that.")
	case brands[0] == "crx ":
		return "", refuse("This is a raw picture. Set the camera to JPEG and send that.")
	case has("heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1"):
		return HEIC, nil
	}
	return "", refuse("This is a film, or the moving part of a live photo. Send single photos of what must be seen.")
}

func hasPrefix(b []byte, prefix string) bool {
	return len(b) >= len(prefix) && string(b[:len(prefix)]) == prefix
}

func refuse(format string, args ...any) error {
	return fault.Invalid("file", format, args...)
}
