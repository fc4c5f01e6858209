package pdfread_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/pdfread"
)

// signed is a file of one page with an attachment and a signature field, whose
// byte range is right and whose signature is no signature.
func signed() []byte {
	b := built("",
		"<< /Type /Catalog /Pages 2 0 R /Names << /EmbeddedFiles << /Names [(record) 4 0 R] >> >> /AF [4 0 R] /AcroForm << /Fields [6 0 R] /SigFlags 3 >> >>",
		"<< /Type /Pages /Count 1 /Kids [3 0 R] /MediaBox [0 0 100 50] >>",
		"<< /Type /Page /Parent 2 0 R /Annots [6 0 R] >>",
		"<< /Type /Filespec /F (record.json) /UF (record.json) /Desc (What the pages say) /AFRelationship /Data /EF << /F 5 0 R /UF 5 0 R >> >>",
		stream("/Type /EmbeddedFile /Subtype /application#2Fjson /Params << /Size 11 /ModDate (D:20260504153000Z) >> /Filter /FlateDecode", packed([]byte(`{"a":"b"}`+"\n\n"))),
		"<< /Type /Annot /Subtype /Widget /FT /Sig /T (Signature) /F 132 /Rect [0 0 0 0] /P 3 0 R /V 7 0 R >>",
		"<< /Type /Sig /Filter /Adobe.PPKLite /SubFilter /ETSI.CAdES.detached /M (D:20260504153000Z) /Name (Centre) /ByteRange [0 1111111111 2222222222 3333333333] /Contents <"+strings.Repeat("00", 16)+"> >>")
	at := bytes.Index(b, []byte("<0000"))
	end := at + 34
	for old, n := range map[string]int{"1111111111": at, "2222222222": end, "3333333333": len(b) - end} {
		b = bytes.Replace(b, []byte(old), fmt.Appendf(nil, "%-10d", n), 1)
	}
	return b
}

func TestAttachments(t *testing.T) {
	for name, b := range map[string][]byte{"classic table": signed(), "object streams": repacked(t, signed(), "--object-streams=generate")} {
		t.Run(name, func(t *testing.T) {
			all, err := open(t, b).Attachments()
			if err != nil || len(all) != 1 {
				t.Fatalf("got %v, %v, want one attachment", all, err)
			}
			a := all[0]
			r, err := a.Open()
			if err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(r)
			if err != nil {
				t.Fatal(err)
			}
			path := onDisk(t, b)
			tool(t, "pdfdetach", "-save", "1", "-o", path+".out", path)
			want, err := os.ReadFile(path + ".out")
			if err != nil || !bytes.Equal(got, want) || len(got) != 11 {
				t.Errorf("got %q, pdfdetach %q (%v)", got, want, err)
			}
			if list := tool(t, "pdfdetach", "-list", path); !strings.Contains(list, ": "+a.Name) {
				t.Errorf("our name %q is not in pdfdetach's list:\n%s", a.Name, list)
			}
			facts := fmt.Sprint(a.Name, "|", a.Description, "|", a.Relationship, "|", a.MediaType, "|", a.Size, "|", a.Associated, "|", a.Modified.Format(time.RFC3339))
			if want := "record.json|What the pages say|Data|application/json|11|true|2026-05-04T15:30:00Z"; facts != want {
				t.Errorf("got %s, want %s", facts, want)
			}
		})
	}
}

func TestSignatureCoversEverything(t *testing.T) {
	b := signed()
	signature := func(b []byte) (pdfread.Signature, error) {
		all, err := open(t, b).Signatures()
		if err == nil && len(all) != 1 {
			t.Fatalf("got %d signatures, want 1", len(all))
		}
		if err != nil {
			return pdfread.Signature{}, err
		}
		return all[0], nil
	}
	s, err := signature(b)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Covers(int64(len(b))); err != nil {
		t.Error(err)
	}
	if got := b[s.ContentsAt:s.ContentsEnd]; string(got) != "<"+strings.Repeat("00", 16)+">" || len(s.Contents) != 16 || s.SubFilter != "ETSI.CAdES.detached" {
		t.Errorf("the signature stands at %q, %d bytes, %s", got, len(s.Contents), s.SubFilter)
	}
	at := fmt.Sprintf("%-10d", s.ContentsAt)
	end := fmt.Sprintf("%-10d", s.ContentsEnd)
	replace := func(old, new string) []byte { return bytes.Replace(b, []byte(old), []byte(new), 1) }
	for _, c := range []struct {
		name string
		file []byte
		want string
	}{
		{"bytes before", replace("[0 "+at, "[9 "+at), "first 9 bytes"},
		{"ends before the signature", replace("[0 "+at, fmt.Sprintf("[0 %-10d", s.ContentsAt-8)), "signed bytes end at"},
		{"begins after the signature", replace(at+" "+end, fmt.Sprintf("%s %-10d", at, s.ContentsEnd+3)), "begin again"},
		{"something put after", append(bytes.Clone(b), "\n% more\n"...), "last 8 bytes"},
		{"the last byte gone", b[:len(b)-1], "cut short: 1 of the signed bytes"},
		{"out of the file", replace("[0 "+at, "[0 9999999999"), "out of the file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := signature(c.file)
			if err != nil {
				t.Fatal(err)
			}
			must(t, s.Covers(int64(len(c.file))), c.want)
		})
	}
	for name, c := range map[string]struct{ old, new, want string }{
		"no contents":     {"/Contents <", "/Contentz <", "no string"},
		"contents twice":  {"/Name (Centre)", "/Contents <00>", "twice"},
		"three stretches": {"/ByteRange [0 ", "/ByteRange [  ", "two stretches"},
	} {
		t.Run(name, func(t *testing.T) {
			b := replace(c.old, c.new)
			f, err := pdfread.Open(bytes.NewReader(b), int64(len(b)))
			if err == nil {
				_, err = f.Signatures()
			}
			must(t, err, c.want)
		})
	}
}
