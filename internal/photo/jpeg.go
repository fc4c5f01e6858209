package photo

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
)

// JPEG marker codes (ISO/IEC 10918-1, table B.1).
const (
	markerSOF0 = 0xc0 // baseline; up to SOF15 but for DHT, JPG and DAC, the frame headers
	markerSOF2 = 0xc2 // progressive
	markerDHT  = 0xc4
	markerJPG  = 0xc8
	markerDAC  = 0xcc
	markerRST0 = 0xd0
	markerRST7 = 0xd7
	markerSOI  = 0xd8
	markerEOI  = 0xd9
	markerSOS  = 0xda
	markerAPP1 = 0xe1
	markerTEM  = 0x01
)

// maxScans bounds the work of decoding: a progressive picture needs about ten scans, and each costs a pass over it.
const maxScans = 100

const exifMagic = "Exif\x00\x00"

// jpegWalk steps through a JPEG's segments.
type jpegWalk struct {
	r     *bufio.Reader
	h     header
	frame bool
	scans int
}

// walkJPEG reads a JPEG from its start to its end-of-image marker. What stops before that is errCut.
func walkJPEG(r io.Reader) (header, error) {
	w := jpegWalk{r: bufio.NewReaderSize(r, 16<<10)}
	if _, err := w.r.Discard(2); err != nil { // SOI, seen by Sniff
		return header{}, err
	}
	for {
		marker, err := w.next()
		if err != nil {
			return header{}, err
		}
		if marker == markerEOI {
			break
		}
		if err := w.segment(marker); err != nil {
			return header{}, err
		}
	}
	if !w.frame || w.scans == 0 {
		return header{}, errCut
	}
	return w.h, nil
}

// next finds the next marker, past fill bytes, compressed data (in which 0xff is followed by 0 or a restart marker) and,
// as decoders do, stray bytes between segments.
func (w *jpegWalk) next() (byte, error) {
	for {
		if _, err := w.r.ReadSlice(0xff); errors.Is(err, bufio.ErrBufferFull) {
			continue
		} else if err != nil {
			return 0, err
		}
		b := byte(0xff)
		for b == 0xff {
			var err error
			if b, err = w.r.ReadByte(); err != nil {
				return 0, err
			}
		}
		if b != 0 && b != markerTEM && (b < markerRST0 || b > markerRST7) {
			return b, nil
		}
	}
}

// segment reads or steps over one marker segment. Compressed data after a scan's header is left to next.
func (w *jpegWalk) segment(marker byte) error {
	if marker == markerSOI {
		return errDamaged // a second picture begins inside the first
	}
	var length [2]byte
	if _, err := io.ReadFull(w.r, length[:]); err != nil {
		return err
	}
	n := int(binary.BigEndian.Uint16(length[:])) - 2
	if n < 0 {
		return errDamaged
	}
	switch {
	case marker == markerSOS:
		if w.scans++; w.scans > maxScans {
			return refuse("This picture is built up in too many layers to be shown. Save it as an ordinary JPEG and send that.")
		}
	case marker == markerAPP1 && w.h.exif == nil:
		return w.app1(n)
	case marker >= markerSOF0 && marker <= 0xcf && marker != markerDHT && marker != markerJPG && marker != markerDAC:
		return w.frameHeader(marker, n)
	}
	_, err := w.r.Discard(n)
	return err
}

// app1 keeps the first EXIF block; other users of this segment (XMP) are stepped over.
func (w *jpegWalk) app1(n int) error {
	b := make([]byte, n)
	if _, err := io.ReadFull(w.r, b); err != nil {
		return err
	}
	if hasPrefix(b, exifMagic) {
		w.h.exif = b[len(exifMagic):]
	}
	return nil
}

// frameHeader reads the picture's size (ISO/IEC 10918-1, B.2.2) and refuses the kinds that few programs can show.
func (w *jpegWalk) frameHeader(marker byte, n int) error {
	if w.frame || n < 6 {
		return errDamaged
	}
	b := make([]byte, n)
	if _, err := io.ReadFull(w.r, b); err != nil {
		return err
	}
	if marker > markerSOF2 || b[0] != 8 {
		return refuse("This is a rare kind of JPEG that few programs can show. Save it as an ordinary JPEG and send that.")
	}
	w.frame = true
	w.h.height = int(binary.BigEndian.Uint16(b[1:]))
	w.h.width = int(binary.BigEndian.Uint16(b[3:]))
	samples := sampleCount(b[6:], int64(w.h.width)*int64(w.h.height))
	w.h.decoded = samples
	if marker == markerSOF2 {
		w.h.decoded += 4 * samples // the decoder keeps every coefficient, of four bytes, until the last scan
	}
	return nil
}

// sampleCount is the number of samples in all components, each of which may be sampled more coarsely than the finest.
func sampleCount(components []byte, pixels int64) int64 {
	var most, sum int64
	for i := 0; i+3 <= len(components); i += 3 {
		area := int64(components[i+1]>>4) * int64(components[i+1]&15)
		most, sum = max(most, area), sum+area
	}
	if most == 0 {
		return pixels
	}
	return pixels * sum / most
}
