package writer

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"
)

// Signing is what a file is signed with as it is written (PAdES, ETSI EN 319
// 142-1; from memory). Sign gets the digest of every byte of the file but the
// place of its own answer, a CMS of at most Room bytes. Empty texts are left
// out.
type Signing struct {
	Name, Reason, Location string
	At                     time.Time // as the signer states it
	Room                   int       // 0 for 16 KiB, which takes a time-stamp with its certificates
	Sign                   func(digest [sha256.Size]byte) (cms []byte, err error)
}

const usualRoom = 16 << 10

// signature is a signing with the objects that it takes: the form field, which
// shows as an empty box on the first page, and its value.
type signature struct {
	Signing
	field, value Ref
}

// SetSigning has the file signed by Close. It is called before the first page.
func (f *File) SetSigning(s Signing) {
	if s.Room == 0 {
		s.Room = usualRoom
	}
	f.signature = &signature{s, f.reserve(), f.reserve()}
}

// signatureField writes the form field as an annotation of a page under the
// number it has among the parents of the structure tree, and gives it; 0 where
// the file is not signed. A box without a size needs no appearance (ISO
// 19005-3, 6.3.3); flags 4 and 128: it prints and cannot be moved.
func (f *File) signatureField(page Ref, parent int) Ref {
	s := f.signature
	if s == nil {
		return 0
	}
	f.object(s.field, fmt.Sprintf("<< /Type /Annot /Subtype /Widget /FT /Sig /T (Signature) /TU %s /F 132 /Rect [0 0 0 0] /P %d 0 R /StructParent %d /V %d 0 R >>",
		textString(s.says()), page, parent, s.value))
	return s.field
}

// says is the field in words, for whoever cannot see that there is nothing.
func (s *signature) says() string { return "Signature of " + s.Name }

// acroForm is the catalogue's entry for the field. Flag 1 says that there is a
// signature, 2 that changes may only be appended (ISO 32000-1, table 219).
func (f *File) acroForm() string {
	if f.signature == nil {
		return ""
	}
	return fmt.Sprintf(" /AcroForm << /Fields [%d 0 R] /SigFlags 3 >>", f.signature.field)
}

// finish writes the end of the file: the cross-reference table and the
// trailer, and before them, where the file is signed, the signature as its last
// object. All that follows the signature's place is known before it is filled,
// so nothing is ever written twice, and the digest is the one that all bytes of
// the file went through on their way out.
func (f *File) finish(root, info Ref, id []byte) {
	s := f.signature
	if s == nil {
		f.printf("%s", f.table(f.at, root, info, id))
		return
	}
	f.places[s.value-1] = f.at
	const shut = " >>\nendobj\n"
	wide := int64(2*s.Room + 2) // in hexadecimal digits between < and >
	length := int64(len(s.opening(0, 0, 0)))
	before, after := f.at+length, f.at+length+wide
	rest := shut + f.table(after+int64(len(shut)), root, info, id)
	open := s.opening(before, after, int64(len(rest)))
	f.fail(f.out.Flush())
	if f.err != nil {
		return
	}
	digest := f.digest()
	_, _ = digest.Write([]byte(open + rest)) // of the kind that never fails
	cms, err := s.Sign([sha256.Size]byte(digest.Sum(nil)))
	if err == nil && len(cms) > s.Room {
		err = fmt.Errorf("the signature takes %d bytes and has room for %d", len(cms), s.Room)
	}
	if err != nil {
		f.fail(fmt.Errorf("sign the file: %w", err))
		return
	}
	f.printf("%s<%s%s>%s", open, hex.EncodeToString(cms), strings.Repeat("0", 2*(s.Room-len(cms))), rest)
}

// opening is the signature's object up to its place. It is equally long for all
// numbers of up to ten digits, as a table's are.
func (s *signature) opening(before, after, rest int64) string {
	texts := ""
	for _, t := range []struct{ key, value string }{{"Name", s.Name}, {"Reason", s.Reason}, {"Location", s.Location}} {
		if t.value != "" {
			texts += " /" + t.key + " " + textString(t.value)
		}
	}
	return fmt.Sprintf("%d 0 obj\n<< /Type /Sig /Filter /Adobe.PPKLite /SubFilter /ETSI.CAdES.detached%s /M %s /ByteRange [0 %10d %10d %10d] /Contents ",
		s.value, texts, date(s.At), before, after, rest)
}

// table is the cross-reference table as it stands at start, and the trailer.
func (f *File) table(start int64, root, info Ref, id []byte) string {
	var b strings.Builder
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(f.places)+1)
	for i, at := range f.places {
		if at == 0 {
			f.fail(fmt.Errorf("object %d was promised and never written", i+1))
		}
		fmt.Fprintf(&b, "%010d 00000 n \n", at)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R /ID [<%X> <%X>] >>\nstartxref\n%d\n%%%%EOF\n",
		len(f.places)+1, root, info, id, id, start)
	return b.String()
}
