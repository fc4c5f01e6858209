package writer

import (
	"cmp"
	"crypto/md5" // what the format asks for; it guards against accidents alone
	"fmt"
	"slices"
	"strings"
	"time"
)

// Attachment is a file inside the file.
type Attachment struct {
	Name         string    // of the file, unique in the document
	MediaType    string    // such as application/json
	Description  string    // a line for people
	Relationship string    // to the document: Data, Supplement, Source, Alternative or Unspecified
	Made         time.Time // when its bytes were made; needed
	Data         []byte
}

type attached struct {
	name string
	ref  Ref
}

// Attach writes a file into the file (ISO 32000-1, 7.11.4; ISO 19005-3, 6.8 and
// annex E).
func (f *File) Attach(a Attachment) {
	if slices.ContainsFunc(f.attached, func(b attached) bool { return b.name == a.Name }) {
		f.fail(fmt.Errorf("two attachments are named %q", a.Name))
		return
	}
	sum := md5.Sum(a.Data)
	stream := f.reserve()
	f.stream(stream, fmt.Sprintf("/Type /EmbeddedFile /Subtype /%s /Params << /Size %d /ModDate %s /CreationDate %[3]s /CheckSum <%X> >>",
		name(a.MediaType), len(a.Data), date(a.Made), sum), a.Data)
	spec := f.add(fmt.Sprintf("<< /Type /Filespec /F %s /UF %s /Desc %s /AFRelationship /%s /EF << /F %d 0 R /UF %[5]d 0 R >> >>",
		byteString(a.Name), textString(a.Name), textString(a.Description), cmp.Or(a.Relationship, "Unspecified"), stream))
	f.attached = append(f.attached, attached{a.Name, spec})
}

// attachmentNames lists the attachments for the tree of names, in its order,
// and their file specifications in the order in which they came.
func (f *File) attachmentNames() (embedded, all string) {
	for _, a := range f.attached {
		all += fmt.Sprintf(" %d 0 R", a.ref)
	}
	sorted := slices.SortedFunc(slices.Values(f.attached), func(a, b attached) int { return strings.Compare(a.name, b.name) })
	for _, a := range sorted {
		embedded += fmt.Sprintf(" %s %d 0 R", byteString(a.name), a.ref)
	}
	return embedded, all
}

// name writes a name object's characters (ISO 32000-1, 7.3.5).
func name(s string) string {
	var b strings.Builder
	for i := range len(s) {
		if c := s[i]; c <= ' ' || c > '~' || strings.IndexByte("#/()<>[]{}%", c) >= 0 {
			fmt.Fprintf(&b, "#%02X", c)
		} else {
			b.WriteByte(c)
		}
	}
	return b.String()
}
