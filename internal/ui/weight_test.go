package ui

import (
	"maps"
	"regexp"
	"strings"
	"testing"

	"witnessmark/internal/decision"
)

// What the page that a trainee fills in may weigh on the way to a phone, in bytes as they are sent: the scripts that it loads,
// style sheets, and the module that keeps the first key, which comes before all others. What a tap brings later, such as
// looking at a photo or covering part of it, is counted by itself.
const (
	mostScript = 15_000
	mostLater  = 12_000
	mostStyle  = 6_000
	mostFirst  = 1_050
)

var named = regexp.MustCompile(`(?:src|href)="/static/[0-9a-f]{12}/([^"]+)"`)

func TestTheCapturePageIsLight(t *testing.T) {
	u := newUI(t)
	html := draw(t, u, samplePages(t)["work-"+string(decision.Open)])
	styles, scripts, later := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, m := range named.FindAllStringSubmatch(html, -1) {
		switch name := m[1]; {
		case strings.HasSuffix(name, ".css"):
			styles[name] = true
		case strings.HasSuffix(name, ".js"):
			for _, n := range u.static.scripts.follow(name, true) {
				later[n] = true
			}
			for _, n := range u.static.scripts.follow(name, false) {
				scripts[n] = true
			}
		}
	}
	maps.DeleteFunc(later, func(name string, _ bool) bool { return scripts[name] })
	for _, c := range []struct {
		what  string
		files map[string]bool
		most  int
	}{{"scripts", scripts, mostScript}, {"scripts that a tap brings", later, mostLater}, {"style sheets", styles, mostStyle}} {
		sum := 0
		for _, name := range sortedKeys(c.files) {
			f, ok := u.static.files[name]
			if !ok {
				t.Fatalf("the page names %s, which is not there", name)
			}
			t.Logf("%6d bytes: %s", len(f.zipped), name)
			sum += len(f.zipped)
		}
		t.Logf("%6d bytes of %s, at most %d", sum, c.what, c.most)
		if sum == 0 || sum > c.most {
			t.Errorf("the %s weigh %d bytes compressed, at most %d", c.what, sum, c.most)
		}
	}
	first := 0
	for _, name := range u.static.scripts.follow("phone/early.js", true) {
		first += len(u.static.files[name].zipped)
	}
	if first == 0 || first > mostFirst {
		t.Errorf("the module that keeps the first key weighs %d bytes compressed, at most %d", first, mostFirst)
	}
}

// A page names at its head what it needs, what keeps the first key before all that would share a slow line with it, so that
// nothing is waited for one after the other.
func TestPagesNameTheirModulesAtOnce(t *testing.T) {
	u := newUI(t)
	html := draw(t, u, samplePages(t)["work-"+string(decision.Open)])
	if first := named.FindStringSubmatch(html); first == nil || first[1] != "phone/early.js" {
		t.Error("the module that keeps the first key does not come first")
	}
	for _, address := range u.static.modules("capture.js") {
		if !strings.Contains(html[:strings.Index(html, "</head>")], ` src="`+address+`"`) {
			t.Errorf("%s is not asked for at once", address)
		}
	}
	if done := draw(t, u, samplePages(t)["work-"+string(decision.SignedOff)]); !strings.Contains(done, "office.css") {
		t.Error("a sheet with decisions on it lacks the style of decisions")
	}
}
