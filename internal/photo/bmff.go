package photo

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// What is read of a file of boxes (ISO/IEC 14496-12). A phone's description of a picture has some 4 KB in some 60 boxes.
const (
	maxMeta  = 1 << 20
	maxBoxes = 1024 // looked at within one box, or in the file
)

// box is one box within another that is in memory; its body is what follows the head. Every length in it is a claim.
type box struct {
	kind string
	body []byte
}

// boxes gives the boxes that stand one after another in b, up to the first that does not fit.
func boxes(b []byte) []box {
	var all []box
	for len(all) < maxBoxes {
		head, size, ok := boxHead(b)
		switch {
		case !ok:
			return all
		case size == 0:
			size = int64(len(b))
		}
		if size < head || size > int64(len(b)) {
			return all
		}
		all = append(all, box{string(b[4:8]), b[head:size]})
		b = b[size:]
	}
	return all
}

// boxHead reads the length of a box's head and of the whole box, 0 where it goes on to the end.
func boxHead(b []byte) (head, size int64, ok bool) {
	if len(b) < 8 {
		return 0, 0, false
	}
	head, size = 8, int64(binary.BigEndian.Uint32(b))
	if size == 1 {
		if len(b) < 16 {
			return 0, 0, false
		}
		head, size = 16, int64(binary.BigEndian.Uint64(b[8:])&(1<<63-1))
	}
	return head, size, true
}

// readMeta reads the body of the file's box "meta", which describes its pictures; nothing where there is none that can be
// read. An error is one of r itself.
func readMeta(r io.ReadSeeker, end int64) ([]byte, error) {
	var start [16]byte
	at := int64(0)
	for range maxBoxes {
		n, err := readAt(r, at, start[:])
		if err != nil {
			return nil, err
		}
		head, size, ok := boxHead(start[:n])
		if !ok {
			return nil, nil
		}
		if size == 0 {
			size = end - at
		}
		if size < head || size > end-at {
			return nil, nil
		}
		if string(start[4:8]) == "meta" {
			body := make([]byte, min(size-head, maxMeta))
			n, err := readAt(r, at+head, body)
			return body[:n], err
		}
		at += size
	}
	return nil, nil
}

// readAt reads what there is from an offset on, up to the length of b.
func readAt(r io.ReadSeeker, at int64, b []byte) (int, error) {
	if _, err := r.Seek(at, io.SeekStart); err != nil {
		return 0, fmt.Errorf("reading a picture: %w", err)
	}
	n, err := io.ReadFull(r, b)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return 0, fmt.Errorf("reading a picture: %w", err)
	}
	return n, nil
}

// fields reads numbers one after another from a box's body. Past the end they are 0, and short says so.
type fields struct {
	b     []byte
	short bool
}

// uint reads a big-endian number of n bytes, 0 to 8.
func (f *fields) uint(n int) uint64 {
	var v uint64
	for _, c := range f.take(n) {
		v = v<<8 | uint64(c)
	}
	return v
}

// take reads n bytes; nothing where there are fewer.
func (f *fields) take(n int) []byte {
	if f.short || n > len(f.b) {
		f.short = true
		return nil
	}
	b := f.b[:n]
	f.b = f.b[n:]
	return b
}

// version reads the start of what the standard calls a full box: its version and its flags.
func (f *fields) version() (version, flags int) {
	return int(f.uint(1)), int(f.uint(3))
}
