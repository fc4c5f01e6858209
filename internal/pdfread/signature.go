package pdfread

import "fmt"

// Signature is a signature dictionary in a field of the file's form
// (ISO 32000-1, 12.8.1), not judged in any way.
type Signature struct {
	Field     Ref
	Object    int // of the signature dictionary
	Filter    Name
	SubFilter Name // ETSI.CAdES.detached for PAdES
	// ByteRange is two stretches of the file as pairs of offset and length.
	ByteRange [4]int64
	// Contents is the signature, with the zeros that fill its room.
	Contents []byte
	// ContentsAt and ContentsEnd are where Contents stands in the file: its
	// opening bracket, and the byte after its closing one.
	ContentsAt, ContentsEnd int64
	Name, Reason, Location  string
	Date                    string // /M as written
}

// Covers is nil when the byte range is the whole of a file of size bytes but
// for this signature's own Contents, brackets included; otherwise it says which
// bytes nobody has signed.
func (s Signature) Covers(size int64) error {
	r := s.ByteRange
	for _, n := range r {
		if n < 0 || n > size {
			return &Error{Object: s.Object, Offset: s.ContentsAt, What: "the signature's /ByteRange reaches out of the file"}
		}
	}
	wrong := func(at int64, format string, args ...any) error {
		return &Error{Object: s.Object, Offset: at, What: fmt.Sprintf(format, args...)}
	}
	switch {
	case r[0] != 0:
		return wrong(0, "the first %d bytes of the file are not signed", r[0])
	case r[1] != s.ContentsAt:
		return wrong(r[1], "the signed bytes end at %d, but the signature stands at %d", r[1], s.ContentsAt)
	case r[2] != s.ContentsEnd:
		return wrong(s.ContentsEnd, "the signed bytes begin again at %d, but the signature ends at %d", r[2], s.ContentsEnd)
	case r[2]+r[3] > size:
		return wrong(size, "the file is cut short: %d of the signed bytes are missing at its end", r[2]+r[3]-size)
	case r[2]+r[3] != size:
		return wrong(r[2]+r[3], "the last %d bytes of the file are not signed", size-r[2]-r[3])
	}
	return nil
}

// mostSignatures keeps a form from having one great signature read again and
// again.
const mostSignatures = 64

// Signatures are the signed signature fields of the file's form, in its order.
func (f *File) Signatures() ([]Signature, error) {
	var all []Signature
	seen := map[int]bool{}
	var visit func(Value, Name, Value, int) error
	visit = func(v Value, kind Name, signed Value, depth int) error {
		ref, _ := v.(Ref)
		at, _ := f.Place(ref.Number)
		if ref.Number == 0 || seen[ref.Number] || depth > maxNesting {
			return &Error{Object: ref.Number, Offset: at, What: "the form's fields lead in a circle or to none"}
		}
		seen[ref.Number] = true
		field := f.Dict(v)
		if own := f.Name(field["FT"]); own != "" {
			kind = own
		}
		if own := field["V"]; own != nil {
			signed = own
		}
		kids := f.Array(field["Kids"])
		for _, kid := range kids {
			if err := visit(kid, kind, signed, depth+1); err != nil {
				return err
			}
		}
		if len(kids) > 0 || kind != "Sig" || f.Dict(signed) == nil {
			return nil
		}
		if len(all) >= mostSignatures {
			return &Error{Object: ref.Number, Offset: at, What: fmt.Sprintf("more than %d signatures", mostSignatures)}
		}
		s, err := f.signature(ref, signed)
		all = append(all, s)
		return err
	}
	for _, v := range f.Array(f.Dict(f.Catalog()["AcroForm"])["Fields"]) {
		if err := visit(v, "", nil, 0); err != nil {
			return nil, err
		}
	}
	return all, nil
}

func (f *File) signature(field Ref, v Value) (Signature, error) {
	ref, _ := v.(Ref)
	at, plain := f.Place(ref.Number)
	wrong := func(what string) error { return &Error{Object: ref.Number, Offset: at, What: what} }
	if !plain {
		return Signature{}, wrong("the signature is not an object of its own")
	}
	d := f.Dict(v)
	s := Signature{Field: field, Object: ref.Number, Filter: f.Name(d["Filter"]), SubFilter: f.Name(d["SubFilter"]),
		Name: f.Text(d["Name"]), Reason: f.Text(d["Reason"]), Location: f.Text(d["Location"]), Date: f.Text(d["M"])}
	contents, ok := d["Contents"].(String)
	if !ok {
		return s, wrong("the signature's /Contents is no string in its own dictionary")
	}
	s.Contents = []byte(contents)
	stretches := f.Array(d["ByteRange"])
	if len(stretches) != len(s.ByteRange) {
		return s, wrong("the signature's /ByteRange is not two stretches")
	}
	for i := range stretches {
		if s.ByteRange[i], ok = f.Integer(stretches[i]); !ok {
			return s, wrong("the signature's /ByteRange is not all whole numbers")
		}
	}
	// Once more through the object, for where the value stands.
	l := newLexer(f.Raw(at, f.limit(at)-at), at, ref.Number)
	l.watch = "Contents"
	if err := f.readStart(l, ref.Number); err != nil {
		return s, err
	}
	if _, err := readOne(l, "endobj", "stream"); err != nil {
		return s, err
	}
	s.ContentsAt, s.ContentsEnd = l.watched[0], l.watched[1]
	return s, nil
}
