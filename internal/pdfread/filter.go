package pdfread

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
)

// mostFilters is how many filters one stream may be behind.
const mostFilters = 4

// Filters are the names of a stream's filters, in the order they are undone; no
// more are told than one too many.
func (f *File) Filters(s *Stream) []Name {
	switch v := f.Resolve(s.Dict["Filter"]).(type) {
	case Name:
		return []Name{v}
	case Array:
		names := make([]Name, min(len(v), mostFilters+1))
		for i := range names {
			names[i] = f.Name(v[i])
		}
		return names
	}
	return nil
}

// Reader gives a stream's bytes with FlateDecode undone, PNG predictors
// included, and fails after MaxDecoded of them. A last DCTDecode stays: the
// bytes are then a JPEG file, as it was put in. Any other filter is an error.
func (f *File) Reader(s *Stream) (io.Reader, error) {
	return f.reader(s, MaxDecoded)
}

// Data is what Reader gives, held in memory; an error when it is more than
// MaxHeld bytes.
func (f *File) Data(s *Stream) ([]byte, error) {
	return f.decode(s, MaxHeld)
}

func (f *File) decode(s *Stream, most int64) ([]byte, error) {
	r, err := f.reader(s, most)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

func (f *File) reader(s *Stream, most int64) (io.Reader, error) {
	wrong := func(format string, args ...any) error {
		return &Error{Object: s.Object, Offset: s.Offset, What: fmt.Sprintf(format, args...)}
	}
	if s.Dict["F"] != nil {
		return nil, wrong("the stream's bytes are in another file")
	}
	var r io.Reader = f.Raw(s.Offset, s.Length)
	filters := f.Filters(s)
	if len(filters) > mostFilters {
		return nil, wrong("more than %d filters over one stream", mostFilters)
	}
	for i, name := range filters {
		switch {
		case name == "FlateDecode":
			unpacked, err := zlib.NewReader(r)
			if err != nil {
				return nil, wrong("the stream does not unpack: %v", err)
			}
			if r, err = f.predicted(unpacked, f.parameters(s, i)); err != nil {
				return nil, wrong("%v", err)
			}
		case name == "DCTDecode" && i == len(filters)-1:
		default:
			return nil, wrong("the filter %s is not read here", name)
		}
	}
	return &bounded{r: r, left: most, wrong: wrong}, nil
}

// parameters are what /DecodeParms says of the i-th filter.
func (f *File) parameters(s *Stream, i int) Dict {
	v := f.Resolve(s.Dict["DecodeParms"])
	if list, ok := v.(Array); ok {
		if i >= len(list) {
			return nil
		}
		v = list[i]
	}
	return f.Dict(v)
}

// bounded stops with an error, rather than short, when there is more.
type bounded struct {
	r     io.Reader
	left  int64
	wrong func(string, ...any) error
}

func (b *bounded) Read(p []byte) (int, error) {
	if int64(len(p)) > b.left+1 {
		p = p[:b.left+1]
	}
	n, err := b.r.Read(p)
	if int64(n) > b.left {
		n, err = int(b.left), b.wrong("the stream unpacks to more than is taken here")
	}
	b.left -= int64(n)
	if err != nil && err != io.EOF {
		if _, told := err.(*Error); !told {
			err = b.wrong("the stream does not unpack: %v", err)
		}
	}
	return n, err
}

// predicted undoes a PNG predictor (ISO 32000-1, 7.4.4.4).
func (f *File) predicted(r io.Reader, params Dict) (io.Reader, error) {
	number := func(key Name, absent int64) int64 {
		if n, ok := f.Integer(params[key]); ok {
			return n
		}
		return absent
	}
	kind := number("Predictor", 1)
	if kind == 1 {
		return r, nil
	}
	colours, bits, columns := number("Colors", 1), number("BitsPerComponent", 8), number("Columns", 1)
	if kind < 10 || kind > 15 {
		return nil, fmt.Errorf("the predictor %d is not read here", kind)
	}
	if colours < 1 || colours > 32 || bits < 1 || bits > 16 || columns < 1 || columns > 1<<20 {
		return nil, fmt.Errorf("a predictor of %d colours of %d bits in %d columns is not read here", colours, bits, columns)
	}
	row := int((colours*bits*columns + 7) / 8)
	return &predictor{r: r, step: int(max(1, colours*bits/8)), row: make([]byte, row), above: make([]byte, row)}, nil
}

// predictor undoes the PNG filters row by row (ISO 15948, 9.2).
type predictor struct {
	r          io.Reader
	step       int // bytes of one pixel
	row, above []byte
	ready      bytes.Reader
}

func (p *predictor) Read(b []byte) (int, error) {
	if p.ready.Len() == 0 {
		if err := p.advance(); err != nil {
			return 0, err
		}
	}
	return p.ready.Read(b)
}

func (p *predictor) advance() error {
	var kind [1]byte
	if _, err := io.ReadFull(p.r, kind[:]); err != nil {
		return err
	}
	p.row, p.above = p.above, p.row
	if _, err := io.ReadFull(p.r, p.row); err != nil {
		return fmt.Errorf("ends inside a row: %w", err)
	}
	for i := range p.row {
		var left, corner byte
		if i >= p.step {
			left, corner = p.row[i-p.step], p.above[i-p.step]
		}
		switch kind[0] {
		case 0:
		case 1:
			p.row[i] += left
		case 2:
			p.row[i] += p.above[i]
		case 3:
			p.row[i] += byte((int(left) + int(p.above[i])) / 2)
		case 4:
			p.row[i] += paeth(left, p.above[i], corner)
		default:
			return fmt.Errorf("the row filter %d does not exist", kind[0])
		}
	}
	p.ready.Reset(p.row)
	return nil
}

// paeth picks of the three neighbours the one nearest to left + above - corner.
func paeth(left, above, corner byte) byte {
	guess := int(left) + int(above) - int(corner)
	away := func(b byte) int { return max(guess-int(b), int(b)-guess) }
	switch {
	case away(left) <= away(above) && away(left) <= away(corner):
		return left
	case away(above) <= away(corner):
		return above
	}
	return corner
}
