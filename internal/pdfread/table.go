package pdfread

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// maxNumber is the largest object number (ISO 32000-1, annex C).
const maxNumber = 8_388_607

// Table is one cross-reference table of the file.
type Table struct {
	Offset  int64
	Stream  bool // an xref stream (ISO 32000-1, 7.5.8) rather than lines
	Trailer Dict
}

// place is where an object stands: at an offset, or as the index-th of an
// object stream.
type place struct {
	offset     int64
	pack       int32 // number of the object stream; 0 when the object is plain
	index      int32
	generation uint16
	free       bool
}

// readTables reads the newest table and those it builds on. The newest word on
// an object stands.
func (f *File) readTables(at int64) error {
	seen := map[int64]bool{}
	for {
		if seen[at] {
			return &Error{Offset: at, What: "the cross-reference tables lead in a circle"}
		}
		if seen[at] = true; len(seen) > maxTables {
			return &Error{Offset: at, What: fmt.Sprintf("more than %d cross-reference tables", maxTables)}
		}
		table, err := f.readTable(at)
		if err != nil {
			return err
		}
		if _, ok := table.Trailer["Encrypt"]; ok {
			return fmt.Errorf("byte %d: %w", at, ErrEncrypted)
		}
		if _, ok := table.Trailer["XRefStm"]; ok {
			return &Error{Offset: at, What: "the trailer names a second table (/XRefStm) that only some readers read"}
		}
		f.tables = append(f.tables, table)
		prev, ok := table.Trailer["Prev"]
		if !ok {
			f.trailer = f.tables[0].Trailer
			return nil
		}
		next, ok := prev.(Integer)
		if !ok || next <= 0 || int64(next) >= f.size {
			return &Error{Offset: at, What: "the trailer's /Prev leads out of the file"}
		}
		at = int64(next)
	}
}

func (f *File) readTable(at int64) (Table, error) {
	l := newLexer(f.Raw(at, f.size), at, 0)
	first, err := l.next(0)
	if err != nil {
		return Table{}, err
	}
	if first == keyword("xref") {
		trailer, err := f.readLines(l)
		return Table{Offset: at, Trailer: trailer}, err
	}
	number, ok := first.(Integer)
	if !ok || number <= 0 || number > maxNumber {
		return Table{}, &Error{Offset: at, What: "no cross-reference table stands where one should"}
	}
	v, _, err := f.readObject(int(number), at)
	if err != nil {
		return Table{}, err
	}
	s, ok := v.(*Stream)
	if !ok || s.Dict["Type"] != Name("XRef") {
		return Table{}, &Error{Object: int(number), Offset: at, What: "no cross-reference table stands where one should"}
	}
	return Table{Offset: at, Stream: true, Trailer: s.Dict}, f.readPackedTable(s)
}

// enter takes an entry unless a newer table has spoken.
func (f *File) enter(l *lexer, number int64, p place) error {
	if number < 0 || number > maxNumber {
		return l.wrong("the table has an object number %d", number)
	}
	if f.entries++; f.entries > maxObjects {
		return l.wrong("more than %d entries in the tables", maxObjects)
	}
	if _, ok := f.places[int(number)]; ok {
		return nil
	}
	f.places[int(number)] = p
	return nil
}

// readLines reads a table of 20-byte lines (ISO 32000-1, 7.5.4) and its
// trailer.
func (f *File) readLines(l *lexer) (Dict, error) {
	for {
		l.budget = maxValues
		v, err := l.next(0)
		if err != nil {
			return nil, err
		}
		if v == keyword("trailer") {
			break
		}
		first, ok := v.(Integer)
		if !ok {
			return nil, l.wrong("neither a section of the table nor its trailer")
		}
		if v, err = l.next(0); err != nil {
			return nil, err
		}
		count, ok := v.(Integer)
		if !ok || count < 0 || count > maxObjects {
			return nil, l.wrong("a section of the table has no right count")
		}
		l.skip()
		for i := range int64(count) {
			if err := f.readLine(l, int64(first)+i); err != nil {
				return nil, err
			}
		}
	}
	v, err := l.next(0)
	if err != nil {
		return nil, err
	}
	trailer, ok := v.(Dict)
	if !ok {
		return nil, l.wrong("the trailer is no dictionary")
	}
	return trailer, nil
}

func (f *File) readLine(l *lexer, number int64) error {
	var line [20]byte
	if _, err := io.ReadFull(l.r, line[:]); err != nil {
		l.keep(err)
		return l.wrong("ends inside the table")
	}
	l.at += 20
	offset, err1 := strconv.ParseUint(string(line[:10]), 10, 63)
	generation, err2 := strconv.ParseUint(string(line[11:16]), 10, 16)
	kind := line[17]
	if err := errors.Join(err1, err2); err != nil || line[10] != ' ' || line[16] != ' ' || kind != 'n' && kind != 'f' ||
		!isWhite(line[18]) || !isWhite(line[19]) {
		return l.wrong("%q is no line of a table", line[:])
	}
	return f.enter(l, number, place{offset: int64(offset), generation: uint16(generation), free: kind == 'f'})
}

// readPackedTable reads an xref stream (ISO 32000-1, 7.5.8).
func (f *File) readPackedTable(s *Stream) error {
	l := newLexer(bytes.NewReader(nil), s.Offset, s.Object)
	size, _ := s.Dict["Size"].(Integer)
	ranges, ok := s.Dict["Index"].(Array)
	if !ok {
		ranges = Array{Integer(0), size}
	}
	widths, _ := s.Dict["W"].(Array)
	var w [3]int
	for i := range w {
		n, ok := Integer(0), len(widths) == 3
		if ok {
			n, ok = widths[i].(Integer)
		}
		if !ok || n < 0 || n > 8 {
			return l.wrong("the table's /W is not three widths")
		}
		w[i] = int(n)
	}
	if w[0]+w[1]+w[2] == 0 {
		return l.wrong("the table's /W is nothing but 0")
	}
	r, err := f.Reader(s)
	if err != nil {
		return err
	}
	if len(ranges)%2 != 0 {
		return l.wrong("the table's /Index is not in pairs")
	}
	for i := 0; i < len(ranges); i += 2 {
		first, ok1 := ranges[i].(Integer)
		count, ok2 := ranges[i+1].(Integer)
		if !ok1 || !ok2 || first < 0 || first > maxNumber || count < 0 || count > maxObjects {
			return l.wrong("the table's /Index is wrong")
		}
		for n := range int64(count) {
			if err := f.readEntry(l, r, w, int64(first)+n); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *File) readEntry(l *lexer, r io.Reader, w [3]int, number int64) error {
	field := [3]uint64{1, 0, 0} // a kind of no width is kind 1
	for i, wide := range w {
		if wide == 0 {
			continue
		}
		var b [8]byte
		if _, err := io.ReadFull(r, b[8-wide:]); err != nil {
			return l.wrong("the table's stream ends early: %v", err)
		}
		field[i] = binary.BigEndian.Uint64(b[:])
	}
	switch field[0] {
	case 0:
		return f.enter(l, number, place{free: true})
	case 1:
		if field[1] >= uint64(f.size) || field[2] > 65535 {
			return l.wrong("the table puts object %d out of the file", number)
		}
		return f.enter(l, number, place{offset: int64(field[1]), generation: uint16(field[2])})
	case 2:
		if field[1] == 0 || field[1] > maxNumber || field[2] > maxValues {
			return l.wrong("the table puts object %d into no object stream", number)
		}
		return f.enter(l, number, place{pack: int32(field[1]), index: int32(field[2])})
	}
	return nil // kinds to come read as absent
}
