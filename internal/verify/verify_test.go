package verify_test

import (
	"bytes"
	"crypto/rand"
	"flag"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
	"witnessmark/internal/verify"
	"witnessmark/internal/verify/verifytest"
)

func trust(t testing.TB, keys ...string) verify.Trust {
	t.Helper()
	var tr verify.Trust
	for _, k := range keys {
		v, err := ledger.ParseKey(k)
		if err != nil {
			t.Fatal(err)
		}
		tr.Keys = append(tr.Keys, v)
	}
	return tr
}

func check(data []byte, tr verify.Trust) *verify.Portfolio {
	return verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: tr})
}

func checkWith(data []byte, tr verify.Trust, dir string) *verify.Portfolio {
	return verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: tr, Bag: os.DirFS(dir)})
}

func lines(p *verify.Portfolio) string {
	var b strings.Builder
	for _, l := range p.Lines {
		fmt.Fprintf(&b, "%s: %s: %s\n", l.What, l.State, l.Words)
	}
	return b.String()
}

func TestGenuine(t *testing.T) {
	c := verifytest.New(t)
	data := c.Portfolio(verifytest.Spoil{})
	p := check(data, trust(t, c.Key))
	word, why := p.Verdict()
	if word != verify.GenuineCentreTime || why != "" {
		t.Errorf("%q %q, want %q\n%s", word, why, verify.GenuineCentreTime, lines(p))
	}
	held := map[string]bool{}
	for _, l := range p.Lines {
		if l.State == verify.Holds {
			held[l.What] = true
		}
	}
	for _, want := range []string{"log", "entries", "record", "signature", "decisions", "pictures"} {
		if !held[want] {
			t.Errorf("%s does not hold:\n%s", want, lines(p))
		}
	}
	if p.Record.Trainee.Name != "Ines Okafor-Lindqvist" {
		t.Errorf("the record is of %q", p.Record.Trainee.Name)
	}
}

// The form is told of, and is no matter of the verdict.
func TestFormat(t *testing.T) {
	c := verifytest.New(t)
	data := c.Portfolio(verifytest.Spoil{})
	p := verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: trust(t, c.Key), Format: true})
	if word, _ := p.Verdict(); word != verify.GenuineCentreTime || !strings.Contains(lines(p), "format: holds: Self-checked against") {
		t.Errorf("%q\n%s", word, lines(p))
	}
	poor := []byte(minimalPDF)
	if p := verify.File(bytes.NewReader(poor), int64(len(poor)), verify.Options{Format: true}); strings.Contains(lines(p), "format") {
		t.Errorf("the form of what is no portfolio is told of:\n%s", lines(p))
	}
}

