package ui

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"
)

func itoa(n int) string { return strconv.Itoa(n) }

func TestSamePage(t *testing.T) {
	for next, want := range map[string]string{
		"/bench": "/bench", "/attempts/1?x=2#y": "/attempts/1?x=2#y", "": "/", "bench": "/", "//elsewhere.example": "/", `/\elsewhere.example`: "/",
		"https://elsewhere.example/": "/", "javascript:alert(1)": "/", "/a\r\nSet-Cookie: x": "/", "/\t/elsewhere.example": "/",
	} {
		if got := samePage(next); got != want {
			t.Errorf("samePage(%q): got %q, want %q", next, got, want)
		}
	}
}

func TestAttachment(t *testing.T) {
	for name, want := range map[string]string{
		"rig.pdf":         `attachment; filename="rig.pdf"; filename*=UTF-8''rig.pdf`,
		"a\"b\r\nX: y":    `attachment; filename="a_b__X_ y"; filename*=UTF-8''a%22b%0D%0AX%3A%20y`,
		"Prüfblatt 7.pdf": `attachment; filename="Pr_fblatt 7.pdf"; filename*=UTF-8''Pr%C3%BCfblatt%207.pdf`, // RFC 8187's encoding
	} {
		if got := attachment(name); got != want {
			t.Errorf("attachment(%q): got %s, want %s", name, got, want)
		}
	}
}

func TestWords(t *testing.T) {
	cases := []struct{ name, got, want string }{
		{"summer time", clock(time.Date(2026, 5, 3, 13, 5, 0, 0, time.UTC)), "3 May 2026, 14:05"},
		{"winter time", clock(time.Date(2026, 1, 3, 13, 5, 0, 0, time.UTC)), "3 January 2026, 13:05"},
		{"no time", clock(time.Time{}), ""},
		{"size", size(3_412_000), "3.4" + thin + "MB"},
		{"small size", size(1234), "1" + thin + "kB"},
		{"quantity", spaced("80 °C"), "80" + thin + "°C"},
		{"words are no quantity", spaced("drawn for each"), "drawn for each"},
		{"list", join([]string{"a", "b", "c"}), "a, b and c"},
		{"count", count(1, "file", "files") + " " + count(2, "file", "files"), "1 file 2 files"},
		{"caret", caret("a: b", 4), "a: b\n   ^"},
		{"caret of a long line", caret(strings.Repeat("x", 200), 100), strings.Repeat("x", 80) + "\n" + strings.Repeat(" ", 40) + "^"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestLineEntry(t *testing.T) {
	for _, name := range []string{"tf", "tf@as-left", "qv#2", "qv#2@as-found", "demand#both/valve"} {
		e := lineEntry(name)
		got := e.Item
		if e.Part != "" {
			got += "#" + e.Part
		}
		if e.Phase != "" {
			got += "@" + string(e.Phase)
		}
		if got != name {
			t.Errorf("lineEntry(%q) stands for %q", name, got)
		}
	}
}

func TestStaticFilesAreKeptUnderTheirEdition(t *testing.T) {
	s := newSite(t)
	u, err := newStaticFiles()
	must(t, err)
	v := &visitor{site: s}
	for name := range u.files {
		a := v.get(t, u.address(name)).want(t, http.StatusOK)
		if got := a.header.Get("Cache-Control"); !strings.Contains(got, "immutable") {
			t.Errorf("%s: Cache-Control is %q", name, got)
		}
		old := v.get(t, "/static/000000000000/"+name).want(t, http.StatusOK)
		if got := old.header.Get("Cache-Control"); got != "no-store" {
			t.Errorf("%s of another edition: Cache-Control is %q", name, got)
		}
	}
	v.get(t, u.address("no-such.js")).want(t, http.StatusNotFound)
	v.get(t, u.address("..%2fembed.go")).want(t, http.StatusNotFound)
}

func TestValuesStandUnderTheirPoints(t *testing.T) {
	cases := []struct {
		text, unit        string
		whole, rest, with string
	}{
		{"18.5 kW", "", "18", ".5", "kW"},
		{"17" + thin + "K", "", "17", "", "K"},
		{"15.79", "kW", "15", ".79", "kW"},
		{"0.12", "", "0", ".12", ""},
		{"12,4", "L/min", "12,4", "", "L/min"}, // an ambiguous comma stays as it was typed
		{"", "", "", "", ""},
	}
	for _, c := range cases {
		if a := aligned("", c.text, c.unit, false); a.Whole != c.whole || a.Rest != c.rest || a.Unit != c.with {
			t.Errorf("aligned(%q, %q): got %q %q %q, want %q %q %q", c.text, c.unit, a.Whole, a.Rest, a.Unit, c.whole, c.rest, c.with)
		}
	}
}
