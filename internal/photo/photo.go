// Package photo tells what a file sent as evidence is and what a picture says about itself: its size, which way up it is,
// when it was taken and by what. It makes the small upright pictures that pages show, and the hashes by which two
// pictures that look alike find each other.
//
// The rules of its world:
//
//   - Bytes decide, never a name or what the sender called them.
//   - Nothing is decoded before its header has been held against the limits below, and checking decodes no pixel at all.
//   - What a picture says about itself (time, camera) is a statement, not a fact, and a picture that says nothing, or
//     something broken, is as good as any other.
//   - A file that stops half-way is refused while its sender can still send it again. Bytes after a picture's end are
//     taken: phones put a depth map, a second picture or a short film there, and the evidence stays as it was received.
//     They do no harm, as originals are only ever served with the media type found here and never sniffed again, and
//     previews are drawn afresh without them.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strconv"
	"time"

	"witnessmark/internal/fault"
)

// The limits on a picture's header.
const (
	// MaxPixels leaves room for cameras sold as 50 megapixels, which make up to 8,192 × 6,144.
	MaxPixels = 50 << 20
	// MaxSide allows long panoramas.
	MaxSide = 30_000
	// maxDecoded bounds what decoding a picture may take, in bytes: a progressive JPEG and a 16-bit PNG take several times
	// what a camera's JPEG of the same size does. A 50-megapixel 16-bit PNG just fits.
	maxDecoded = 400 << 20
)

// Info is what a file sent as evidence says about itself. For PDF only Media is filled.
type Info struct {
	Media Media
	// Width and Height are in pixels, of the picture held upright: orientations 5 to 8 have swapped them. Those of a HEIC that
	// cannot be drawn are 0.
	Width, Height int
	// Orientation is EXIF's, 1 to 8; 1 where none or an impossible one is given, and of every HEIC, which its decoder turns.
	Orientation int
	// TakenAt is EXIF's DateTimeOriginal; the zero time where none or an impossible one is given. Where ZoneStated is
	// false the camera did not say which zone its clock was in, and the wall-clock time stands here as if it were UTC.
	TakenAt    time.Time
	ZoneStated bool
	// Make and Model name the camera, in printable characters, at most 64 each.
	Make, Model string
	// HasLocation says that the picture carries where it was taken. The place itself is not read.
	HasLocation bool
}

// Check reads a whole file of size bytes without decoding its pixels. Whatever is wrong with it (an unknown kind, no
// bytes, a size past the limits, a picture that stops half-way, a kind of JPEG that cannot be shown) is a fault of kind
// Invalid on the field "file" that says what to do. An error of r itself is wrapped as internal.
func Check(r io.ReadSeeker, size int64) (Info, error) {
	if size == 0 {
		_, err := Sniff(nil)
		return Info{}, err
	}
	head := make([]byte, min(size, SniffLen))
	if err := rewind(r); err != nil {
		return Info{}, err
	}
	n, err := io.ReadFull(r, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return Info{}, fmt.Errorf("reading a picture: %w", err)
	}
	media, err := Sniff(head[:n])
	if err != nil {
		return Info{}, err
	}
	switch media {
	case JPEG, PNG:
		return checkPicture(r, media)
	case PDF:
		return Info{Media: PDF}, checkPDF(r, size)
	}
	return checkHEIC(r, size)
}

// header is what walking through a picture's file finds.
type header struct {
	width, height int   // as stored
	decoded       int64 // bytes that decoding takes, at most
	exif          []byte
}

func checkPicture(r io.ReadSeeker, media Media) (Info, error) {
	if err := rewind(r); err != nil {
		return Info{}, err
	}
	walk := walkJPEG
	if media == PNG {
		walk = walkPNG
	}
	h, err := walk(r)
	if err != nil {
		return Info{}, walkFault(err)
	}
	if err := h.withinLimits(); err != nil {
		return Info{}, err
	}
	// The walk has seen the frame; this asks the decoder itself whether it would take it.
	config, err := decodeConfig(r, media)
	if err != nil {
		return Info{}, err
	}
	if config.Width != h.width || config.Height != h.height {
		return Info{}, refuse("This picture gives two different sizes for itself. Take or save it again and send that.")
	}
	info := readEXIF(h.exif).info(media)
	info.Width, info.Height = h.width, h.height
	if info.Orientation >= 5 {
		info.Width, info.Height = h.height, h.width
	}
	return info, nil
}

func (h header) withinLimits() error {
	if h.width <= 0 || h.height <= 0 {
		return refuse("This picture says it is %d × %d pixels, so there is nothing to see. Take it again.", h.width, h.height)
	}
	if h.width > MaxSide || h.height > MaxSide || int64(h.width)*int64(h.height) > MaxPixels || h.decoded > maxDecoded {
		return refuse("This picture says it is %s × %s pixels. Pictures of up to 50 megapixels, and up to %s pixels along "+
			"a side, are taken. Send it in the camera's usual size, as an ordinary JPEG.",
			grouped(h.width), grouped(h.height), grouped(MaxSide))
	}
	return nil
}

// grouped writes a count with commas between its thousands.
func grouped(n int) string {
	if n < 1000 {
		return strconv.Itoa(n)
	}
	return fmt.Sprintf("%s,%03d", grouped(n/1000), n%1000)
}

// decodeConfig reads the header with the decoder that will later read the pixels.
func decodeConfig(r io.ReadSeeker, media Media) (image.Config, error) {
	if err := rewind(r); err != nil {
		return image.Config{}, err
	}
	decode := jpeg.DecodeConfig
	if media == PNG {
		decode = png.DecodeConfig
	}
	config, err := decode(r)
	if err != nil {
		return image.Config{}, refuse("This picture cannot be read. Take it again, or save it as an ordinary JPEG and send that.")
	}
	return config, nil
}

// Reasons for which a walk through a picture's file ends early.
var (
	errCut     = errors.New("the file stops half-way")
	errDamaged = errors.New("the file is damaged")
)

func walkFault(err error) error {
	switch {
	case errors.Is(err, errCut), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return refuse("This picture stops half-way: only part of it arrived. Send it again.")
	case errors.Is(err, errDamaged):
		return refuse("This picture was damaged on the way. Send it again.")
	case fault.KindOf(err) == fault.KindInvalid:
		return err
	}
	return fmt.Errorf("reading a picture: %w", err)
}

// checkPDF looks for the end-of-file marker that every PDF carries within its last kilobyte (ISO 32000-1, annex H.3,
// implementation note 18); four of them allow for what mailers and scanners append.
func checkPDF(r io.ReadSeeker, size int64) error {
	tail := min(size, 4096)
	if _, err := r.Seek(size-tail, io.SeekStart); err != nil {
		return fmt.Errorf("reading a PDF: %w", err)
	}
	b, err := io.ReadAll(io.LimitReader(r, tail))
	if err != nil {
		return fmt.Errorf("reading a PDF: %w", err)
	}
	if !bytes.Contains(b, []byte("%%EOF")) {
		return refuse("This PDF stops half-way: only part of it arrived. Send it again.")
	}
	return nil
}

func rewind(r io.Seeker) error {
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("reading a picture from its start: %w", err)
	}
	return nil
}