func TestWitnessed(t *testing.T) {
	w, err := ledger.NewWitness("body/verifier", rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := verifytest.New(t)
	data := c.Portfolio(verifytest.Spoil{Witness: w})
	tr := trust(t, c.Key)
	if word, _ := check(data, tr).Verdict(); word != verify.GenuineCentreTime {
		t.Errorf("a witness whom nobody named counts: %q", word)
	}
	tr.Witnesses = []*ledger.Witness{w.Witness}
	p := check(data, tr)
	if word, _ := p.Verdict(); word != verify.Genuine || !strings.Contains(lines(p), "body/verifier signed that they saw that state on 21 May 2026") {
		t.Errorf("%q\n%s", word, lines(p))
	}
}

// at replaces text in a record, which has to be there.
func at(t testing.TB, was, now string) func([]byte) []byte {
	return func(record []byte) []byte {
		if !bytes.Contains(record, []byte(was)) {
			t.Fatalf("the record has no %q to be changed", was)
		}
		return bytes.Replace(record, []byte(was), []byte(now), 1)
	}
}

// withoutAttempt takes the second attempt out of the record, as one who wants it gone would.
func withoutAttempt(t testing.TB) func([]byte) []byte {
	return func(record []byte) []byte {
		r, err := portfolio.ReadRecord(record)
		if err != nil {
			t.Fatal(err)
		}
		r.Tasks[0].Attempts = r.Tasks[0].Attempts[:1]
		out, err := r.JSON()
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
}

// Each of these is what somebody might do who can write a whole file anew. The signature over the file is made again by the centre's
// own certificate, so that what lies beneath it has to be caught by itself.
func TestCaught(t *testing.T) {
	forger := verifytest.Certificate(t, "Harbour Lane Training Centre")
	signer, _ := verifytest.LogKey(t, verifytest.Origin)
	for name, c := range map[string]struct {
		spoil verifytest.Spoil
		want  []string // all named
	}{
		"a digit in a decision": {
			verifytest.Spoil{Record: at(t, `Sixteen and a half is 16.5`, `Sixteen and a half is 19.5`)},
			[]string{"record.json is not the one that was logged", `words was logged as "Sixteen and a half is 16.5`, `stands there as "Sixteen and a half is 19.5`}},
		"a decision turned round": {
			verifytest.Spoil{Record: at(t, `"outcome":"not_yet_met","reason":"valid"`, `"outcome":"met","reason":"valid"`)},
			[]string{`outcome was logged as "not_yet_met" and stands there as "met"`, "Task 1, attempt 1"}},
		"a digit in a reading": {
			verifytest.Spoil{Record: at(t, `"text":"58.4"`, `"text":"68.4"`)},
			[]string{"record.json is not the one that was logged"}},
		"a removed attempt": {
			verifytest.Spoil{Record: withoutAttempt(t)},
			[]string{"record.json is not the one that was logged", "taken out of the record: sign-off", "taken out of the record: decision H2/1.2"}},
		"a removed attempt, with its entries": {
			verifytest.Spoil{Record: withoutAttempt(t), Bundle: func(b *ledger.Bundle) { b.Entries = append(b.Entries[:9:9], b.Entries[len(b.Entries)-1]) }},
			[]string{"record.json is not the one that was logged"}},
		"a decision that was never made": {
			verifytest.Spoil{Record: func(r []byte) []byte {
				return at(t, `"id":"`+recordID("off")+`"`, `"id":"00000000-0000-4000-8000-000000000000"`)(r)
			}},
			[]string{"that the log does not have was put into the record", "sign-off"}},
		"another opening": {
			verifytest.Spoil{Bundle: func(b *ledger.Bundle) {
				o := &b.Entries[3].Openings[0]
				o.Value = bytes.Replace(o.Value, []byte("Marit"), []byte("Merit"), 1)
			}},
			[]string{"Entry 3 of the log", "commits to another"}},
		"an entry of another log": {
			verifytest.Spoil{Bundle: func(b *ledger.Bundle) { b.Entries[2].Leaf = b.Entries[3].Leaf }},
			[]string{"This is not entry 2"}},
		"the portfolio's entry taken out": {
			verifytest.Spoil{Bundle: func(b *ledger.Bundle) { b.Entries = b.Entries[:len(b.Entries)-1] }},
			[]string{"entry of this portfolio was taken out"}},
		"a swapped photo": {
			verifytest.Spoil{Pictures: swapped(t)},
			[]string{"A picture in the file is none of the record's", "file 1, IMG_0412.jpg, is not in the file"}},
		"a photo taken out of the pages": {
			verifytest.Spoil{Pages: func(d *portfolio.Document) {
				d.Tasks[0].Attempts[0].Stages[0].Items[0].Files[0].Show = portfolio.Listed
			}},
			[]string{"swapped, changed or taken out"}},
		"signed anew with another certificate": {
			verifytest.Spoil{Identity: &forger},
			[]string{"signed anew"}},
		"the log signed by another key": {
			verifytest.Spoil{Signers: []note.Signer{signer}},
			[]string{"another key than the one of hlt.0badcafe/log"}},
	} {
		t.Run(name, func(t *testing.T) {
			centre := verifytest.New(t)
			p := check(centre.Portfolio(c.spoil), trust(t, centre.Key))
			if word, why := p.Verdict(); word != verify.Altered {
				t.Errorf("%q %q, want altered", word, why)
			}
			for _, want := range c.want {
				if !strings.Contains(lines(p), want) {
					t.Errorf("nothing says %q:\n%s", want, lines(p))
				}
			}
		})
	}
}

func recordID(name string) string { return portfoliotest.RecordID(name).String() }

func swapped(t testing.TB) func(string) []byte {
	other, n := portfoliotest.Photograph(t, 99, 160, 120), 0
	return func(string) []byte {
		if n++; n == 1 {
			return other
		}
		return nil
	}
}

var flips = flag.Int("flips", 200, "how many bytes at random are changed, one after the other; many for a soak")

// Nothing of a finished file can be changed: whichever byte it is, wherever it stands.
func TestBytes(t *testing.T) {
	c := verifytest.New(t)
	data, tr := c.Portfolio(verifytest.Spoil{}), trust(t, c.Key)
	random := mathrand.New(mathrand.NewPCG(20260521, 1))
	for range *flips {
		i, bit := random.IntN(len(data)), byte(1)<<random.IntN(8)
		data[i] ^= bit
		if word, why := check(data, tr).Verdict(); word != verify.Altered && i >= len("%PDF-") { // what does not begin so is no PDF at all
			t.Errorf("bit %08b of byte %d of %d changed: %q %q", bit, i, len(data), word, why)
		}
		data[i] ^= bit
	}
	for i := 7; i < len(data); i += len(data)/60 + 1 {
		bad := bytes.Clone(data)
		bad[i] ^= 1
		if word, why := check(bad, tr).Verdict(); word != verify.Altered {
			t.Errorf("byte %d of %d changed: %q %q", i, len(data), word, why)
		}
	}
	word, why := check(data[:len(data)*2/3], tr).Verdict()
	if word != verify.Altered || !strings.Contains(why, "cut short") {
		t.Errorf("a truncated file: %q %q", word, why)
	}
	if word, why := check(append(bytes.Clone(data), "\n% more\n"...), tr).Verdict(); word != verify.Altered {
		t.Errorf("bytes behind the end: %q %q", word, why)
	}
	// The signature's own bytes are the only ones that it does not cover.
	at := bytes.Index(data, []byte("/Contents <"))
	end := at + bytes.IndexByte(data[at:], '>')
	letter := at + len("/Contents <") + bytes.IndexAny(data[at+len("/Contents <"):], "abcdef")
	for i, now := range map[int]byte{end - 1: ' ', letter: data[letter] - 'a' + 'A'} {
		bad := bytes.Clone(data)
		bad[i] = now
		if word, why := check(bad, tr).Verdict(); word != verify.Altered {
			t.Errorf("%q for %q in the signature: %q %q", now, data[i], word, why)
		}
	}
	// The word on the page itself: text in page streams is packed, so what is changed there is a packed byte.
	if i := bytes.Index(data, []byte("/FlateDecode")); i < 0 {
		t.Error("no packed stream")
	} else {
		bad := bytes.Clone(data)
		bad[i+200] ^= 4
		if word, _ := check(bad, tr).Verdict(); word != verify.Altered {
			t.Errorf("a byte of a page changed: %q", word)
		}
	}
}

func TestCannotTell(t *testing.T) {
	c := verifytest.New(t)
	data := c.Portfolio(verifytest.Spoil{})
	_, stranger := verifytest.LogKey(t, "elsewhere/log")
	_, imposter := verifytest.LogKey(t, verifytest.Origin)
	unsigned := verifytest.New(t)
	bare := unsigned.Portfolio(verifytest.Spoil{Unsigned: true})
	for name, k := range map[string]struct {
		data []byte
		tr   verify.Trust
		word verify.Word
		want string
	}{
		"no key":                      {data, verify.Trust{}, verify.CannotTell, "No key was given"},
		"another centre's key":        {data, trust(t, stranger), verify.CannotTell, "the key that was given is of elsewhere/log"},
		"a key of the same name":      {data, trust(t, imposter), verify.CannotTell, "a key that you did not give. The file names " + c.Key + ": ask"},
		"changed, and another key":    {flip(data), trust(t, imposter), verify.Altered, ""},
		"of several keys one is it":   {data, trust(t, stranger, c.Key), verify.GenuineCentreTime, ""},
		"made without a signature":    {bare, trust(t, unsigned.Key), verify.CannotTell, "made without a signature"},
		"no PDF":                      {[]byte("a letter"), trust(t, c.Key), verify.CannotTell, "no PDF file"},
		"nothing":                     {nil, trust(t, c.Key), verify.CannotTell, "no PDF file"},
		"changed, and nobody's key":   {flip(data), verify.Trust{}, verify.Altered, ""},
		"a PDF that is no portfolio":  {[]byte(minimalPDF), trust(t, c.Key), verify.CannotTell, "no portfolio"},
		"a PDF that is only a header": {[]byte("%PDF-1.7\n"), trust(t, c.Key), verify.Altered, "cut short"},
	} {
		p := check(k.data, k.tr)
		if word, why := p.Verdict(); word != k.word || !strings.Contains(why, k.want) {
			t.Errorf("%s: %q %q, want %q %q\n%s", name, word, why, k.word, k.want, lines(p))
		}
	}
}

func flip(data []byte) []byte {
	bad := bytes.Clone(data)
	bad[len(bad)/2] ^= 8
	return bad
}

// minimalPDF is a page with nothing on it.
const minimalPDF = "%PDF-1.4\n1 0 obj\n<< /Type /Catalog /Pages 2 0 R >>\nendobj\n2 0 obj\n<< /Type /Pages /Kids [] /Count 0 >>\nendobj\n" +
	"xref\n0 3\n0000000000 65535 f \n0000000009 00000 n \n0000000058 00000 n \ntrailer\n<< /Size 3 /Root 1 0 R >>\nstartxref\n109\n%%EOF\n"

// Of an attempt that was erased the log keeps entries that nothing opens. Of any other, what opens them was taken out.
func TestErased(t *testing.T) {
	erase := func(b *ledger.Bundle) {
		for i, e := range b.Entries {
			if leaf, err := ledger.ReadLeaf(e.Leaf); err == nil && leaf.Kind != ledger.KindPortfolio && leaf.Kind != ledger.KindKey {
				b.Entries[i].Openings = nil
			}
		}
	}
	for name, k := range map[string]struct {
		state  decision.State
		bundle func(b *ledger.Bundle)
		word   verify.Word
		say    string
	}{
		"erased":                     {decision.Destroyed, erase, verify.GenuineCentreTime, "of an attempt that was erased, so nobody can read"},
		"said to be, and still open": {decision.Destroyed, nil, verify.Altered, `words was logged as`},
		"only taken out":             {decision.Archived, erase, verify.Altered, "that the log does not have was put into the record"},
		"with an entry too few": {decision.Destroyed, func(b *ledger.Bundle) {
			erase(b)
			b.Entries = append(b.Entries[:2:2], b.Entries[3:]...)
		}, verify.Altered, "that the log does not have was put into the record"},
	} {
		c := verifytest.New(t)
		c.Decide()
		for _, task := range c.Source.Tasks {
			for i := range task.Attempts {
				task.Attempts[i].State = k.state
				for j := range task.Attempts[i].Records {
					task.Attempts[i].Records[j].Words = "erased"
				}
			}
		}
		p := check(c.Portfolio(verifytest.Spoil{Bundle: k.bundle}), trust(t, c.Key))
		if word, why := p.Verdict(); word != k.word || !strings.Contains(lines(p), k.say) {
			t.Errorf("%s: %q %q, want %q and %q\n%s", name, word, why, k.word, k.say, lines(p))
		}
	}
}

func TestTogether(t *testing.T) {
	c := verifytest.New(t)
	tr := trust(t, c.Key)
	first := check(c.Portfolio(verifytest.Spoil{}), tr)
	second := check(c.Portfolio(verifytest.Spoil{}), tr)
	silent := check(c.Portfolio(verifytest.Spoil{Bundle: func(b *ledger.Bundle) { b.Earlier = nil }}), tr)

	// The same key over another log: as long as the first, and not it.
	other := verifytest.New(t)
	other.Signer, other.Key = c.Signer, c.Key
	rewritten := check(other.Portfolio(verifytest.Spoil{}), tr)

	for name, k := range map[string]struct {
		all  []*verify.Portfolio
		want []verify.State
		say  string
	}{
		"in order":           {[]*verify.Portfolio{first, second}, []verify.State{verify.Holds}, "goes on from"},
		"the other way":      {[]*verify.Portfolio{second, first}, []verify.State{verify.Holds}, "goes on from"},
		"twice the same":     {[]*verify.Portfolio{first, first}, []verify.State{verify.Holds}, "goes on"},
		"without a proof":    {[]*verify.Portfolio{first, silent}, []verify.State{verify.NotChecked}, "brings no proof"},
		"of a rewritten log": {[]*verify.Portfolio{first, rewritten}, []verify.State{verify.Broken}, "does not go on"},
		"rewritten later":    {[]*verify.Portfolio{rewritten, second}, []verify.State{verify.Broken}, "does not go on"},
		"one alone":          {[]*verify.Portfolio{first}, nil, ""},
		"unreadable ones":    {[]*verify.Portfolio{first, check(nil, tr)}, nil, ""},
	} {
		got := verify.Together(k.all)
		if len(got) != len(k.want) {
			t.Errorf("%s: %v, want %v", name, got, k.want)
			continue
		}
		for i, l := range got {
			if l.State != k.want[i] || !strings.Contains(l.Words, k.say) {
				t.Errorf("%s: %+v, want %s %q", name, l, k.want[i], k.say)
			}
		}
	}
}
