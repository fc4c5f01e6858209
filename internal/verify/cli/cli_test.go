package cli_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/internal/verify/cli"
	"witnessmark/internal/verify/verifytest"
)

func write(t testing.TB, name string, data []byte) string {
	t.Helper()
	full := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(full, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return full
}

func TestCodes(t *testing.T) {
	c := verifytest.New(t)
	first := c.Portfolio(verifytest.Spoil{})
	good, later := write(t, "good.pdf", first), write(t, "later.pdf", c.Portfolio(verifytest.Spoil{}))
	bad := bytes.Clone(first)
	bad[len(bad)/3] ^= 1
	changed, letter := write(t, "changed.pdf", bad), write(t, "letter.txt", []byte("a letter"))
	key := write(t, "key.txt", []byte(c.Key+"\n"))
	_, next := verifytest.LogKey(t, verifytest.Origin)
	both, none := write(t, "keys.txt", []byte(c.Key+"\r\n"+next+"\n")), write(t, "none.txt", nil)
	shown := write(t, "shown.txt", []byte("key, signs:\n"+c.Key+"\ncheckpoint of 21 May 2026:\n"+verifytest.Origin+"\n18\nxBIugme+MIX3ItDK3VwfQA1X35a0VnwL36M3YuyHEFY=\n\n— "+verifytest.Origin+" vIPvUuwsiQ1achly+q11zTF9+sBDO8Y2\n"))
	after := write(t, "after.txt", []byte("old 3\n\n"+verifytest.Origin+"\n9\n"))
	for name, k := range map[string]struct {
		cmd  cli.Command
		code int
		want string // in what is written, or in the error
	}{
		"genuine":           {cli.Command{Files: []string{good}, Key: []string{c.Key}}, cli.Genuine, "good.pdf: genuine, time stated by the centre only\n"},
		"key in a file":     {cli.Command{Files: []string{good}, Key: []string{key}}, cli.Genuine, "good.pdf: genuine"},
		"keys in a file":    {cli.Command{Files: []string{good}, Key: []string{both}}, cli.Genuine, "good.pdf: genuine"},
		"as it is shown":    {cli.Command{Files: []string{good}, Key: []string{shown}}, cli.Genuine, "good.pdf: genuine"},
		"a later key":       {cli.Command{Files: []string{good}, Key: []string{next}}, cli.Unknown, "a key that you did not give"},
		"an empty file":     {cli.Command{Files: []string{good}, Key: []string{none}}, cli.Unknown, "holds no key"},
		"a later state":     {cli.Command{Files: []string{good}, Key: []string{c.Key}, Later: []string{after}}, cli.Genuine, "goes on from 3 entries, and this file's has"},
		"no later state":    {cli.Command{Files: []string{good}, Key: []string{c.Key}, Later: []string{key}}, cli.Unknown, "is no later state of a log"},
		"two":               {cli.Command{Files: []string{later, good}, Key: []string{c.Key}}, cli.Genuine, "goes on from its state"},
		"altered":           {cli.Command{Files: []string{changed}, Key: []string{c.Key}}, cli.Altered, "changed.pdf: altered: "},
		"one of two":        {cli.Command{Files: []string{changed, good}, Key: []string{c.Key}}, cli.Altered, "good.pdf: genuine"},
		"altered and other": {cli.Command{Files: []string{letter, changed}, Key: []string{c.Key}}, cli.Altered, "letter.txt: cannot tell"},
		"no key":            {cli.Command{Files: []string{good}}, cli.Unknown, "cannot tell: No key was given"},
		"no portfolio":      {cli.Command{Files: []string{letter}, Key: []string{c.Key}}, cli.Unknown, "no PDF file"},
		"no such file":      {cli.Command{Files: []string{good + "x"}}, cli.Unknown, "no such file"},
		"a folder":          {cli.Command{Files: []string{filepath.Dir(good)}}, cli.Unknown, "is no file"},
		"no key at all":     {cli.Command{Files: []string{good}, Key: []string{"rubbish"}}, cli.Unknown, "nor is there a file rubbish"},
		"no bag":            {cli.Command{Files: []string{good}, Key: []string{c.Key}, Bag: filepath.Dir(good)}, cli.Unknown, "no BagIt bag"},
		"a bag for two":     {cli.Command{Files: []string{good, later}, Bag: filepath.Dir(good)}, cli.Unknown, "one portfolio's"},
		"no certificate":    {cli.Command{Files: []string{good}, Authority: []string{key}}, cli.Unknown, "no certificate in PEM"},
		"no witness":        {cli.Command{Files: []string{good}, Witness: []string{c.Key}}, cli.Unknown, "no key of a witness"},
	} {
		var out strings.Builder
		code, err := k.cmd.Run(&out)
		said := out.String()
		if err != nil {
			said += err.Error()
		}
		// A long line is broken at spaces.
		if folded := strings.Join(strings.Fields(said), " "); code != k.code || !strings.Contains(folded, strings.TrimSpace(k.want)) {
			t.Errorf("%s: code %d, want %d and %q in\n%s", name, code, k.code, k.want, said)
		}
	}
}

// The program for somebody else's machine holds no code that could open a connection, or listen for one: it was built without the parts
// of package net that do, of which crypto/x509 takes addresses alone.
func TestProgramReachesNoNetwork(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "witnessmark-verify")
	build := exec.CommandContext(t.Context(), "go", "build", "-o", bin, "witnessmark/cmd/witnessmark-verify")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	names := symbols(t, bin)
	if !strings.Contains(names, "verify.File") {
		t.Fatal("the names of the program's functions cannot be read, so this tests nothing")
	}
	for _, never := range []string{"net.Dial", "net.(*Dialer)", "net.Listen", "net.(*sysDialer)", "net.(*Resolver)", "net/http", "syscall.connect", "syscall.bind", "github.com/jackc/pgx", "database/sql."} {
		for name := range strings.Lines(names) {
			if strings.Contains(name, " "+never) {
				t.Errorf("the program holds %s", strings.TrimSpace(name))
			}
		}
	}
	// The same look finds it where it is.
	web := filepath.Join(t.TempDir(), "web.go")
	if err := os.WriteFile(web, []byte("package main\n\nimport \"net\"\n\nfunc main() { net.Dial(\"tcp\", \"\") }\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "web")
	build = exec.CommandContext(t.Context(), "go", "build", "-o", other, web)
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if !strings.Contains(symbols(t, other), " net.Dial") {
		t.Error("a program that dials does not show it, so this tests nothing")
	}
}

func symbols(t testing.TB, bin string) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "tool", "nm", bin).Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}
