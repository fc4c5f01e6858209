package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"witnessmark/seed"
)

// demoDir is a folder for a demonstration that the account of its PostgreSQL may enter.
func demoDir(t *testing.T) string {
	t.Helper()
	base, err := os.MkdirTemp("", "witnessmark-demo-test-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(base); err != nil {
			t.Error(err)
		}
	})
	if err := os.Chmod(base, 0o711); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(base, "demo")
}

// freePort is a port that was free a moment ago.
func freePort(t *testing.T) int {
	t.Helper()
	l := listening(t)
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	return portOf(l)
}

func listening(t *testing.T) net.Listener {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func portOf(l net.Listener) int { return l.Addr().(*net.TCPAddr).Port }

var printedAddress = regexp.MustCompile(`https?://[0-9.]+:[0-9]+`)

// client is a browser's cookie jar and nothing else.
func client(t *testing.T) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Client{Jar: jar}
}

// ask sends JSON and gives the status and the answer.
func ask(t *testing.T, c *http.Client, method, address, body string) (int, string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	res, err := c.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var text bytes.Buffer
	if _, err := text.ReadFrom(res.Body); err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, text.String()
}

// demoPeople is how many people the demonstration has: those who sign in, and the verifier who comes by the link of a visit.
func demoPeople() int { return len(seed.SignIns()) + 1 }

// peopleAt signs the demonstration's manager in and counts the people of the centre, through the server.
func peopleAt(t *testing.T, address string) int {
	t.Helper()
	c := client(t)
	if code, text := ask(t, c, http.MethodPost, address+"/api/session", fmt.Sprintf(`{"name": "farrowby", "password": %q}`, seed.Password)); code != http.StatusOK {
		t.Fatalf("sign in: %d %s", code, text)
	}
	code, text := ask(t, c, http.MethodGet, address+"/api/people", "")
	if code != http.StatusOK {
		t.Fatalf("list people: %d %s", code, text)
	}
	var people struct {
		People []struct{ Name string }
	}
	if err := json.Unmarshal([]byte(text), &people); err != nil {
		t.Fatalf("%v in %s", err, text)
	}
	return len(people.People)
}

// serversOn lists the processes that work in the cluster of the demonstration: PostgreSQL's own change into it.
func serversOn(t *testing.T, dir string) []int {
	t.Helper()
	data, err := filepath.EvalSymlinks(filepath.Join(dir, "postgresql", "data"))
	if err != nil {
		t.Fatal(err)
	}
	links, err := filepath.Glob("/proc/[0-9]*/cwd")
	if err != nil {
		t.Fatal(err)
	}
	var pids []int
	for _, l := range links {
		if at, err := os.Readlink(l); err == nil && at == data {
			pid, err := strconv.Atoi(strings.Split(l, "/")[2])
			if err != nil {
				t.Fatal(err)
			}
			pids = append(pids, pid)
		}
	}
	return pids
}

// TestDemo is one demonstration from its first start to its last, in the order in which a person would live it.
func TestDemo(t *testing.T) {
	dir := demoDir(t)
	port := strconv.Itoa(freePort(t))

	first := launch(t, built(t), "demo", "--data", dir, "--port", port)
	out := first.says(t, "Ctrl-C stops everything")
	contains(t, out, "Filling the demonstration centre", "http://127.0.0.1:", seed.Password, dir)
	for _, s := range seed.SignIns() {
		contains(t, out, s.SignInName, s.Name, s.Role.Words())
	}
	if got, want := peopleAt(t, printedAddress.FindString(out)), demoPeople(); got != want {
		t.Errorf("the centre has %d people, want %d", got, want)
	}
	if len(serversOn(t, dir)) == 0 {
		t.Fatal("no process works in the cluster, so this test would see none that is left")
	}
	first.signal(t, os.Interrupt)
	contains(t, first.out.String(), "Stopped. The data is kept")
	if left := serversOn(t, dir); len(left) > 0 {
		t.Errorf("after the stop PostgreSQL's processes %v are left", left)
	}

	t.Run("killed", func(t *testing.T) { demoKilled(t, dir) })
	t.Run("again", func(t *testing.T) { demoAgain(t, dir) })
	t.Run("fresh", func(t *testing.T) { demoFresh(t, dir) })
}

// demoKilled: the second start keeps the data; while it runs nobody else may have the folder; kill -9 leaves no server.
func demoKilled(t *testing.T, dir string) {
	p := launch(t, itself(t), "demo", "--data", dir, "--port", strconv.Itoa(freePort(t)))
	out := p.says(t, "Ctrl-C stops everything")
	if strings.Contains(out, "Filling") {
		t.Errorf("the second start fills again:\n%s", out)
	}
	if got, want := peopleAt(t, printedAddress.FindString(out)), demoPeople(); got != want {
		t.Errorf("the centre has %d people at the second start, want %d", got, want)
	}
	for _, args := range [][]string{{"demo", "--data", dir}, {"demo", "--data", dir, "--fresh"}} {
		_, err := do(t, nil, args...)
		refused(t, err, dir, "is running already")
	}
	if err := p.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	p.wait(t)
	until(t, "PostgreSQL ends with the program that was killed", func() bool { return len(serversOn(t, dir)) == 0 })
}

