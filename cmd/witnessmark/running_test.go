package main

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Whoever watches over the program learns whether it runs, whether it can work, and how it fares; nothing of a person stands in
// what it tells or logs.
func TestWatchedOver(t *testing.T) {
	env, urls := decided(t)
	watch := fmt.Sprintf("127.0.0.1:%d", freePort(t))
	p := launch(t, itself(t), "serve", "--listen", "127.0.0.1:0", "--metrics", watch, "--database-url", urls.App, "--migrate-database-url", urls.Owner, "--data", env["WITNESSMARK_DATA"])
	address := printedAddress.FindString(p.says(t, "Ctrl-C stops"))
	c := client(t)
	for path, want := range map[string]string{"/healthz": "running\n", "/readyz": "ready\n"} {
		if code, text := ask(t, c, http.MethodGet, address+path, ""); code != http.StatusOK || text != want {
			t.Errorf("%s: got %d %q, want %q", path, code, text, want)
		}
	}
	ask(t, c, http.MethodPost, address+"/api/session", `{"name": "canary-name", "password": "canary-password"}`)
	ask(t, c, http.MethodGet, address+"/canary-page?of=canary-person", "")
	ask(t, c, http.MethodGet, address+"/api/attempts/canary-attempt", "")
	ask(t, c, "CANARY", address+"/", "")
	until(t, "the log is signed", func() bool {
		_, text := ask(t, c, http.MethodGet, "http://"+watch+"/metrics", "")
		return strings.Contains(text, `witnessmark_log_signed_entries{centre="NORTH"} 4`)
	})
	_, told := ask(t, c, http.MethodGet, "http://"+watch+"/metrics", "")
	contains(t, told, `witnessmark_log_entries{centre="NORTH"} 4`, `witnessmark_log_signed_timestamp_seconds{centre="NORTH"}`,
		`witnessmark_request_seconds_count{method="POST",route="/api/session",status="`, `witnessmark_request_seconds_count{method="GET",route="/healthz",status="200"} 1`, "go_goroutines")
	p.says(t, `"route":"/api/session"`)
	for what, text := range map[string]string{"the metrics": told, "the log": p.out.String()} {
		for _, tell := range []string{"canary", "CANARY", "Ada Holm"} {
			if strings.Contains(text, tell) {
				t.Errorf("%s tell of %s:\n%s", what, tell, text)
			}
		}
	}
}

// Doctor says of each decision log how far it is signed, and why it is not.
func TestDoctorLooksAtLogs(t *testing.T) {
	env, _ := decided(t)
	out, _ := do(t, env, "doctor")
	contains(t, out, "look here  decision log of NORTH: 3 entries, 0 of them signed", "Entries wait to be signed")
	if _, err := do(t, env, "keys", "show", "--centre", "NORTH"); err != nil {
		t.Fatal(err)
	}
	out, _ = do(t, env, "doctor")
	contains(t, out, "in order   decision log of NORTH: 4 entries, 4 of them signed, last on ")
	keys := filepath.Join(env["WITNESSMARK_DATA"], "keys", "1")
	found, err := filepath.Glob(filepath.Join(keys, "*.key"))
	if err != nil || len(found) != 1 {
		t.Fatal(found, err)
	}
	if err := os.Remove(found[0]); err != nil {
		t.Fatal(err)
	}
	out, _ = do(t, env, "doctor")
	contains(t, out, "look here  decision log of NORTH: ", "is not in the folder of keys")
}
