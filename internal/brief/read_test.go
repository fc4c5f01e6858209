package brief_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

const testdata = "../../testdata/brief"

// TestRefusals reads testdata/brief/refusals.txt: cases split by "---- name", the source, then after "====" what Read says.
func TestRefusals(t *testing.T) {
	src, err := os.ReadFile(filepath.Join(testdata, "refusals.txt"))
	if err != nil {
		t.Fatal(err)
	}
	cases := strings.Split(string(src), "\n---- ")[1:]
	if len(cases) < 30 {
		t.Fatalf("only %d cases", len(cases))
	}
	for _, c := range cases {
		name, rest, _ := strings.Cut(c, "\n")
		in, want, ok := strings.Cut(rest, "\n====\n")
		if !ok {
			t.Fatalf("%s: no ====", name)
		}
		t.Run(name, func(t *testing.T) {
			_, err := brief.Read([]byte(strings.NewReplacer("␉", "\t", "␀", "\x00", "�", "\xff").Replace(in)))
			if err == nil {
				t.Fatal("it was read")
			}
			if got := err.Error(); strings.TrimSpace(got) != strings.TrimSpace(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

func TestReadRefusesBySize(t *testing.T) {
	for _, c := range []struct {
		name string
		in   []byte
		want string
	}{
		{"too many bytes", bytes.Repeat([]byte("a"), brief.MaxBytes+1), "262144 bytes at most"},
		{"10 MB formula", append([]byte("formula: "), bytes.Repeat([]byte("1+"), 5<<20)...), "262144 bytes at most"},
		{"deep list", bytes.Repeat([]byte("["), 50_000), "nested too deeply"},
		{"deep map", bytes.Repeat([]byte("{a: "), 15_000), "nested too deeply"},
		{"deep dashes", bytes.Repeat([]byte("- "), 50_000), "nested too deeply"},
		{"many words", bytes.Repeat([]byte("a: b\n"), brief.MaxBytes/5), "no brief"},
		{"deep indent", deepIndent(), "no member “a”"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := brief.Read(c.in)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %.300v, want %q in it", err, c.want)
			}
		})
	}
}

// deepIndent is as many levels as the size allows, each indented by a space more.
func deepIndent() []byte {
	var b bytes.Buffer
	for i := range 700 {
		fmt.Fprintf(&b, "%*sa:\n", i, "")
	}
	return b.Bytes()
}

func TestReadTakesTextsAsWritten(t *testing.T) {
	src, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, written, want string }{
		{"plain", "A plain title", "A plain title"},
		{"a number", "1.10", "1.10"},
		{"digits with a leading nought", "012", "012"},
		{"a word that YAML 1.1 takes for no", "no", "no"},
		{"true", "true", "true"},
		{"sexagesimal", "1:30", "1:30"},
		{"underscore", "1_000", "1_000"},
		{"quotes", `"a \"b\" \u00b0"`, `a "b" °`},
		{"single quotes", `'it''s'`, "it's"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := strings.Replace(string(src), "title: Prove the heat output of Bay 7\n", "title: "+c.written+"\n", 1)
			b, err := brief.Read([]byte(in))
			if err != nil {
				t.Fatal(err)
			}
			if b.Title != c.want {
				t.Errorf("got %q, want %q", b.Title, c.want)
			}
		})
	}
	crlf := strings.ReplaceAll("\ufeff"+string(src), "\n", "\r\n")
	b, err := brief.Read([]byte(crlf))
	if err != nil {
		t.Fatalf("with a byte order mark and CR LF: %v", err)
	}
	if d := cmp.Diff(sample.Brief(), b); d != "" {
		t.Errorf("with a byte order mark and CR LF (-want +got):\n%s", d)
	}
}

func TestDigest(t *testing.T) {
	// FIPS 180-2, appendix B.1: SHA-256 of "abc".
	if got, want := brief.Digest([]byte("abc")), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyBrief(t)
		src, err := brief.Print(want)
		if err != nil {
			t.Fatalf("Print: %v", err)
		}
		got, err := brief.Read(src)
		if err != nil {
			t.Fatalf("Read: %v\n%s", err, src)
		}
		if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("(-want +got):\n%s\n%s", d, src)
		}
		again, err := brief.Print(got)
		if err != nil || !bytes.Equal(src, again) {
			t.Fatalf("printed again, %v:\n%s\nwant\n%s", err, again, src)
		}
	})
}

// TestCheckTakesAnything looks that no brief of the right shape stops the program, however little sense it makes.
func TestCheckTakesAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBrief(t)
		ps := brief.Check(b, functions(), known)
		if len(ps) == 0 {
			t.Fatal("a brief of noise has no problem")
		}
		if c, ps := brief.Compile(b, functions()); (c == nil) != (ps.Err() != nil) {
			t.Fatalf("compiled %v with %v", c, ps)
		}
		brief.Draw(b, 7)
		brief.ModelGivens(b)
	})
}

func FuzzRead(f *testing.F) {
	src, err := brief.Print(sample.Brief())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(src)
	f.Add([]byte("brief: 1\nabout: |-\n  x\n\n  y\n"))
	f.Add([]byte("a: &a [*a]\n? b\n: !!c {<<: *a}\n--- \n%D\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		b, err := brief.Read(in)
		if err != nil {
			if len(err.Error()) > 60_000 {
				t.Errorf("the answer has %d bytes", len(err.Error()))
			}
			return
		}
		brief.Check(b, functions(), nil).Located(in)
		brief.Draw(b, 1)
		out, err := brief.Print(b)
		if err != nil {
			return // a brief near the limit may grow over it in print
		}
		again, err := brief.Read(out)
		if err != nil {
			t.Fatalf("printed and read again: %v\n%s", err, out)
		}
		if d := cmp.Diff(b, again, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("(-first +again):\n%s\n%s", d, out)
		}
	})
}
