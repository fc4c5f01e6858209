package pdfread

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// ErrEncrypted is what Open returns, wrapped, for a file that says it is
// encrypted.
var ErrEncrypted = errors.New("the file is encrypted; only files that anybody can open are read here")

// File is a PDF file that has been read once as a whole. It serves one
// goroutine, and the source must stay open and unchanged meanwhile.
type File struct {
	r       io.ReaderAt
	size    int64
	version string
	header  int64
	tables  []Table
	trailer Dict
	places  map[int]place
	entries int     // of all tables together
	starts  []int64 // where plain objects begin, sorted
	packed  map[int]Value
	cache   map[int]Value
	cached  int // bytes of memory
	odd     map[int]bool
	err     error
	buffer  *bufio.Reader // for one object after another
}

// Open reads a file of size bytes: its header, its tables and every object in
// them. The error is an *Error, ErrEncrypted (wrapped) or what r said.
func Open(r io.ReaderAt, size int64) (*File, error) {
	f := &File{r: r, size: size, places: map[int]place{}, packed: map[int]Value{}, cache: map[int]Value{}, odd: map[int]bool{}, buffer: bufio.NewReaderSize(nil, window)}
	if err := f.readHeader(); err != nil {
		return nil, err
	}
	start, err := f.findTable()
	if err != nil {
		return nil, err
	}
	if err := f.readTables(start); err != nil {
		return nil, err
	}
	if err := f.arrange(); err != nil {
		return nil, err
	}
	if err := f.readAll(); err != nil {
		return nil, err
	}
	if f.Dict(f.trailer["Root"]) == nil {
		return nil, &Error{Offset: start, What: "the trailer's /Root leads to no catalogue"}
	}
	return f, f.err
}

// Size is the file's length in bytes.
func (f *File) Size() int64 { return f.size }

// Version is what the header says, such as "1.7".
func (f *File) Version() string { return f.version }

// HeaderAt is the byte where the header begins: 0 in a good file.
func (f *File) HeaderAt() int64 { return f.header }

// Tables are the cross-reference tables, newest first.
func (f *File) Tables() []Table { return slices.Clone(f.tables) }

// Trailer is the newest trailer's dictionary.
func (f *File) Trailer() Dict { return f.trailer }

// Catalog is the file's root.
func (f *File) Catalog() Dict { return f.Dict(f.trailer["Root"]) }

// Err is the first thing that went wrong after Open, or nil: the source failed
// or changed. A caller asks once, at the end.
func (f *File) Err() error { return f.err }

// Raw reads n bytes of the file from offset at, and less at its end.
func (f *File) Raw(at, n int64) *io.SectionReader {
	at = max(0, min(at, f.size))
	return io.NewSectionReader(f.r, at, max(0, min(n, f.size-at)))
}

// Objects are the numbers of the objects in use, ascending.
func (f *File) Objects() []int {
	var numbers []int
	for n, p := range f.places {
		if !p.free {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	return numbers
}

// Place is where object number begins in the file, and whether it stands there
// by itself rather than in an object stream.
func (f *File) Place(number int) (at int64, plain bool) {
	p, ok := f.places[number]
	return p.offset, ok && !p.free && p.pack == 0
}

// OddDigits says whether a hexadecimal string of the object has an odd number
// of digits, which ISO 32000-1 allows and its archival profiles do not.
func (f *File) OddDigits(number int) bool { return f.odd[number] }

// Object is the object of that number; Null when there is none.
func (f *File) Object(number int) Value {
	p, ok := f.places[number]
	if !ok || p.free {
		return Null{}
	}
	if p.pack != 0 {
		return f.packed[number]
	}
	if v, ok := f.cache[number]; ok {
		return v
	}
	v, cost, err := f.readObject(number, p.offset)
	if err != nil {
		f.keep(err)
		return Null{}
	}
	if f.cached += cost; f.cached > maxCached {
		clear(f.cache)
		f.cached = cost
	}
	f.cache[number] = v
	return v
}

func (f *File) keep(err error) {
	if f.err == nil {
		f.err = err
	}
}

// Resolve follows references until there is something else. It never returns
// nil or a Ref: what is absent is Null.
func (f *File) Resolve(v Value) Value {
	for range maxHops {
		ref, ok := v.(Ref)
		if !ok {
			break
		}
		if p := f.places[ref.Number]; int(p.generation) != ref.Generation {
			return Null{}
		}
		v = f.Object(ref.Number)
	}
	if _, still := v.(Ref); still || v == nil {
		return Null{}
	}
	return v
}

// Dict is v as a dictionary, a stream's included; nil when it is neither.
func (f *File) Dict(v Value) Dict {
	switch v := f.Resolve(v).(type) {
	case Dict:
		return v
	case *Stream:
		return v.Dict
	}
	return nil
}

// Array is v as an array; nil when it is none.
func (f *File) Array(v Value) Array {
	a, _ := f.Resolve(v).(Array)
	return a
}

// Stream is v as a stream; nil when it is none.
func (f *File) Stream(v Value) *Stream {
	s, _ := f.Resolve(v).(*Stream)
	return s
}

// Name is v as a name; empty when it is none.
func (f *File) Name(v Value) Name {
	n, _ := f.Resolve(v).(Name)
	return n
}

// Integer is v as an integer, and whether it is one.
func (f *File) Integer(v Value) (int64, bool) {
	i, ok := f.Resolve(v).(Integer)
	return int64(i), ok
}

// Text is a text string read as words; empty when v is no string.
func (f *File) Text(v Value) string {
	s, _ := f.Resolve(v).(String)
	return Text(s)
}

// Keys are a dictionary's keys in alphabetical order.
func (d Dict) Keys() []Name { return slices.Sorted(maps.Keys(d)) }

func (f *File) readHeader() error {
	head, err := f.bytes(0, 1024)
	if err != nil {
		return err
	}
	at := bytes.Index(head, []byte("%PDF-"))
	if at < 0 {
		return &Error{What: "this is no PDF file: it does not begin with %PDF-"}
	}
	f.header = int64(at)
	line := string(head[at+5:])
	f.version = strings.TrimSpace(line[:max(0, strings.IndexAny(line+"\n", "\r\n"))])
	return nil
}

// findTable gives the offset that the file's last lines name.
func (f *File) findTable() (int64, error) {
	from := max(0, f.size-1024)
	tail, err := f.bytes(from, 1024)
	if err != nil {
		return 0, err
	}
	end := bytes.LastIndex(tail, []byte("%%EOF"))
	if end < 0 {
		return 0, &Error{Offset: f.size, What: "the file ends without %%EOF: it has been cut short"}
	}
	at := bytes.LastIndex(tail[:end], []byte("startxref"))
	if at < 0 {
		return 0, &Error{Offset: from + int64(end), What: "no startxref stands before the last %%EOF"}
	}
	l := newLexer(bytes.NewReader(tail[at+len("startxref"):end]), from+int64(at), 0)
	v, err := l.next(0)
	if err != nil {
		return 0, err
	}
	start, ok := v.(Integer)
	if !ok || start <= 0 || int64(start) >= f.size {
		return 0, l.wrong("startxref leads out of the file")
	}
	return int64(start), nil
}

// bytes reads up to n bytes from offset at.
func (f *File) bytes(at, n int64) ([]byte, error) {
	b, err := io.ReadAll(f.Raw(at, n))
	if err != nil {
		return nil, fmt.Errorf("read the file at byte %d: %w", at, err)
	}
	return b, nil
}
