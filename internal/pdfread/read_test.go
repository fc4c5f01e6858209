package pdfread_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/pdfread"
)

// The structure that we read is the structure that qpdf reads: every object of
// its JSON form, value by value, for a classic table and for object streams.
func TestObjectsAgainstQPDF(t *testing.T) {
	own := drawn(t)
	for name, b := range map[string][]byte{"classic table": own, "object streams": repacked(t, own, "--object-streams=generate"), "signed": signed()} {
		t.Run(name, func(t *testing.T) {
			f := open(t, b)
			var theirs struct {
				QPDF []json.RawMessage `json:"qpdf"`
			}
			if err := json.Unmarshal([]byte(tool(t, "qpdf", "--json", "--json-stream-data=none", onDisk(t, b))), &theirs); err != nil {
				t.Fatal(err)
			}
			var objects map[string]struct {
				Value  any                           `json:"value"`
				Stream struct{ Dict map[string]any } `json:"stream"`
			}
			if err := json.Unmarshal(theirs.QPDF[1], &objects); err != nil {
				t.Fatal(err)
			}
			seen := 0
			for key, o := range objects {
				var n, g int
				if _, err := fmt.Sscanf(key, "obj:%d %d R", &n, &g); err != nil {
					continue
				}
				seen++
				want := o.Value
				got := f.Object(n)
				if s, ok := got.(*pdfread.Stream); ok {
					want, got = any(o.Stream.Dict), s.Dict
				}
				if err := same(got, want); err != nil {
					t.Errorf("object %d: %v", n, err)
				}
			}
			if ours := f.Objects(); seen < 5 || seen > len(ours) {
				t.Errorf("qpdf has %d objects, we have %d", seen, len(ours))
			}
		})
	}
}

// same holds a value against qpdf's JSON form of it (qpdf manual, version 2 of
// the form): names with a slash, references "1 0 R", strings "u:" or "b:".
func same(got pdfread.Value, want any) error {
	text, _ := want.(string)
	switch v := got.(type) {
	case pdfread.Name:
		if text == "/"+string(v) {
			return nil
		}
	case pdfread.Ref:
		if text == v.String() {
			return nil
		}
	case pdfread.String:
		if text == "u:"+pdfread.Text(v) || text == fmt.Sprintf("b:%x", string(v)) {
			return nil
		}
	case pdfread.Bool:
		if want == any(bool(v)) {
			return nil
		}
	case pdfread.Integer, pdfread.Real:
		n, _ := pdfread.Number(v)
		if want == any(n) {
			return nil
		}
	case pdfread.Array:
		list, _ := want.([]any)
		if len(list) != len(v) {
			return fmt.Errorf("got %d values, want %d", len(v), len(list))
		}
		for i := range v {
			if err := same(v[i], list[i]); err != nil {
				return fmt.Errorf("value %d: %w", i, err)
			}
		}
		return nil
	case pdfread.Dict:
		members, _ := want.(map[string]any)
		for key, value := range v {
			if key == "Length" { // qpdf writes what it would write itself
				continue
			}
			if err := same(value, members["/"+string(key)]); err != nil {
				return fmt.Errorf("/%s: %w", key, err)
			}
		}
		for key := range members {
			if _, ok := v[pdfread.Name(key[1:])]; !ok {
				return fmt.Errorf("%s is missing", key)
			}
		}
		return nil
	}
	return fmt.Errorf("got %#v, want %#v", got, want)
}

func TestPagesAndContent(t *testing.T) {
	own := drawn(t)
	for name, b := range map[string][]byte{"classic table": own, "object streams": repacked(t, own, "--object-streams=generate"), "in order of reading": repacked(t, own, "--linearize")} {
		t.Run(name, func(t *testing.T) {
			f := open(t, b)
			pages, err := f.Pages()
			if err != nil {
				t.Fatal(err)
			}
			path := onDisk(t, b)
			found := regexp.MustCompile(`Pages:\s+(\d+)`).FindStringSubmatch(tool(t, "pdfinfo", path))
			if fmt.Sprint(len(pages)) != found[1] {
				t.Errorf("%d pages, pdfinfo says %s", len(pages), found[1])
			}
			for i, p := range pages {
				if want := [4]float64{0, 0, 200, 100 + float64(i)}; p.MediaBox != want || p.Number != i+1 {
					t.Errorf("page %d is number %d of size %v, want %v", i+1, p.Number, p.MediaBox, want)
				}
				got, err := f.Content(p)
				if err != nil {
					t.Fatal(err)
				}
				want := tool(t, "qpdf", "--show-object="+strings.Fields(fmt.Sprint(p.Dict["Contents"]))[0], "--filtered-stream-data", path)
				if strings.TrimSpace(string(got)) != strings.TrimSpace(want) {
					t.Errorf("page %d: got %q, want %q", i+1, got, want)
				}
			}
		})
	}
}

