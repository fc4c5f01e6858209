package api

import (
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestParse(t *testing.T) {
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	for _, c := range []struct {
		name, in, want string // want is what the refusal says, "" where the text is taken
	}{
		{"object", `{"a":1}`, ""},
		{"space around", " \t\r\n{ \"a\" : [ 1 , true , null , \"x\" ] } \n", ""},
		{"numbers", `[0,-0,1,-1.5,1e3,1E+3,0.1e-9]`, ""},
		{"escapes", `"\"\\\/\b\f\n\r\t\u00e9"`, ""},
		{"surrogate pair", `"\ud83d\ude00"`, ""},
		{"Welsh, Arabic, Han", `{"ŵ":"سلام 水"}`, ""},
		{"32 levels", deep(32), ""},
		{"33 levels", deep(33), "levels deep"},
		{"10,001 levels", deep(10_001), "levels deep"},
		{"unclosed levels", strings.Repeat(`{"a":`, 100_000), "levels deep"},
		{"nothing", ``, "ends where a value"},
		{"space alone", ` `, "ends where a value"},
		{"cut in a name", `{"a`, "inside double quotes"},
		{"cut in a value", `{"a":`, "ends where a value"},
		{"cut after a value", `{"a":1`, "object's end"},
		{"cut in an array", `[1,`, "ends where a value"},
		{"cut in a word", `tru`, "starts no JSON value"},
		{"two values", `{"a":1}{"b":2}`, "after the end"},
		{"trailing text", `{"a":1} x`, "after the end"},
		{"trailing comma", `{"a":1,}`, "name in double quotes"},
		{"comma alone", `[,1]`, "starts no JSON value"},
		{"comment", `{"a":1 /* x */}`, "object's end"},
		{"single quotes", `{'a':1}`, "name in double quotes"},
		{"name without quotes", `{a:1}`, "name in double quotes"},
		{"no colon", `{"a" 1}`, "colon"},
		{"byte order mark", "\ufeff{}", "starts no JSON value"},
		{"NaN", `[NaN]`, "starts no JSON value"},
		{"Infinity", `[-Infinity]`, "number breaks off"},
		{"plus", `[+1]`, "starts no JSON value"},
		{"leading zero", `[01]`, "array's end"},
		{"hexadecimal", `[0x10]`, "array's end"},
		{"no digit after the point", `[1.]`, "number breaks off"},
		{"no digit before the point", `[.5]`, "starts no JSON value"},
		{"no exponent", `[1e]`, "number breaks off"},
		{"same member twice", `{"a":1,"a":2}`, "second time"},
		{"same member in another case", `{"role":1,"Role":2}`, "second time"},
		{"same member by an escape", `{"a":1,"\u0061":2}`, "second time"},
		{"same member further down", `{"x":{"a":1,"A":2}}`, "second time"},
		{"same member in two objects", `[{"a":1},{"a":2}]`, ""},
		{"lone high surrogate", `"\ud800"`, "surrogate"},
		{"lone low surrogate", `"\udc00"`, "surrogate"},
		{"two high surrogates", `"\ud800\ud800"`, "surrogate"},
		{"surrogate then text", `"\ud800x"`, "surrogate"},
		{"NUL as an escape", `"\u0000"`, "NUL"},
		{"NUL as a byte", "\"\x00\"", "control character"},
		{"line end in a text", "\"a\nb\"", "control character"},
		{"unknown escape", `"\x41"`, "not known"},
		{"short escape", `"\u12"`, "not known"},
		{"signed escape", `"\u+123"`, "not known"},
		{"broken UTF-8", "\"\xff\"", "not UTF-8"},
		{"overlong UTF-8", "\"\xc0\xaf\"", "not UTF-8"},
		{"surrogate in UTF-8", "\"\xed\xa0\x80\"", "not UTF-8"},
		{"too many values", "[" + strings.Repeat("1,", mostValues) + "1]", "more than"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := parse([]byte(c.in))
			switch {
			case c.want == "" && err != nil:
				t.Errorf("got %v, want it taken", err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("got %v, want a refusal with %q", err, c.want)
			}
		})
	}
}

// FuzzParse holds parse against encoding/json: what parse takes, that takes too, with the same value; what parse refuses,
// that refuses as well or it is one of the things that parse is stricter about.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a":[1,-0.5e3,"\ud83d\ude00",null,true]}`, `"\ud800"`, `{"a":1,"A":2}`, `[01]`, "\ufeff1", `[1] x`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		n, err := parse(b)
		if err == nil {
			var want any
			dec := json.NewDecoder(strings.NewReader(string(b)))
			dec.UseNumber()
			if derr := dec.Decode(&want); derr != nil {
				t.Fatalf("parse takes %q, encoding/json says %v", b, derr)
			}
			if got := plain(n); !reflect.DeepEqual(got, want) {
				t.Fatalf("%q: got %#v, want %#v", b, got, want)
			}
			return
		}
		stricter := []string{"second time", "surrogate", "NUL", "levels deep", "more than"}
		allowed := !utf8.Valid(b)
		for _, s := range stricter {
			allowed = allowed || strings.Contains(err.Error(), s)
		}
		if !allowed && json.Valid(b) {
			t.Fatalf("parse refuses %q (%v), encoding/json takes it", b, err)
		}
	})
}

