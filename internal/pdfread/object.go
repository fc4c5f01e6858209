package pdfread

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
)

// arrange puts plain objects in the order they stand in, so that each has its
// own bytes and none reaches into another's.
func (f *File) arrange() error {
	at := map[int64]int{}
	for n, p := range f.places {
		if p.free || p.pack != 0 {
			continue
		}
		if n == 0 || p.offset <= 0 || p.offset >= f.size {
			return &Error{Object: n, Offset: p.offset, What: "the table puts this object out of the file"}
		}
		if other, taken := at[p.offset]; taken {
			return &Error{Object: max(n, other), Offset: p.offset, What: fmt.Sprintf("stands at the same byte as object %d", min(n, other))}
		}
		at[p.offset] = n
		f.starts = append(f.starts, p.offset)
	}
	slices.Sort(f.starts)
	return nil
}

// limit is where the object that begins at offset at must have ended.
func (f *File) limit(at int64) int64 {
	i, _ := slices.BinarySearch(f.starts, at+1)
	if i < len(f.starts) {
		return f.starts[i]
	}
	return f.size
}

// readAll reads every object once: object streams into memory, plain objects
// to see that they can be read. No byte is read for two objects, so that this
// takes time in proportion to the file.
func (f *File) readAll() error {
	packs := map[int][]int{}
	for _, n := range f.Objects() {
		p := f.places[n]
		if p.pack != 0 {
			packs[int(p.pack)] = append(packs[int(p.pack)], n)
			continue
		}
		if f.Object(n); f.err != nil {
			return f.err
		}
	}
	room := maxPackedAll
	for _, n := range f.Objects() { // in order, so that the same file gives the same error
		if inside := packs[n]; inside != nil {
			used, err := f.unpack(n, inside, room)
			if err != nil {
				return err
			}
			room -= used
			delete(packs, n)
		}
	}
	if len(packs) > 0 {
		n := slices.Min(slices.Collect(maps.Keys(packs)))
		return &Error{Object: packs[n][0], What: fmt.Sprintf("should be in object stream %d, which is absent", n)}
	}
	return nil
}

// readObject reads the indirect object that begins at byte at, and says how
// many bytes of memory it takes.
func (f *File) readObject(number int, at int64) (Value, int, error) {
	f.buffer.Reset(f.Raw(at, f.limit(at)-at))
	l := &lexer{r: f.buffer, at: at, object: number, budget: maxValues}
	if err := f.readStart(l, number); err != nil {
		return nil, 0, err
	}
	v, err := readOne(l, "endobj", "stream")
	if err != nil {
		return nil, 0, err
	}
	if l.odd {
		f.odd[number] = true
	}
	if d, ok := v.value.(Dict); ok && v.ended == "stream" {
		s, err := f.stream(l, d)
		return s, l.cost, err
	}
	if v.ended == "stream" {
		return nil, 0, l.wrong("a stream without a dictionary")
	}
	return v.value, l.cost, nil
}

// readStart reads "12 0 obj".
func (f *File) readStart(l *lexer, number int) error {
	generation := Integer(f.places[number].generation)
	for _, want := range []Value{Integer(number), generation, keyword("obj")} {
		v, err := l.next(0)
		if err != nil {
			return err
		}
		switch v.(type) {
		case Integer, keyword:
			if v == want {
				continue
			}
		}
		return l.wrong("\"%d %d obj\" does not stand where the table says", number, generation)
	}
	return nil
}

type ended struct {
	value Value
	ended keyword
}

// readOne reads one value up to one of the words that may end it.
func readOne(l *lexer, ends ...keyword) (ended, error) {
	var items []Value
	for {
		v, err := l.next(0)
		if err != nil {
			return ended{}, err
		}
		word, bare := v.(keyword)
		switch {
		case !bare:
			if items = append(items, v); len(items) > 2 {
				return ended{}, l.wrong("more than one value")
			}
		case word == "R":
			if items, err = l.reference(items); err != nil {
				return ended{}, err
			}
		case slices.Contains(ends, word):
			if len(items) == 0 {
				items = []Value{Null{}}
			}
			if len(items) != 1 {
				return ended{}, l.wrong("more than one value")
			}
			return ended{items[0], word}, nil
		case word == "":
			return ended{}, l.wrong("ends before %q, or runs into the next object", string(ends[0]))
		default:
			return ended{}, l.wrong("%q stands where %q should", string(word), string(ends[0]))
		}
	}
}