// Every picture comes out as it went in, and as a program that is not ours
// takes it out.
func TestPicturesByteForByte(t *testing.T) {
	own := drawn(t)
	for name, b := range map[string][]byte{"classic table": own, "object streams": repacked(t, own, "--object-streams=generate")} {
		t.Run(name, func(t *testing.T) {
			path := onDisk(t, b)
			tool(t, "pdfimages", "-all", path, filepath.Join(filepath.Dir(path), "p"))
			var got, want []string
			for m := range open(t, b).Images() {
				r, err := m.Open()
				if err != nil {
					t.Fatal(err)
				}
				data, err := io.ReadAll(r)
				if err != nil {
					t.Fatal(err)
				}
				got = append(got, fmt.Sprintf("%s %x", m.Filter, sha256.Sum256(data)))
			}
			for i, name := range pictureNames {
				want = append(want, fmt.Sprintf("DCTDecode %x", sha256.Sum256(picture(t, name))))
				out, err := os.ReadFile(fmt.Sprintf("%s/p-%03d.jpg", filepath.Dir(path), i))
				if err != nil || !bytes.Equal(out, picture(t, name)) {
					t.Errorf("pdfimages takes out other bytes for %s (%v)", name, err)
				}
			}
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("got %v, want %v", got, want)
			}
		})
	}
}

func TestPackedPictureIsNotRead(t *testing.T) {
	met := 0
	for m := range open(t, plain(stream("/Subtype /Image /Filter [/FlateDecode /DCTDecode]", packed([]byte("x"))))).Images() {
		met++
		_, err := m.Open()
		must(t, err, "object 3.*packed once more")
	}
	if met != 1 {
		t.Errorf("met %d pictures, want 1", met)
	}
}

// What is put after a file's end replaces what stood before, object by object;
// what it takes away is gone.
func TestUpdates(t *testing.T) {
	b := plain("(old)", "(gone)", "(kept)")
	before := bytes.LastIndex(b, []byte("xref\n0 "))
	at := len(b)
	b = append(b, "3 0 obj\n(new)\nendobj\n"...)
	table := len(b)
	b = fmt.Appendf(b, "xref\n3 2\n%010d 00000 n \n0000000000 00001 f \ntrailer\n<< /Size 6 /Root 1 0 R /Prev %d >>\nstartxref\n%d\n%%%%EOF\n", at, before, table)
	f := open(t, b)
	if got, want := fmt.Sprintf("%v %v %v %v", f.Object(3), f.Object(4), f.Object(5), f.Objects()), "new {} kept [1 2 3 5]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if tables := f.Tables(); len(tables) != 2 || tables[0].Offset != int64(table) || tables[1].Offset != int64(before) {
		t.Errorf("tables %+v", tables)
	}
}

func TestValues(t *testing.T) {
	f := open(t, plain(`<< /A#20B (a\(b\)\n\101\
c(d)) /H <48 656C6c 6F7> /R -.5 /I +17 /T true /N null % a remark
/L [1 0 R 2 3 /X] >>`))
	want := pdfread.Dict{"A B": pdfread.String("a(b)\nAc(d)"), "H": pdfread.String("Hellop"), "R": pdfread.Real(-0.5), "I": pdfread.Integer(17),
		"T": pdfread.Bool(true), "N": pdfread.Null{}, "L": pdfread.Array{pdfread.Ref{Number: 1}, pdfread.Integer(2), pdfread.Integer(3), pdfread.Name("X")}}
	if got := f.Object(3); fmt.Sprintf("%#v", got) != fmt.Sprintf("%#v", want) {
		t.Errorf("got %#v\nwant %#v", got, want)
	}
}

func TestOperators(t *testing.T) {
	var got []string
	for op, err := range pdfread.Operators([]byte("/P << /MCID 0 >> BDC BT /F1 12 Tf [(a) -20 <62>] TJ ET EMC q BI /W 1 /H 1 ID xEIy\x00 EI Q\n")) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, fmt.Sprintf("%s%d", op.Name, len(op.Operands)))
	}
	if want := "BDC2 BT0 Tf2 TJ1 ET0 EMC0 q0 BI1 Q0"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
	for _, bad := range []string{"1 2", "[1", "] x", "(a", "BI /W 1 ID xx", "BI 1 2 ID x EI"} {
		err := errors.New("")
		for _, err = range pdfread.Operators([]byte(bad)) {
		}
		if err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

func TestTextAndDate(t *testing.T) {
	for in, want := range map[string]string{"plain": "plain", "\xFE\xFF\x00G\x03\x94": "GΔ", "\xEF\xBB\xBFÅ": "Å", "\x92 \xE9 \xA0": "™ é €"} {
		if got := pdfread.Text(pdfread.String(in)); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
	for in, want := range map[string]string{"D:20260504153000+01'00'": "2026-05-04T15:30:00+01:00", "D:20260504153000Z": "2026-05-04T15:30:00Z",
		"D:2026": "2026-01-01T00:00:00Z", "D:20260504153000-05'30": "2026-05-04T15:30:00-05:30"} {
		if got, err := pdfread.Date(in); err != nil || got.Format(time.RFC3339) != want {
			t.Errorf("%s: got %v %v, want %s", in, got, err, want)
		}
	}
	for _, in := range []string{"", "D:20261", "D:20261304", "yesterday"} {
		if _, err := pdfread.Date(in); err == nil {
			t.Errorf("%q is taken for a date", in)
		}
	}
}
