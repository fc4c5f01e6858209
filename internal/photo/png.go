package photo

import (
	"bufio"
	"encoding/binary"
	"hash/crc32"
	"io"
)

// maxPNGEXIF is the most that is read of a PNG's EXIF chunk, in bytes: what fits into a JPEG's.
const maxPNGEXIF = 64 << 10

// walkPNG reads a PNG's chunks from its start to IEND (W3C PNG, 5.3), holding each against its checksum. Text chunks are
// never unpacked.
func walkPNG(r io.Reader) (header, error) {
	br := bufio.NewReaderSize(r, 16<<10)
	if _, err := br.Discard(len(pngMagic)); err != nil {
		return header{}, err
	}
	var h header
	for first, data := true, false; ; first = false {
		name, body, err := readChunk(br)
		if err != nil {
			return header{}, err
		}
		switch {
		case first != (name == "IHDR"):
			return header{}, errDamaged
		case first:
			if err := h.readIHDR(body); err != nil {
				return header{}, err
			}
		case name == "eXIf" && h.exif == nil:
			h.exif = body
		case name == "IDAT":
			data = true
		case name == "IEND" && !data:
			return header{}, errCut
		case name == "IEND":
			return h, nil
		}
	}
}

// readChunk reads one chunk and checks it; it keeps the body of those that are looked into.
func readChunk(r io.Reader) (name string, body []byte, err error) {
	var head [8]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return "", nil, err
	}
	n, name := int64(binary.BigEndian.Uint32(head[:])), string(head[4:])
	if n > 1<<31-1 { // the standard's own limit
		return "", nil, errDamaged
	}
	sum := crc32.NewIEEE()
	sum.Write(head[4:])
	data := io.TeeReader(io.LimitReader(r, n), sum)
	if name == "IHDR" || name == "eXIf" {
		if body, err = io.ReadAll(io.LimitReader(data, maxPNGEXIF)); err != nil {
			return "", nil, err
		}
	}
	// Copying what is left, and not n at once, keeps a chunk that claims gigabytes from being believed.
	rest, err := io.Copy(io.Discard, data)
	if err != nil {
		return "", nil, err
	}
	if int64(len(body))+rest < n {
		return "", nil, errCut
	}
	var want [4]byte
	if _, err := io.ReadFull(r, want[:]); err != nil {
		return "", nil, err
	}
	if binary.BigEndian.Uint32(want[:]) != sum.Sum32() {
		return "", nil, errDamaged
	}
	return name, body, nil
}

func (h *header) readIHDR(b []byte) error {
	if len(b) != 13 {
		return errDamaged
	}
	// A side past 2³¹ is refused as too long by withinLimits, and int holds 2³² on the 64-bit machines this runs on.
	h.width, h.height = int(binary.BigEndian.Uint32(b)), int(binary.BigEndian.Uint32(b[4:]))
	perPixel := int64(4) // the decoder's RGBA; grey and palettes take less
	if b[8] == 16 {
		perPixel = 8
	}
	if h.width <= MaxSide && h.height <= MaxSide {
		h.decoded = int64(h.width) * int64(h.height) * perPixel
	}
	return nil
}