// demoAgain: the start after a kill works and keeps the data, on another port where the wanted one is busy; SIGTERM ends
// it as Ctrl-C does.
func demoAgain(t *testing.T, dir string) {
	busy := listening(t)
	defer busy.Close()
	p := launch(t, itself(t), "demo", "--data", dir, "--port", strconv.Itoa(portOf(busy)))
	out := p.says(t, "Ctrl-C stops everything")
	contains(t, out, fmt.Sprintf("Port %d is busy; trying the next.", portOf(busy)))
	address := printedAddress.FindString(out)
	if strings.HasSuffix(address, ":"+strconv.Itoa(portOf(busy))) || strings.Contains(out, "Filling") {
		t.Errorf("got\n%s\nwant another port, and nothing filled", out)
	}
	if got, want := peopleAt(t, address), demoPeople(); got != want {
		t.Errorf("the centre has %d people after the kill, want %d", got, want)
	}
	p.signal(t, syscall.SIGTERM)
	contains(t, p.out.String(), "Stopped. The data is kept")
	if left := serversOn(t, dir); len(left) > 0 {
		t.Errorf("after SIGTERM PostgreSQL's processes %v are left", left)
	}
}

// demoFresh: --fresh throws the data away and fills again; cut off meanwhile, the next start says what to do and --fresh
// does it.
func demoFresh(t *testing.T, dir string) {
	old := filepath.Join(dir, "postgresql", "data", "PG_VERSION")
	before, err := os.Stat(old)
	if err != nil {
		t.Fatal(err)
	}
	r := start(t, nil, "demo", "--data", dir, "--fresh", "--port", strconv.Itoa(freePort(t)))
	r.says(t, "Filling the demonstration centre")
	if now, err := os.Stat(old); err != nil || os.SameFile(before, now) {
		t.Errorf("the old cluster is still there (%v)", err)
	}
	refused(t, r.end(t), "stopped before the demonstration was complete", "--fresh")
	if left := serversOn(t, dir); len(left) > 0 {
		t.Errorf("after the cut PostgreSQL's processes %v are left", left)
	}
	_, err = do(t, nil, "demo", "--data", dir)
	refused(t, err, "cut off while it was being filled", "--fresh")
	if left := serversOn(t, dir); len(left) > 0 {
		t.Errorf("after the refusal PostgreSQL's processes %v are left", left)
	}
	r = start(t, nil, "demo", "--data", dir, "--fresh", "--port", strconv.Itoa(freePort(t)))
	r.says(t, "Filling the demonstration centre")
	refused(t, r.end(t), "stopped before")
}

// A folder that is not a demonstration's is left alone, with --fresh above all.
func TestDemoLeavesOtherFoldersAlone(t *testing.T) {
	for _, args := range [][]string{{}, {"--fresh"}} {
		dir := demoDir(t)
		if err := os.MkdirAll(dir, 0o711); err != nil {
			t.Fatal(err)
		}
		precious := filepath.Join(dir, "precious.txt")
		if err := os.WriteFile(precious, []byte("kept"), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := do(t, nil, append([]string{"demo", "--data", dir}, args...)...)
		refused(t, err, dir, "something else than the demonstration")
		if text, err := os.ReadFile(precious); err != nil || string(text) != "kept" {
			t.Errorf("%v: the file there now holds %q, %v", args, text, err)
		}
		if entries, err := os.ReadDir(dir); err != nil || len(entries) != 1 {
			t.Errorf("%v: the folder now holds %v, %v", args, entries, err)
		}
	}
}

func TestDemoFreshDoesNotTouchANamedDatabase(t *testing.T) {
	_, err := do(t, variables{"DATABASE_URL": "postgres://x@127.0.0.1:1/x"}, "demo", "--data", demoDir(t), "--fresh")
	refused(t, err, "--fresh", "DATABASE_URL")
}

// A clock that goes ahead is the demonstration's alone: it erases what is past its time, in years to come.
func TestOnlyADemonstrationGoesAhead(t *testing.T) {
	named := variables{"DATABASE_URL": "postgres://x@127.0.0.1:1/x"}
	_, err := do(t, named, "demo", "--data", demoDir(t), "--ahead", "1100")
	refused(t, err, "--ahead", "DATABASE_URL")
	for _, command := range []string{"serve", "backup", "audit"} {
		_, err := do(t, named, command, "--ahead", "1100")
		refused(t, err, "unknown flag --ahead")
	}
	if got, want := (&demoCmd{Ahead: 1100}).clock()(), time.Now().AddDate(0, 0, 1100); got.Sub(want).Abs() > time.Minute {
		t.Errorf("1100 days ahead it is %s, want %s", got, want)
	}
}
