package pdfread

import (
	"fmt"
	"io"
	"time"
)

// Attachment is a file inside the file (ISO 32000-1, 7.11).
type Attachment struct {
	Name         string // /UF, or /F where that is absent
	Description  string
	Relationship string // /AFRelationship, such as Data; empty when absent
	MediaType    string // such as application/json; empty when absent
	Size         int64  // as /Params states it, bytes unpacked; -1 when absent
	Modified     time.Time
	Associated   bool // whether the catalogue's /AF lists it
	Spec         Ref  // the file specification; zero when it is no object of its own
	Stream       *Stream
	file         *File
}

// Open gives the attachment's bytes, at most MaxDecoded.
func (a Attachment) Open() (io.Reader, error) { return a.file.Reader(a.Stream) }

// Attachments are the files that the catalogue's names list, in their order,
// and after them those that its /AF alone lists.
func (f *File) Attachments() ([]Attachment, error) {
	specs, err := f.Names(f.Dict(f.Catalog()["Names"])["EmbeddedFiles"])
	if err != nil {
		return nil, err
	}
	associated := f.Array(f.Catalog()["AF"])
	extra := map[Ref]bool{} // associated, and not listed by name
	for _, v := range associated {
		if ref, ok := v.(Ref); ok {
			extra[ref] = true
		}
	}
	var all []Attachment
	for _, leaf := range specs {
		a, err := f.attachment(leaf.Value)
		if err != nil {
			return nil, err
		}
		a.Associated = extra[a.Spec]
		all = append(all, a)
	}
	for _, a := range all {
		delete(extra, a.Spec)
	}
	for _, v := range associated {
		if ref, ok := v.(Ref); ok {
			if !extra[ref] {
				continue
			}
			delete(extra, ref)
		}
		a, err := f.attachment(v)
		if err != nil {
			return nil, err
		}
		a.Associated = true
		all = append(all, a)
	}
	return all, nil
}

func (f *File) attachment(v Value) (Attachment, error) {
	spec := f.Dict(v)
	ref, _ := v.(Ref)
	held := f.Dict(spec["EF"])
	s := f.Stream(held["UF"])
	if s == nil {
		s = f.Stream(held["F"])
	}
	if s == nil {
		at, _ := f.Place(ref.Number)
		return Attachment{}, &Error{Object: ref.Number, Offset: at, What: "an attachment without a file in it"}
	}
	a := Attachment{Name: f.Text(spec["UF"]), Description: f.Text(spec["Desc"]), Relationship: string(f.Name(spec["AFRelationship"])),
		MediaType: string(f.Name(s.Dict["Subtype"])), Size: -1, Spec: ref, Stream: s, file: f}
	if a.Name == "" {
		a.Name = f.Text(spec["F"])
	}
	params := f.Dict(s.Dict["Params"])
	if n, ok := f.Integer(params["Size"]); ok {
		a.Size = n
	}
	if at := f.Text(params["ModDate"]); at != "" {
		var err error
		if a.Modified, err = Date(at); err != nil {
			return Attachment{}, &Error{Object: s.Object, Offset: s.Offset, What: fmt.Sprintf("the attachment's /ModDate: %v", err)}
		}
	}
	return a, nil
}

// Leaf is one entry of a name or number tree.
type Leaf struct {
	Name   string // of a name tree: the bytes of the key
	Number int64  // of a number tree
	Value  Value
}

// Names reads a name tree (ISO 32000-1, 7.9.6) in its order; an absent one has
// no leaves.
func (f *File) Names(root Value) ([]Leaf, error) { return f.leaves(root, "Names") }

// Numbers reads a number tree (ISO 32000-1, 7.9.7) likewise.
func (f *File) Numbers(root Value) ([]Leaf, error) { return f.leaves(root, "Nums") }

func (f *File) leaves(root Value, key Name) ([]Leaf, error) {
	var all []Leaf
	seen := map[int]bool{}
	var visit func(Value, int) error
	visit = func(v Value, depth int) error {
		ref, _ := v.(Ref)
		at, _ := f.Place(ref.Number)
		wrong := func(what string) error { return &Error{Object: ref.Number, Offset: at, What: what} }
		if ref.Number != 0 && seen[ref.Number] || depth > maxNesting {
			return wrong("a tree of names or numbers leads in a circle")
		}
		seen[ref.Number] = true
		node := f.Dict(v)
		pairs := f.Array(node[key])
		if len(pairs)%2 != 0 || len(all)+len(pairs)/2 > maxLeaves {
			return wrong("a tree of names or numbers has too many entries, or one without a value")
		}
		for i := 0; i < len(pairs); i += 2 {
			leaf := Leaf{Value: pairs[i+1]}
			switch k := f.Resolve(pairs[i]).(type) {
			case String:
				leaf.Name = string(k)
			case Integer:
				leaf.Number = int64(k)
			}
			all = append(all, leaf)
		}
		for _, kid := range f.Array(node["Kids"]) {
			if err := visit(kid, depth+1); err != nil {
				return err
			}
		}
		return nil
	}
	return all, visit(root, 0)
}
