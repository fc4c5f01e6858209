package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
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
	if out, err := healthCheck(t, address).CombinedOutput(); err != nil {
		t.Errorf("docker-compose.yml's check of health fails: %v %s", err, out)
	}
	if err := healthCheck(t, fmt.Sprintf("http://127.0.0.1:%d", freePort(t))).Run(); err == nil {
		t.Error("docker-compose.yml's check of health finds nobody in good health")
	}
	away := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusServiceUnavailable) }))
	defer away.Close()
	if err := healthCheck(t, away.URL).Run(); err == nil {
		t.Error("docker-compose.yml's check of health is content with a server that cannot work")
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

// healthCheck is docker-compose.yml's, of a server at another address.
func healthCheck(t *testing.T, address string) *exec.Cmd {
	t.Helper()
	s := composeServices(t)["witnessmark"]
	test := s.Healthcheck.Test
	if len(test) != 4 || test[0] != "CMD" || !strings.Contains(test[3], "127.0.0.1"+strings.ReplaceAll(s.Environment["WITNESSMARK_LISTEN"], ":", "/")) {
		t.Fatalf("docker-compose.yml checks health by %q", test)
	}
	_, port, _ := strings.Cut(strings.TrimPrefix(address, "http://"), ":")
	return exec.CommandContext(t.Context(), test[1], test[2], strings.ReplaceAll(test[3], "/8080", "/"+port))
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
