package pdfread_test

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"witnessmark/internal/pdfread"
)

// packed is data behind FlateDecode.
func packed(data []byte) string {
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	_, err1 := w.Write(data)
	if err := errors.Join(err1, w.Close()); err != nil {
		panic(err)
	}
	return b.String()
}

func TestOpenRefuses(t *testing.T) {
	good := string(plain("7", stream("", "abc")))
	catalog := "<< /Type /Catalog /Pages 2 0 R >>"
	deep := strings.Repeat("[", 5000) + strings.Repeat("]", 5000)
	many := "[" + strings.Repeat("0 ", 600_000) + "]"
	for _, c := range []struct{ name, file, want string }{
		{"nothing", "", "no PDF file"},
		{"a picture", "\xff\xd8\xff", "no PDF file"},
		{"cut in the middle", good[:len(good)/2], `^byte \d+: the file ends without %%EOF: it has been cut short$`},
		{"cut before its last line", strings.TrimSuffix(good, "%%EOF\n"), "cut short"},
		{"no startxref", strings.Replace(good, "startxref", "startxxxx", 1), "no startxref"},
		{"startxref past the end", "%PDF-1.7\nstartxref\n99999\n%%EOF", "out of the file"},
		{"startxref at no table", "%PDF-1.7\nstartxref\n3\n%%EOF", "no cross-reference table"},
		{"table cut by a byte", strings.Replace(good, "0000000000 65535 f \n", "0000000000 65535 f\n", 1), "no line of a table"},
		{"encrypted", string(built("/Encrypt << /Filter /Standard >>", catalog)), "encrypted"},
		{"two tables in one", string(built("/XRefStm 15", catalog)), "only some readers"},
		{"Prev to itself", string(prevToItself()), "circle"},
		{"Prev out of the file", string(built("/Prev 100000", catalog)), "out of the file"},
		{"no root", strings.Replace(good, "/Root", "/Toor", 1), "/Root leads to no catalogue"},
		{"other number", strings.Replace(good, "3 0 obj", "9 0 obj", 1), `^object 3, byte \d+: "3 0 obj" does not stand`},
		{"key twice", string(plain("<< /A 1 /A 2 >>")), "^object 3, byte .*says /A twice"},
		{"deep arrays", string(plain(deep)), "object 3.*64 brackets"},
		{"many values", string(plain(many)), "object 3.*more than 524288 values"},
		{"unclosed", string(plain("<< /A [1 2 >>")), "object 3"},
		{"two values", string(plain("1 2")), "object 3.*more than one value"},
		{"stream without length", string(plain("<< >>\nstream\nabc\nendstream")), "object 3.*Length"},
		{"stream too long", string(plain("<< /Length 99999 >>\nstream\nabc\nendstream")), "object 3.*out of the file"},
		{"stream over the next object", string(plain("<< /Length 60 >>\nstream\nabc\nendstream", "5", "6")), "object 3.*another object"},
		{"length is itself a stream", string(plain("<< /Length 3 0 R >>\nstream\nabc\nendstream")), "object 3"},
		{"objects share bytes", samePlace(good), "same byte"},
		{"object out of the file", strings.Replace(good, "0000000015", "9999999999", 1), "object 1.*out of the file"},
		{"table of no width", packedTable("/W [0 0 0] /Size 1000000", ""), "/W"},
		{"table ends early", packedTable("/W [1 2 1] /Size 100", "\x01\x00"), "ends early"},
		{"huge table", packedTable("/W [1 0 0] /Size 1048576 /Index [0 262144 0 262144]", string(make([]byte, 2<<20))), "more than 262144 entries"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := pdfread.Open(strings.NewReader(c.file), int64(len(c.file)))
			must(t, err, c.want)
		})
	}
	if _, err := pdfread.Open(strings.NewReader(good), int64(len(good))); err != nil {
		t.Errorf("the file that the others are made of: %v", err)
	}
}

func TestEncryptedIsAKindOfItsOwn(t *testing.T) {
	b := built("/Encrypt 1 0 R", "<< /Type /Catalog >>")
	if _, err := pdfread.Open(bytes.NewReader(b), int64(len(b))); !errors.Is(err, pdfread.ErrEncrypted) {
		t.Errorf("got %v, want ErrEncrypted", err)
	}
}

