package photo

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// More JPEG marker codes (ISO/IEC 10918-1, table B.1).
const (
	markerAPP0  = 0xe0
	markerAPP2  = 0xe2
	markerAPP14 = 0xee
	markerAPP15 = 0xef
	markerCOM   = 0xfe
)

// Strip gives a JPEG without what the camera and its programs wrote beside the picture: the place, the time, the camera, small
// pictures of the whole, comments, and whatever follows the end. Of what may stand beside a picture only what its colours hang
// on is kept: JFIF's head, a colour profile (ICC.1, annex B.4) and Adobe's word on the colours. Every pixel stays as it was, and so
// does the picture's turn: its orientation goes with the rest, so it has to be known from Check.
//
// The result has been read as r is read, in bounded memory; the same bytes always give the same. What is no JPEG, or ends early, is
// an error.
func Strip(r io.Reader) io.Reader {
	return &stripped{in: bufio.NewReaderSize(r, 64<<10)}
}

type stripped struct {
	// in is filled only when it is empty, as far as that goes: reads of whole blocks into whole blocks cost a third of others.
	in      *bufio.Reader
	held    []byte // of a segment
	pending []byte // what of held has to go out
	began   bool
	scan    bool // compressed data comes next
	begun   bool // the 0xff of the next marker has been read
	err     error
}

// Read gives what is kept.
func (s *stripped) Read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	for {
		switch {
		case len(s.pending) > 0:
			n := copy(p, s.pending)
			s.pending = s.pending[n:]
			return n, nil
		case s.err != nil:
			return 0, s.err
		case s.scan:
			if n := s.compressed(p); n > 0 {
				return n, nil
			}
		default:
			s.segment()
		}
	}
}

// fail keeps why there is no more.
func (s *stripped) fail(err error) {
	if errors.Is(err, io.EOF) {
		err = errCut
	}
	s.err = fmt.Errorf("leaving out what stands beside a picture: %w", err)
}

// segment reads the next marker segment and holds it where it is kept.
func (s *stripped) segment() {
	marker, err := s.marker()
	if err != nil {
		s.fail(err)
		return
	}
	s.held = append(s.held[:0], 0xff, marker)
	switch marker {
	case markerSOI:
		s.pending = s.held
		return
	case markerEOI:
		s.pending, s.err = s.held, io.EOF
		return
	}
	var length [2]byte
	if _, err := io.ReadFull(s.in, length[:]); err != nil {
		s.fail(err)
		return
	}
	n := int(binary.BigEndian.Uint16(length[:])) - 2
	if n < 0 {
		s.fail(errDamaged)
		return
	}
	head, err := s.in.Peek(min(n, 16))
	if err == nil && !picture(marker, head) {
		_, err = s.in.Discard(n)
		s.held = s.held[:0]
	} else if err == nil {
		s.held = append(s.held, length[:]...)
		s.held = append(s.held, make([]byte, n)...)
		_, err = io.ReadFull(s.in, s.held[4:])
		s.pending, s.scan = s.held, marker == markerSOS
	}
	if err != nil {
		s.pending = nil
		s.fail(err)
	}
}

// picture says whether a segment belongs to the picture itself.
func picture(marker byte, head []byte) bool {
	switch {
	case marker == markerAPP0:
		return hasPrefix(head, "JFIF\x00")
	case marker == markerAPP2:
		return hasPrefix(head, "ICC_PROFILE\x00")
	case marker == markerAPP14:
		return hasPrefix(head, "Adobe")
	case marker >= markerAPP0 && marker <= markerAPP15, marker == markerCOM:
		return false
	}
	return true
}

// marker finds the next marker. What stands between segments without belonging to one is left out, as decoders do.
func (s *stripped) marker() (byte, error) {
	if !s.began {
		s.began = true
		var two [2]byte
		if _, err := io.ReadFull(s.in, two[:]); err != nil || two != [2]byte{0xff, markerSOI} {
			return 0, errors.Join(errDamaged, err)
		}
		return markerSOI, nil
	}
	for {
		b, err := byte(0xff), error(nil)
		if !s.begun {
			b, err = s.in.ReadByte()
		}
		s.begun = false
		for err == nil && b != 0xff {
			b, err = s.in.ReadByte()
		}
		for err == nil && b == 0xff {
			b, err = s.in.ReadByte()
		}
		if err != nil {
			return 0, err
		}
		if b == markerSOI {
			return 0, errDamaged
		}
		if b != 0 && b != markerTEM && (b < markerRST0 || b > markerRST7) {
			return b, nil
		}
	}
}

// compressed passes on a scan's data, in which 0xff is followed by 0 or a restart marker, up to the next marker.
func (s *stripped) compressed(p []byte) int {
	if _, err := s.in.Peek(1); err != nil {
		s.fail(err)
		return 0
	}
	held, _ := s.in.Peek(s.in.Buffered()) // never more than there is
	if len(held) == 1 && held[0] == 0xff {
		return s.alone(p)
	}
	n := markerIn(held)
	switch {
	case n >= 0:
		s.scan = false
	case held[len(held)-1] == 0xff: // what it begins is still to come
		n = len(held) - 1
	default:
		n = len(held)
	}
	if n > len(p) {
		n, s.scan = len(p), true
	}
	copy(p, held[:n])
	_, _ = s.in.Discard(n) // of what is held
	return n
}

// alone reads the last byte that is held, a 0xff, and looks what it begins.
func (s *stripped) alone(p []byte) int {
	_, err := s.in.Discard(1)
	next, ahead := s.in.Peek(1)
	if err := cmp.Or(err, ahead); err != nil {
		s.fail(err)
		return 0
	}
	if ends(next[0]) {
		s.scan, s.begun = false, true
		return 0
	}
	p[0] = 0xff
	return 1
}

// markerIn is where compressed data ends, -1 where it goes on.
func markerIn(p []byte) int {
	for at := 0; at < len(p)-1; at++ {
		i := bytes.IndexByte(p[at:len(p)-1], 0xff)
		if i < 0 {
			break
		}
		if at += i; ends(p[at+1]) {
			return at
		}
	}
	return -1
}

// ends says whether the byte behind a 0xff makes a marker of it that compressed data ends at.
func ends(b byte) bool { return b != 0 && b != 0xff && (b < markerRST0 || b > markerRST7) }
