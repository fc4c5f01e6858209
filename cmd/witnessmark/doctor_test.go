package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store/storetest"
)

// TestDoctor looks at installations with one thing wrong each. A finding that is in order says so; any other comes with
// advice and exit code 1.
func TestDoctor(t *testing.T) {
	good, key, _ := certificate(t, time.Now().AddDate(0, 6, 0))
	ending, endingKey, _ := certificate(t, time.Now().AddDate(0, 0, 7))
	ended, endedKey, _ := certificate(t, time.Now().AddDate(0, 0, -1))
	db := storetest.Migrated(t)
	base := variables{"DATABASE_URL": db.App, "WITNESSMARK_DATA": t.TempDir(), "WITNESSMARK_TLS_CERT": good, "WITNESSMARK_TLS_KEY": key}
	saved := t.TempDir()
	base["WITNESSMARK_BACKUPS"] = saved
	if err := os.Mkdir(filepath.Join(saved, time.Now().UTC().Format(stamp)), 0o700); err != nil {
		t.Fatal(err)
	}
	old := t.TempDir()
	if err := os.Mkdir(filepath.Join(old, time.Now().UTC().AddDate(0, 0, -3).Format(stamp)), 0o700); err != nil {
		t.Fatal(err)
	}
	open := t.TempDir()
	for name, mode := range map[string]os.FileMode{"evidence": 0o755} {
		if err := os.Mkdir(filepath.Join(open, name), mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(filepath.Join(open, name), mode); err != nil { // whatever the umask
			t.Fatal(err)
		}
	}
	blocked := t.TempDir()
	if err := os.WriteFile(filepath.Join(blocked, "evidence"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		set  variables
		want []string // "look here" or "in order" first
	}{
		{"all in order", nil, []string{"in order   database: ", "in order   evidence folder: ", "not there yet", "in order   HEIC photos: drawn by /", "in order   https: certificate " + good + ", good until "}},
		{"a superuser", variables{"DATABASE_URL": db.Super}, []string{"look here  database: ", "superuser", "witnessmark_app"}},
		{"not migrated", variables{"DATABASE_URL": storetest.Empty(t).App}, []string{"look here  database: ", "run witnessmark migrate"}},
		{"no answer", variables{"DATABASE_URL": "postgres://a@127.0.0.1:1/a"}, []string{"look here  database: ", "It does not answer"}},
		{"a database far away", variables{"DATABASE_URL": "postgres://a@192.0.2.1:1/a?connect_timeout=1"}, []string{"look here  database connection: may travel unencrypted to 192.0.2.1", "sslmode=verify-full"}},
		{"evidence open to all", variables{"WITNESSMARK_DATA": open}, []string{"look here  evidence folder: ", "chmod o= " + filepath.Join(open, "evidence")}},
		{"a file for a folder", variables{"WITNESSMARK_DATA": blocked}, []string{"look here  evidence folder: ", "That is a file"}},
		{"no https", variables{"WITNESSMARK_TLS_CERT": "", "WITNESSMARK_TLS_KEY": ""}, []string{"look here  https: none", "no page opens without signal", "WITNESSMARK_TLS_CERT", "WITNESSMARK_TRUSTED_PROXY"}},
		{"a certificate alone", variables{"WITNESSMARK_TLS_KEY": ""}, []string{"look here  https: ", "go together"}},
		{"another's key", variables{"WITNESSMARK_TLS_KEY": endedKey}, []string{"look here  https: ", "cannot be used"}},
		{"a certificate about to end", variables{"WITNESSMARK_TLS_CERT": ending, "WITNESSMARK_TLS_KEY": endingKey}, []string{"look here  https: ", "within two weeks"}},
		{"a certificate that has ended", variables{"WITNESSMARK_TLS_CERT": ended, "WITNESSMARK_TLS_KEY": endedKey}, []string{"look here  https: ", "has run out"}},
		{"a proxy", variables{"WITNESSMARK_TLS_CERT": "", "WITNESSMARK_TLS_KEY": "", "WITNESSMARK_TRUSTED_PROXY": "10.0.0.5/32,10.0.1.0/24"}, []string{"in order   https: ended by the proxy at 10.0.0.5/32, 10.0.1.0/24"}},
		{"a proxy without a network", variables{"WITNESSMARK_TLS_CERT": "", "WITNESSMARK_TLS_KEY": "", "WITNESSMARK_TRUSTED_PROXY": "10.0.0.5"}, []string{"look here  https: ", "not a network such as"}},
		{"no backups", variables{"WITNESSMARK_BACKUPS": ""}, []string{"look here  backups: no folder named"}},
		{"no backup yet", variables{"WITNESSMARK_BACKUPS": t.TempDir()}, []string{"look here  backups: none in "}},
		{"an old backup", variables{"WITNESSMARK_BACKUPS": old}, []string{"look here  backups: the newest of ", "more than two days old"}},
		{"a private PostgreSQL", variables{"DATABASE_URL": ""}, []string{"in order   database: a private PostgreSQL in "}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			env := variables{}
			for _, from := range []variables{base, tt.set} {
				for k, v := range from {
					env[k] = v
				}
			}
			out, err := do(t, env, "doctor")
			contains(t, out, tt.want...)
			wrong := strings.HasPrefix(tt.want[0], "look here")
			if got := codeOf(err); got != map[bool]int{false: 0, true: 1}[wrong] {
				t.Errorf("exit code %d (%v) with\n%s", got, err, out)
			}
			if got := strings.Contains(out, "look here"); got != wrong {
				t.Errorf("something is wrong: %v, want %v\n%s", got, wrong, out)
			}
		})
	}
}

// Where there is no PostgreSQL the advice says how to come by one.
func TestDoctorWithoutPostgreSQL(t *testing.T) {
	t.Setenv(localpg.EnvBinDir, t.TempDir())
	cert, key, _ := certificate(t, time.Now().AddDate(0, 6, 0))
	out, err := do(t, variables{"WITNESSMARK_DATA": t.TempDir(), "WITNESSMARK_TLS_CERT": cert, "WITNESSMARK_TLS_KEY": key}, "doctor")
	if codeOf(err) != 1 {
		t.Errorf("got %v, want exit code 1", err)
	}
	contains(t, out, "look here  database: no DATABASE_URL, and no PostgreSQL that can be used", "DATABASE_URL")
}

// Where nothing draws HEIC, or what should does not, the advice says what to install.
func TestDoctorWithoutHEIC(t *testing.T) {
	cert, key, _ := certificate(t, time.Now().AddDate(0, 6, 0))
	env := variables{"DATABASE_URL": storetest.Migrated(t).App, "WITNESSMARK_DATA": t.TempDir(), "WITNESSMARK_TLS_CERT": cert, "WITNESSMARK_TLS_KEY": key}
	limiter, err := exec.LookPath("prlimit")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	t.Setenv("PATH", dir)
	out, err := do(t, env, "doctor")
	if codeOf(err) != 1 {
		t.Errorf("got %v, want exit code 1", err)
	}
	contains(t, out, "look here  HEIC photos: there is no heif-dec or heif-convert on PATH\n", "kept all the same", "Install libheif-examples (")
	for path, script := range map[string]string{"heif-dec": "exit 1", "prlimit": "exec " + limiter + ` "$@"`} {
		if err := os.WriteFile(filepath.Join(dir, path), []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	out, err = do(t, env, "doctor")
	if codeOf(err) != 1 {
		t.Errorf("got %v, want exit code 1", err)
	}
	contains(t, out, "look here  HEIC photos: "+dir+"/heif-dec does not draw them: ", "libheif-plugin-libde265")
}