func prevToItself() []byte {
	b := built("/Prev 000000", "<< /Type /Catalog >>")
	at := bytes.Index(b, []byte("xref\n"))
	return bytes.Replace(b, []byte("/Prev 000000"), fmt.Appendf(nil, "/Prev %06d", at), 1)
}

// samePlace puts objects 3 and 4 of a good file at one byte.
func samePlace(good string) string {
	lines := strings.SplitAfter(good, "\n")
	for i := range lines {
		if lines[i] == "xref\n" {
			lines[i+6] = lines[i+5]
		}
	}
	return strings.Join(lines, "")
}

// packedTable is a file with nothing but an xref stream.
func packedTable(dict, data string) string {
	start := "%PDF-1.7\n"
	return start + "1 0 obj\n" + stream("/Type /XRef /Filter /FlateDecode "+dict, packed([]byte(data))) +
		fmt.Sprintf("\nendobj\nstartxref\n%d\n%%%%EOF\n", len(start))
}

func TestStreamsAreBounded(t *testing.T) {
	bomb := packed(make([]byte, pdfread.MaxHeld+1))
	f := open(t, plain(stream("/Filter /FlateDecode", bomb), stream("/Filter /LZWDecode", "x"),
		stream("/Filter /FlateDecode", "no zlib"), stream("/Filter [/DCTDecode /FlateDecode]", "x"),
		stream("/Filter /FlateDecode", packed([]byte("abcd"))[:8]), stream("/F (other) ", "x")))
	for object, want := range map[int]string{3: "object 3.*more than is taken", 4: "LZWDecode is not read", 5: "does not unpack", 6: "DCTDecode is not read",
		7: "object 7.*does not unpack", 8: "another file"} {
		_, err := f.Data(f.Stream(f.Object(object)))
		must(t, err, want)
	}
}

// However much is in a file, what stays in memory is bounded: here some 100 MB
// of values in 5 MB of file.
func TestMemoryIsBounded(t *testing.T) {
	objects := make([]string, 12)
	for i := range objects {
		objects[i] = "[" + strings.Repeat("[]", 200_000) + "]"
	}
	b := plain(objects...)
	held := func() int64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	before := held()
	f := open(t, b)
	for _, n := range f.Objects() {
		f.Object(n)
	}
	if grown := held() - before; grown > 48<<20 {
		t.Errorf("%d bytes stay in memory", grown)
	}
	runtime.KeepAlive(f)
	runtime.KeepAlive(b)
}

func FuzzOpen(f *testing.F) {
	own := drawn(f)
	f.Add(own)
	f.Add(repacked(f, own, "--object-streams=generate"))
	f.Add(plain(stream("/Filter /FlateDecode", packed([]byte("abc")))))
	f.Add(signed())
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := pdfread.Open(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			return
		}
		everything(t, file, int64(len(data)))
	})
}

// everything asks a file all that can be asked. What comes back is held
// against what must be true of any file.
func everything(t *testing.T, f *pdfread.File, size int64) {
	for _, n := range f.Objects() {
		s, ok := f.Object(n).(*pdfread.Stream)
		if !ok {
			continue
		}
		if s.Offset < 0 || s.Length < 0 || s.Offset+s.Length > size {
			t.Errorf("object %d: %d bytes from %d in a file of %d", n, s.Length, s.Offset, size)
		}
		if data, err := f.Data(s); err == nil && len(data) > pdfread.MaxHeld {
			t.Errorf("object %d: %d bytes held", n, len(data))
		}
	}
	pages, err := f.Pages()
	for _, p := range pages {
		content, err := f.Content(p)
		if err != nil {
			continue
		}
		for _, err := range pdfread.Operators(content) {
			if err != nil {
				break
			}
		}
	}
	if err == nil && len(pages) > len(f.Objects()) {
		t.Errorf("%d pages of %d objects", len(pages), len(f.Objects()))
	}
	if _, err := f.Attachments(); err == nil {
		for m := range f.Images() {
			if _, err := m.Open(); err != nil {
				continue
			}
		}
	}
	signatures, err := f.Signatures()
	for _, s := range signatures {
		if err == nil && s.Covers(size) == nil && (s.ByteRange[0] != 0 || s.ByteRange[2]+s.ByteRange[3] != size) {
			t.Errorf("a signature over %v is said to cover %d bytes", s.ByteRange, size)
		}
	}
	if err := f.Err(); err != nil {
		t.Errorf("opened, and then: %v", err)
	}
}
