// Package writer writes PDF 1.7 (ISO 32000-1) as a stream: each object leaves
// as soon as it is finished, and the cross-reference table follows at the
// end, so that memory is bounded by one page however many pictures there are.
//
// It knows pages, text, strokes, pictures, links, bookmarks, attachments and
// the structure tree, and nothing of what they mean: layout lives a level
// above. What it writes is made for the archive, PDF/A-3a (ISO 19005-3), and for
// readers that speak, PDF/UA-1 (ISO 14289-1): nothing is transparent, colours
// are those of sRGB, everything on a page is tagged or an artifact. What a
// layout must add is alternative text, headings in order and regular tables.
// Clause numbers in this package are from memory.
//
// The same calls always give the same bytes; time comes in through Meta and the
// file's identifier is a digest of what was written. The first thing that goes
// wrong is kept, everything after it is ignored, and Close returns it.
package writer

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"fmt"
	"hash"
	"io"
	"strings"
	"time"

	"witnessmark/internal/pdf/typeface"
)

// Ref is the number of an indirect object; 0 is none.
type Ref int

// Meta is what the file says about itself. Created is written as given; empty
// fields are left out, title and language apart, which a file must have.
type Meta struct {
	Title, Author, Subject string
	Language               string // RFC 3066 tag, such as en-GB; empty: en
	Producer               string
	Created                time.Time
}

// File is a PDF being written. It serves one goroutine.
type File struct {
	out    *bufio.Writer
	digest func() hash.Hash // of what was flushed, as one that goes on apart
	at     int64
	places []int64 // byte offset of object i+1; 0 until it is written
	err    error
	meta   Meta
	pages  []Ref
	tree   Ref  // of pages
	last   held // the newest page
	// The structure tree, and what each page and annotation belongs to in it.
	treeRoot  Ref
	root      *Element
	parents   []Ref
	attached  []attached
	signature *signature // nil where the file is not signed
	fonts     []*Font
	images    map[string]*Image
	marks     []bookmark
	targets   map[string]string
	// Kept from one stream to the next, so that memory does not grow with
	// their number: what pictures pass through, and the packer.
	chunk  []byte
	packed bytes.Buffer
	packer *zlib.Writer
}

// packing is the level at which streams are packed: pages take three hundredths
// more room than at the usual one, and half the time.
const packing = 2

// New starts a file on w.
func New(w io.Writer, meta Meta) *File {
	f := &File{meta: meta.cleaned(), images: map[string]*Image{}, targets: map[string]string{}}
	f.chunk = make([]byte, 64<<10)
	f.packer, f.err = zlib.NewWriterLevel(nil, packing)
	w, f.digest = digesting(w)
	f.out = bufio.NewWriterSize(w, 64<<10)
	// The second line's high bytes mark the file as binary (ISO 32000-1, 7.5.2).
	f.printf("%%PDF-1.7\n%%\xe2\xe3\xcf\xd3\n")
	f.tree, f.treeRoot = f.reserve(), f.reserve()
	f.root = &Element{file: f, tag: DocumentTag}
	return f
}

// Digester is a writer that has the SHA-256 of all that was written to it, and
// gives it as one that can go on apart. A file written to one, from its first
// byte on, is not hashed a second time.
type Digester interface {
	io.Writer
	SHA256() hash.Hash
}

// digesting makes a writer that hashes of one that may not.
func digesting(w io.Writer) (io.Writer, func() hash.Hash) {
	if d, ok := w.(Digester); ok {
		return d, d.SHA256
	}
	own := sha256.New()
	return io.MultiWriter(w, own), func() hash.Hash {
		c, err := own.(hash.Cloner).Clone()
		if err != nil { // which SHA-256 has no reason for
			panic(err)
		}
		return c
	}
}

// Err is the first thing that went wrong, or nil.
func (f *File) Err() error { return f.err }

func (f *File) fail(err error) {
	if f.err == nil && err != nil {
		f.err = err
	}
}

// Write takes bytes of the file on their way out; it never returns an error
// that f does not keep.
func (f *File) Write(b []byte) (int, error) {
	if f.err != nil {
		return 0, f.err
	}
	n, err := f.out.Write(b)
	f.at += int64(n)
	f.fail(err)
	return n, err
}

