package marking

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/fault"
)

// bomb is levels of aliases of aliases: nine entries of the level above in each.
func bomb(levels int) string {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < levels; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [%s]\n", i, i, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*a%d, ", i-1), 9), ", "))
	}
	return b.String() + fmt.Sprintf("trainee: *a%d\n", levels-1)
}

// Each case gives one clear error at its place, and nothing else comes back. Where a value only looks odd it stays as it
// was typed: no, 012 and 1:30 mean what they say.
func TestBadSubmissions(t *testing.T) {
	const text = "entries: [{item: a, text: "
	for _, c := range []struct{ name, src, field, says string }{
		{"anchors within anchors", bomb(9), "1:5", "anchors"},
		{"a tag of bytes", "trainee: !!binary aGVsbG8=\n", "1:10", "A submission has no tags"},
		{"a tag of a program", "trainee: !!python/object/apply:os.system ['ls']\n", "1:10", "tags"},
		{"merged members", "<<: {trainee: a}\n", "1:1", "merged"},
		{"a name that is not plain", "? trainee\n: a\n", "1:1", "plain word"},
		{"a directive", "%YAML 1.1\n---\ntrainee: a\n", "1:1", "directives"},
		{"a second document behind an end", "trainee: a\n...\n---\nb: c\n", "3:1", "one submission only"},
		{"a switch in the words of Norway", "checks: [{item: a, seen: no}]\n", "1:26", "true or false"},
		{"an unknown name", "entries: [{item: a, mark: 1}]\n", "1:21", `"mark" is not known`},
		{"a name that nobody owns", `{"__proto__": {}}`, "1:2", `"__proto__" is not known`},
		{"a name in other letters", `{"trainee": "a", "Trainee": "b"}`, "1:18", `"Trainee" is not known`},
		{"a name of nothing", "~: a\n", "1:1", "is not known"},
		{"a name twice in JSON", `{"trainee": "a", "trainee": "b"}`, "1:18", "stands here twice"},
		{"a given twice", "given: {a: 1, a: 2}\n", "1:15", "stands here twice"},
		{"NUL", "trainee: a\x00b\n", "1:11", "U+0000"},
		{"NUL as an escape", "trainee: \"a\\u0000b\"\n", "1:10", "U+0000"},
		{"a bell", "trainee: a\x07b\n", "1:11", "U+0007"},
		{"a bell as an escape", text + "\"\\u0007\"}]\n", "1:27", "U+0007"},
		{"a mark that turns the reading", "trainee: a\u202eb\n", "1:10", "U+202E"},
		{"an isolate", "trainee: \u2066b\n", "1:10", "U+2066"},
		{"a line separator", "trainee: a\u2028b\n", "1:11", "U+2028"},
		{"a byte order mark inside", "trainee: a\ufeffb\n", "1:11", "U+FEFF"},
		{"no character at all", "trainee: a\ufffeb\n", "1:10", "U+FFFE"},
		{"half a surrogate pair", `{"trainee": "\ud800"}`, "1:14", "cannot be read"},
		{"not UTF-8", "entries:\n  - {item: \xffa}\n", "2:12", "UTF-8"},
		{"an overlong zero", "trainee: \xc0\x80\n", "1:10", "UTF-8"},
		{"UTF-16", "\xff\xfet\x00r\x00", "1:1", "UTF-8"},
		{"UTF-16 without its mark", "t\x00r\x00", "1:2", "U+0000"},
		{"lines that end as on old machines", "trainee: a\rentries: []\r", "1:11", "U+000D"},
		{"10 MB", strings.Repeat("a", 10<<20), "file", "too large"},
		{"10 MB of brackets", strings.Repeat("[", 10<<20), "file", "too large"},
		{"1 MB of brackets", strings.Repeat("[", 1<<20), "file", "words and marks"},
		{"1 MB of braces in JSON", strings.Repeat(`{"a":`, 1<<17), "file", "words and marks"},
		{"JSON 10,000 deep", strings.Repeat(`[`, 10_000), "1:9", "nested too deeply"},
		{"a list at the top", `[]`, "1:1", "Names with values"},
		{"a text at the top", `"x"`, "1:1", "Names with values"},
		{"null at the top", `null`, "1:1", "Names with values"},
		{"null where a list belongs", `{"entries": null}`, "1:13", "A list belongs here"},
		{"null where an entry belongs", `{"entries": [null]}`, "1:14", "Names with values"},
		{"a number where an entry belongs", "entries: [3]\n", "1:11", "Names with values"},
		{"true where a text belongs", `{"entries": [{"item": "a", "text": true}]}`, "1:36", "quotes"},
		{"a group where a text belongs", "given: {a: {b: c}}\n", "1:12", "Words or a number"},
	} {
		t.Run(c.name, func(t *testing.T) { refusedSheet(t, ReadSheet, c.src, c.field, c.says) })
	}
}