// plain is a node as encoding/json would have it.
func plain(n node) any {
	switch n.form {
	case object:
		m := map[string]any{}
		for _, x := range n.members {
			m[x.name] = plain(x.value)
		}
		return m
	case array:
		a := make([]any, 0, len(n.items))
		for _, x := range n.items {
			a = append(a, plain(x))
		}
		return a
	case text:
		return n.text
	case number:
		return json.Number(n.text)
	case boolean:
		return n.text == "true"
	case null:
	}
	return nil
}

func TestReprDigest(t *testing.T) {
	// SHA-256 of "abc" is in FIPS 180-4's example values; in Base64 from memory of its hex form, checked by decoding.
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	const coded = "sha-256=:ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=:"
	for _, c := range []struct {
		name  string
		lines []string
		want  string
		ok    bool
	}{
		{"none", nil, "", true},
		{"one", []string{coded}, abc, true},
		{"beside another", []string{"sha-512=:AAAA:, " + coded}, abc, true},
		{"on its own line", []string{"sha-512=:AAAA:", coded}, abc, true},
		{"only another", []string{"sha-512=:AAAA:"}, "", false},
		{"twice", []string{coded + ", " + coded}, "", false},
		{"hex", []string{"sha-256=" + abc}, "", false},
		{"no colons", []string{strings.ReplaceAll(coded, ":", "")}, "", false},
		{"short", []string{"sha-256=:AAAA:"}, "", false},
		{"empty", []string{""}, "", false},
		{"not Base64", []string{"sha-256=:****:"}, "", false},
	} {
		got, err := reprDigest(c.lines)
		if got != c.want || (err == nil) != c.ok {
			t.Errorf("%s: got %q, %v; want %q, taken %t", c.name, got, err, c.want, c.ok)
		}
	}
}

// FuzzReprDigest: what is taken can be written back and is taken again; nothing else comes out than 64 digits or nothing.
func FuzzReprDigest(f *testing.F) {
	f.Add("sha-256=:ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=:")
	f.Add("sha-512=:AAAA:, sha-256=::")
	f.Add("sha-256=:")
	f.Fuzz(func(t *testing.T, line string) {
		got, err := reprDigest([]string{line})
		if err != nil {
			return
		}
		raw, err := hex.DecodeString(got)
		if err != nil || len(raw) != 32 {
			t.Fatalf("%q gives %q", line, got)
		}
		if again, err := reprDigest([]string{"sha-256=:" + base64.StdEncoding.EncodeToString(raw) + ":"}); again != got || err != nil {
			t.Fatalf("%q gives %q, and that written back %q, %v", line, got, again, err)
		}
	})
}