// stream reads what follows the word "stream": the end of a line, then the
// bytes that /Length counts.
func (f *File) stream(l *lexer, d Dict) (Value, error) {
	c, _ := l.read()
	if c == '\r' {
		c, _ = l.read()
	}
	if c != '\n' {
		return nil, l.wrong("no line ends after the word stream")
	}
	length, ok := d["Length"].(Integer)
	if ref, isRef := d["Length"].(Ref); isRef {
		var err error
		if length, ok, err = f.length(ref); err != nil {
			return nil, err
		}
	}
	if !ok || length < 0 || int64(length) > f.size-l.at {
		return nil, l.wrong("the stream's /Length is absent or reaches out of the file")
	}
	// A further object inside the bytes would be read twice.
	if end := l.at + int64(length); end > f.limit(l.at-1) {
		return nil, l.wrong("the stream's %d bytes run into another object", length)
	}
	return &Stream{Dict: d, Offset: l.at, Length: int64(length), Object: l.object}, nil
}

// length reads the object that says a stream's length. It must be plain and no
// stream itself, so that reading it does not lead on.
func (f *File) length(ref Ref) (Integer, bool, error) {
	p, ok := f.places[ref.Number]
	if !ok || p.free || p.pack != 0 || int(p.generation) != ref.Generation {
		return 0, false, nil
	}
	l := newLexer(f.Raw(p.offset, min(256, f.limit(p.offset)-p.offset)), p.offset, ref.Number)
	if err := f.readStart(l, ref.Number); err != nil {
		return 0, false, err
	}
	v, err := readOne(l, "endobj")
	if err != nil {
		return 0, false, err
	}
	n, ok := v.value.(Integer)
	return n, ok, nil
}

// unpack reads the objects of object stream n that the table looks for there,
// into no more than room bytes of memory, and says how many they take.
func (f *File) unpack(n int, inside []int, room int) (int, error) {
	s, ok := f.Object(n).(*Stream)
	p := f.places[n]
	l := newLexer(bytes.NewReader(nil), p.offset, n)
	if !ok || p.pack != 0 || f.Name(s.Dict["Type"]) != "ObjStm" {
		return 0, l.wrong("object %d should be in this object stream, but it is none", inside[0])
	}
	data, err := f.decode(s, int64(room))
	if err != nil {
		return 0, err
	}
	count, _ := f.Integer(s.Dict["N"])
	first, _ := f.Integer(s.Dict["First"])
	if count < 0 || count > int64(len(data)) || first < 0 || first > int64(len(data)) {
		return 0, l.wrong("the object stream's /N or /First is wrong")
	}
	heads, err := packHeads(data[:first], int(count), n)
	if err != nil {
		return 0, err
	}
	used := len(data)
	for _, number := range inside {
		i := int(f.places[number].index)
		if i >= len(heads) || heads[i].number != number {
			return 0, l.wrong("object %d is not in the object stream", number)
		}
		end := int64(len(data)) - first
		if i+1 < len(heads) {
			end = heads[i+1].at
		}
		if heads[i].at > end || end > int64(len(data))-first {
			return 0, l.wrong("the object stream's places are out of order")
		}
		one := newLexer(bytes.NewReader(data[first+heads[i].at:first+end]), first+heads[i].at, number)
		v, err := readOne(one, "")
		if err != nil {
			return 0, err
		}
		f.packed[number] = v.value
		if one.odd {
			f.odd[number] = true
		}
		if used += one.cost; used > room {
			return 0, one.wrong("the object streams hold more than is taken here")
		}
	}
	return used, nil
}

type packHead struct {
	number int
	at     int64
}

func packHeads(data []byte, count, object int) ([]packHead, error) {
	l := newLexer(bytes.NewReader(data), 0, object)
	heads := make([]packHead, 0, min(count, len(data)))
	for range count {
		number, err := l.next(0)
		if err != nil {
			return nil, err
		}
		at, err := l.next(0)
		if err != nil {
			return nil, err
		}
		n, ok1 := number.(Integer)
		o, ok2 := at.(Integer)
		if !ok1 || !ok2 || n < 0 || n > maxNumber || o < 0 {
			return nil, l.wrong("the object stream's list of places is wrong")
		}
		heads = append(heads, packHead{int(n), int64(o)})
	}
	return heads, nil
}
