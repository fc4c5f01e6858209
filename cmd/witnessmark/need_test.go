package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// machine is a pretended machine for .ci/need: its PATH holds these programs alone, each of which writes down how it was
// called, and its system folders lie below root.
type machine struct {
	t    *testing.T
	path string
	root string
	log  string
	env  []string
}

func newMachine(t *testing.T, programs ...string) *machine {
	t.Helper()
	dir := t.TempDir()
	m := &machine{t: t, path: filepath.Join(dir, "bin"), root: filepath.Join(dir, "root"), log: filepath.Join(dir, "log")}
	m.makes(m.path, m.root)
	for _, tool := range []string{"bash", "env", "grep", "sed", "mv", "cat"} { // a real system has these
		real, err := exec.LookPath(tool)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(real, filepath.Join(m.path, tool)); err != nil {
			t.Fatal(err)
		}
	}
	m.user(1000)
	for _, p := range programs {
		m.program(p, `echo "`+p+` $*" >> "$NEED_LOG"`)
	}
	return m
}

func (m *machine) makes(dirs ...string) {
	m.t.Helper()
	for _, d := range dirs {
		if err := os.MkdirAll(d, 0o755); err != nil {
			m.t.Fatal(err)
		}
	}
}

func (m *machine) write(path, text string, mode os.FileMode) {
	m.t.Helper()
	m.makes(filepath.Dir(path))
	if err := os.WriteFile(path, []byte(text), mode); err != nil {
		m.t.Fatal(err)
	}
}

func (m *machine) program(name, script string) {
	m.write(filepath.Join(m.path, name), "#!/bin/bash\n"+script+"\n", 0o755)
}

func (m *machine) user(uid int) {
	m.program("id", map[bool]string{true: "echo 0", false: "echo 1000"}[uid == 0])
}

// needs runs the script; it gives what it printed, its exit code, and the calls that it made.
func (m *machine) needs(needs ...string) (out string, code int, calls string) {
	m.t.Helper()
	script, err := filepath.Abs(filepath.Join(project, ".ci", "need"))
	if err != nil {
		m.t.Fatal(err)
	}
	cmd := exec.Command(filepath.Join(m.path, "bash"), append([]string{script}, needs...)...)
	cmd.Env = append([]string{"PATH=" + m.path, "NEED_ROOT=" + m.root, "NEED_LOG=" + m.log}, m.env...)
	text, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		code = exit.ExitCode()
	} else if err != nil {
		m.t.Fatal(err)
	}
	log, err := os.ReadFile(m.log)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		m.t.Fatal(err)
	}
	return string(text), code, string(log)
}

func TestNeedIsSilentWhereNothingIsMissing(t *testing.T) {
	tests := []struct {
		name  string
		needs []string
		set   func(*machine)
	}{
		{"a browser", []string{"browser"}, func(m *machine) { m.program("chromium-headless-shell", "") }},
		{"another browser", []string{"browser"}, func(m *machine) { m.env = []string{"CHROMIUM=/opt/chrome"} }},
		{"what units and formulas are checked against", []string{"units", "node"}, func(m *machine) {
			for _, p := range []string{"units", "node", "npm"} {
				m.program(p, "")
			}
		}},
		{"what tables are checked against", []string{"tables"}, func(m *machine) {
			m.write(filepath.Join(m.root, "usr/bin/python3"), "#!/bin/bash\n[[ $2 == import\\ * ]]\n", 0o755)
		}},
		{"what draws HEIC", []string{"heic"}, func(m *machine) { m.program("heif-convert", "") }},
		{"what draws HEIC by its newer name", []string{"heic"}, func(m *machine) { m.program("heif-dec", "") }},
		{"another processor", []string{"qemu"}, func(m *machine) { m.program("qemu-aarch64", "") }},
		{"PostgreSQL on PATH", []string{"postgresql", "postgresql-programs"}, func(m *machine) { m.program("initdb", "") }},
		{"PostgreSQL where Debian has it", []string{"postgresql", "postgresql-programs"}, func(m *machine) {
			m.write(filepath.Join(m.root, "usr/lib/postgresql/15/bin/initdb"), "", 0o755)
		}},
		{"PostgreSQL elsewhere", []string{"postgresql"}, func(m *machine) { m.env = []string{"DATABASE_URL=postgres://a@b/c"} }},
		{"PostgreSQL's folder named", []string{"postgresql-programs"}, func(m *machine) { m.env = []string{"WITNESSMARK_PGBIN=/opt/pg/bin"} }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := newMachine(t, "apt-get", "sudo")
			tt.set(m)
			if out, code, calls := m.needs(tt.needs...); out != "" || code != 0 || calls != "" {
				t.Errorf("exit code %d, printed %q, called %q; want none of it", code, out, calls)
			}
		})
	}
}