func refusedSheet(t *testing.T, read func([]byte) (Sheet, error), src, field, says string) {
	t.Helper()
	s, err := read([]byte(src))
	f, ok := fault.As(err)
	if !ok || f.Kind != fault.KindInvalid {
		t.Fatalf("got %+v, %v; want a fault that a person can mend", s, err)
	}
	if len(f.Fields) != 1 || f.Fields[0].Name != field || !strings.Contains(f.Message, says) {
		t.Errorf("got %+v, want %q with %q", f.Fields, field, says)
	}
	if s.Trainee != "" || s.Given != nil || s.Entries != nil || s.Checks != nil {
		t.Errorf("half a sheet came back: %+v", s)
	}
	if strings.ContainsAny(f.Message, "\x00\x07\x1b\u202e") {
		t.Errorf("the message repeats what cannot be seen: %q", f.Message)
	}
}

// What calls itself JSON is held to JSON's own rules.
func TestBadJSONSubmissions(t *testing.T) {
	for _, c := range []struct{ name, src, field, says string }{
		{"a comma too many", "{\"trainee\": \"a\",\n}", "2:1", "not JSON here"},
		{"single quotes", `{'trainee': 'a'}`, "1:2", "not JSON here"},
		{"a comment", `{"trainee": "a" /* x */}`, "1:17", "not JSON here"},
		{"NaN", `{"entries": [{"item": "a", "text": NaN}]}`, "1:36", "not JSON here"},
		{"text behind it", `{"trainee": "a"} x`, "1:18", "not JSON here"},
		{"two objects", "{\"trainee\": \"a\"}\n{\"trainee\": \"b\"}", "2:1", "not JSON here"},
		{"never closed", `{"trainee": "a"`, "1:15", "not JSON here"},
		{"no colon", `{"trainee" "a"}`, "1:12", "not JSON here"},
		{"YAML", "trainee: a\n", "1:3", "not JSON here"},
		{"a name twice", `{"trainee": "a", "trainee": "b"}`, "1:18", "stands here twice"},
		{"an unknown name", `{"entries": [{"item": "a", "mark": 1}]}`, "1:28", `"mark" is not known`},
		{"not UTF-8", "{\"trainee\": \"\xff\"}", "1:14", "UTF-8"},
		{"half a surrogate pair", `{"trainee": "\ud800"}`, "1:14", "cannot be read"},
		{"NUL", "{\"trainee\": \"\x00\"}", "1:14", "U+0000"},
		{"10 MB", `{"trainee": "` + strings.Repeat("a", 10<<20) + `"}`, "file", "too large"},
		{"nothing", "", "1:1", ""},
	} {
		t.Run(c.name, func(t *testing.T) { refusedSheet(t, ReadJSONSheet, c.src, c.field, c.says) })
	}
}

// Odd values that are text stay as they were typed: the marker says what it makes of them.
func TestOddTextStaysAsTyped(t *testing.T) {
	for _, text := range []string{"no", "on", "012", "0x1F", "0o17", "1_000", "1:30", ".inf", ".nan", "NaN", "2026-02-29", "-0", "1e400", "9007199254740993", "0.10", "22 ㎜", "１８.５"} {
		for name, src := range map[string]string{
			"YAML": "entries:\n  - {item: a, text: " + text + "}\n", "quoted": "entries: [{item: a, text: \"" + text + "\"}]\n", "with a mark before it": "\ufeffentries:\r\n- item: a\r\n  text: " + text + "\r\n",
			"JSON": "{\n\t\"entries\": [\n\t\t{\"item\": \"a\", \"text\": \"" + text + "\"}\n\t]\n}\n",
		} {
			read := ReadSheet
			if name == "JSON" {
				read = ReadJSONSheet
			}
			s, err := read([]byte(src))
			if err != nil || len(s.Entries) != 1 || s.Entries[0].Text != text {
				t.Errorf("%s as %s: got %+v, %v", text, name, s.Entries, err)
			}
		}
	}
}