func (f *File) printf(format string, args ...any) {
	if f.err == nil {
		// Write keeps what went wrong.
		_, _ = fmt.Fprintf(f, format, args...)
	}
}

// reserve gives out an object number whose object is written later, so that
// what is written now can point at it.
func (f *File) reserve() Ref {
	f.places = append(f.places, 0)
	return Ref(len(f.places))
}

func (f *File) begin(ref Ref) {
	f.places[ref-1] = f.at
	f.printf("%d 0 obj\n", ref)
}

// object writes a whole object, its body already in PDF syntax.
func (f *File) object(ref Ref, body string) {
	f.begin(ref)
	f.printf("%s\nendobj\n", body)
}

// add writes an object under a fresh number.
func (f *File) add(body string) Ref {
	ref := f.reserve()
	f.object(ref, body)
	return ref
}

// stream writes a compressed stream; dict is the inside of its dictionary.
func (f *File) stream(ref Ref, dict string, data []byte) {
	f.packed.Reset()
	f.packer.Reset(&f.packed)
	_, err := f.packer.Write(data)
	f.fail(err)
	f.fail(f.packer.Close())
	f.begin(ref)
	f.printf("<< %s /Filter /FlateDecode /Length %d >>\nstream\n", dict, f.packed.Len())
	_, err = f.Write(f.packed.Bytes())
	f.fail(err)
	f.printf("\nendstream\nendobj\n")
}

// through copies r into a stream as it comes, in bounded memory; the length
// follows as an object of its own because nobody knows it beforehand.
func (f *File) through(ref Ref, dict string, r io.Reader) error {
	length := f.reserve()
	f.begin(ref)
	f.printf("<< %s /Length %d 0 R >>\nstream\n", dict, length)
	if f.err != nil {
		return f.err
	}
	n, err := io.CopyBuffer(struct{ io.Writer }{f}, struct{ io.Reader }{r}, f.chunk)
	if err != nil {
		return err
	}
	f.printf("\nendstream\nendobj\n")
	f.object(length, fmt.Sprint(n))
	return nil
}

// Close writes what waited until the end (faces, bookmarks, catalogue, table)
// and returns the first thing that went wrong anywhere in the file. It does
// not close the writer underneath.
func (f *File) Close() error {
	for _, font := range f.fonts {
		font.write()
	}
	f.addField()
	f.release()
	f.writeTree()
	var kids strings.Builder
	for _, p := range f.pages {
		fmt.Fprintf(&kids, " %d 0 R", p)
	}
	f.object(f.tree, fmt.Sprintf("<< /Type /Pages /Count %d /Kids [%s ] >>", len(f.pages), kids.String()))
	info := f.writeInfo()
	root := f.writeCatalog()
	f.writeTable(root, info)
	if f.err == nil {
		f.fail(f.out.Flush())
	}
	return f.err
}

// addField puts the field of the signature on the last page and at the end of
// the structure tree.
func (f *File) addField() {
	if f.signature == nil {
		return
	}
	form := f.root.Add(FormTag, Attributes{Alt: f.signature.says()})
	field := f.signatureField(f.last.ref, f.parentOf(form.number()))
	form.object(field, f.last.ref)
	f.last.notes = append(f.last.notes, field)
	form.Close()
}

func (f *File) writeTable(root, info Ref) {
	if f.err != nil {
		return
	}
	// The identifier covers everything up to here (ISO 32000-1, 14.4).
	f.fail(f.out.Flush())
	f.finish(root, info, f.digest().Sum(nil)[:16])
}

// AddFont makes a face ready to be set on pages. What the pages have used of
// it is embedded by Close.
func (f *File) AddFont(face *typeface.Face) *Font {
	font := &Font{file: f, face: face, ref: f.reserve(), name: fmt.Sprintf("F%d", len(f.fonts)+1),
		codes: map[rune]uint16{}, glyphs: map[uint16]uint16{0: 0}, cut: []uint16{0}, used: []use{{}}}
	f.fonts = append(f.fonts, font)
	return font
}