// Where it may not install anything it says what to install, and does nothing.
func TestNeedSaysWhatToInstall(t *testing.T) {
	tests := []struct {
		name     string
		programs []string
		uid      int
		needs    []string
		want     []string
	}{
		{"neither root nor sudo", []string{"apt-get"}, 1000, []string{"postgresql"},
			[]string{"These packages are missing: postgresql.", "Have root run this", "apt-get install --no-install-recommends postgresql\n"}},
		{"several", []string{"apt-get"}, 1000, []string{"postgresql-programs", "pdf", "node"},
			[]string{"apt-get install --no-install-recommends postgresql poppler-utils qpdf mupdf-tools openssl nodejs npm\n"}},
		{"for oracle and arm64", []string{"apt-get"}, 1000, []string{"units", "qemu", "tables"},
			[]string{"apt-get install --no-install-recommends units qemu-user python3-iapws python3-fluids python3-uncertainties python3-scipy python3-mpmath\n"}},
		{"not Debian, as root", nil, 0, []string{"browser", "trace"}, []string{"(Debian's names): chromium-headless-shell strace. Install them and run the command again."}},
		{"not Debian, with sudo", []string{"sudo"}, 1000, []string{"browser"}, []string{"(Debian's names): chromium-headless-shell."}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := newMachine(t, tt.programs...)
			m.user(tt.uid)
			out, code, calls := m.needs(tt.needs...)
			if code != 1 || calls != "" {
				t.Errorf("exit code %d and calls %q, want 1 and none", code, calls)
			}
			contains(t, out, tt.want...)
		})
	}
	if out, code, _ := newMachine(t, "apt-get", "sudo").needs("browser", "kettle"); code != 2 || !strings.Contains(out, "kettle") {
		t.Errorf("an unknown need: exit code %d, %q", code, out)
	}
}

func TestNeedDatabaseElsewhereIsNotEnoughForTests(t *testing.T) {
	m := newMachine(t, "apt-get")
	m.env = []string{"DATABASE_URL=postgres://a@b/c"}
	out, code, _ := m.needs("postgresql-programs")
	if code != 1 {
		t.Errorf("exit code %d, want 1", code)
	}
	contains(t, out, "missing: postgresql.")
}

// As root, and through sudo, it installs without asking anything, which apt-get is told by its own environment: sudo hands
// none on.
func TestNeedInstalls(t *testing.T) {
	for _, uid := range []int{0, 1000} {
		m := newMachine(t)
		m.user(uid)
		m.program("sudo", `[ "$(id -u)" != 0 ] || exit 9; exec env -i PATH="$PATH" NEED_LOG="$NEED_LOG" "$@"`)
		m.program("apt-get", `echo "$DEBIAN_FRONTEND: $*" >> "$NEED_LOG"`)
		out, code, calls := m.needs("browser", "trace")
		if code != 0 {
			t.Errorf("as user %d: exit code %d: %s", uid, code, out)
		}
		const want = ": update -qq\nnoninteractive: install -y -qq --no-install-recommends chromium-headless-shell strace\n"
		if calls != want {
			t.Errorf("as user %d: called\n%s\nwant\n%s", uid, calls, want)
		}
		m.program("apt-get", `exit 100`)
		out, code, _ = m.needs("browser")
		if code != 1 {
			t.Errorf("as user %d, where that does not work: exit code %d, want 1", uid, code)
		}
		contains(t, out, "could not be installed", "apt-get install --no-install-recommends chromium-headless-shell")
	}
}

// Where what decodes HEIC has a package of its own, that comes too.
func TestNeedHEIC(t *testing.T) {
	for name, tt := range map[string]struct{ cache, want string }{
		"Debian 12": {"exit 100", ""}, // E: No packages found
		"Debian 13": {`[ "$*" = "show libheif-plugin-libde265" ]`, " libheif-plugin-libde265"},
	} {
		m := newMachine(t, "apt-get")
		m.user(0)
		m.program("apt-cache", tt.cache)
		out, code, calls := m.needs("heic")
		if want := "apt-get update -qq\napt-get install -y -qq --no-install-recommends libheif-examples" + tt.want + "\n"; code != 0 || calls != want {
			t.Errorf("%s: exit code %d, called\n%s\nwant\n%s%s", name, code, calls, want, out)
		}
	}
}

// Debian's PostgreSQL makes no cluster of its own while it is installed, and afterwards its settings are as they were.
func TestNeedPostgreSQLLeavesNoClusterBehind(t *testing.T) {
	// The two lines of /usr/share/postgresql-common/createcluster.conf (Debian 12, postgresql-common 248) that matter.
	const debians = "# Create a \"main\" cluster when a new postgresql-x.y server package is installed\n#create_main_cluster = true\n"
	const settled = "create_main_cluster = true\n"
	for name, tt := range map[string]struct{ before, during string }{
		"a fresh machine":         {debians, strings.Replace(debians, "#create_main_cluster = true", "create_main_cluster = false", 1)},
		"somebody has settled it": {settled, settled},
	} {
		t.Run(name, func(t *testing.T) {
			m := newMachine(t)
			m.user(0)
			conf := filepath.Join(m.root, "etc/postgresql-common/createcluster.conf")
			m.write(conf+".package", tt.before, 0o644)
			m.program("apt-get", `case "$*" in
				*" postgresql-common") mv "`+conf+`.package" "`+conf+`" ;;
				*" postgresql") cat "`+conf+`" >> "$NEED_LOG" ;;
			esac`)
			out, code, during := m.needs("postgresql")
			if code != 0 {
				t.Fatalf("exit code %d: %s", code, out)
			}
			if during != tt.during {
				t.Errorf("while PostgreSQL is installed:\n%s\nwant\n%s", during, tt.during)
			}
			if after, err := os.ReadFile(conf); err != nil || string(after) != tt.before {
				t.Errorf("afterwards:\n%s%v\nwant\n%s", after, err, tt.before)
			}
			if left, err := os.ReadDir(filepath.Dir(conf)); err != nil || len(left) != 1 {
				t.Errorf("afterwards the folder holds %v, %v", left, err)
			}
		})
	}
}
