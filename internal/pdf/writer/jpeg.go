package writer

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// ErrPicture says that bytes cannot stand in the file as they are: they are no
// JPEG, of a kind that PDF readers do not show, or of colours that the archive
// does not take. A preview must be used.
var ErrPicture = errors.New("not a JPEG picture that an archival PDF can carry as it is")

// headLimit bounds how much of a picture is held while looking for its size:
// profiles and previews may stand before it, 64 KiB each.
const headLimit = 2 << 20

// frame is what the start of a JPEG says (ITU-T T.81, B.2.2).
type frame struct{ wide, high, parts int }

// Carries reads the head of a picture and says whether AddJPEG would take it:
// nil, or ErrPicture with why not, or what went wrong while reading.
func Carries(r io.Reader) error {
	_, _, err := readFrame(r)
	return err
}

// readFrame reads up to the frame header and gives back all bytes it took,
// so that they can be written unchanged.
func readFrame(r io.Reader) (frame, []byte, error) {
	var held bytes.Buffer
	in := bufio.NewReaderSize(io.TeeReader(io.LimitReader(r, headLimit), &held), 512)
	var found frame
	var two [2]byte
	if _, err := io.ReadFull(in, two[:]); err != nil || two != [2]byte{0xFF, 0xD8} {
		return frame{}, nil, pictureError("it does not start as a JPEG does", err)
	}
	for {
		marker, err := nextMarker(in)
		if err != nil {
			return frame{}, nil, pictureError("it ends before its size is told", err)
		}
		if marker == 0x01 || marker >= 0xD0 && marker <= 0xD8 { // stand alone
			continue
		}
		if marker == 0xD9 || marker == 0xDA {
			return frame{}, nil, pictureError("its size is not told before the picture starts", nil)
		}
		if _, err := io.ReadFull(in, two[:]); err != nil {
			return frame{}, nil, pictureError("it ends before its size is told", err)
		}
		size := int(binary.BigEndian.Uint16(two[:])) - 2
		if size < 0 {
			return frame{}, nil, pictureError("a segment states no length", nil)
		}
		body := make([]byte, size)
		if _, err := io.ReadFull(in, body); err != nil {
			return frame{}, nil, pictureError("it ends before its size is told", err)
		}
		if isFrame(marker) {
			err := found.read(marker, body)
			return found, held.Bytes(), err
		}
	}
}

func pictureError(what string, err error) error {
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return fmt.Errorf("read picture: %w", err)
	}
	return fmt.Errorf("%w: %s", ErrPicture, what)
}

func nextMarker(in *bufio.Reader) (byte, error) {
	b, err := in.ReadByte()
	if err != nil {
		return 0, err
	}
	for b != 0xFF { // stray bytes between segments are passed over
		if b, err = in.ReadByte(); err != nil {
			return 0, err
		}
	}
	for b == 0xFF { // as are fill bytes
		if b, err = in.ReadByte(); err != nil {
			return 0, err
		}
	}
	return b, nil
}

// isFrame tells a frame header's marker; C4, C8 and CC are others.
func isFrame(m byte) bool {
	return m >= 0xC0 && m <= 0xCF && m != 0xC4 && m != 0xC8 && m != 0xCC
}

func (f *frame) read(marker byte, body []byte) error {
	if len(body) < 6 {
		return pictureError("its frame header is cut off", nil)
	}
	bits := body[0]
	f.high, f.wide = int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
	f.parts = int(body[5])
	switch {
	case marker > 0xC2: // C0 baseline, C1 extended, C2 progressive
		return pictureError("it is lossless, hierarchical or arithmetic", nil)
	case bits != 8:
		return pictureError(fmt.Sprintf("it has %d bits a part, not 8", bits), nil)
	case f.parts == 4: // ISO 19005-3, 6.2.4.3
		return pictureError("its colours are inks, and the file's are those of a display", nil)
	case f.parts != 1 && f.parts != 3:
		return pictureError(fmt.Sprintf("it has %d colour parts", f.parts), nil)
	case f.wide == 0 || f.high == 0:
		return pictureError("it states no width or height", nil)
	}
	return nil
}
