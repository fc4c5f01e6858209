package main

import (
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/goccy/go-yaml"

	"witnessmark/internal/localpg"
)

const project = "../.."

func readFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(project, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// grammar is the program's command line as kong sees it.
func grammar(t *testing.T) *kong.Kong {
	t.Helper()
	k, err := newParser(&commands{}, variables{}.of, io.Discard, func(int) {})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// variablesOf lists the variables of each command's flags.
func variablesOf(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	for _, cmd := range grammar(t).Model.Leaves(false) {
		for _, f := range cmd.Flags {
			if v := variable(f.Value); v != "" {
				out[cmd.Path()] = append(out[cmd.Path()], v)
			}
		}
	}
	return out
}

// accepted lists every variable that the program goes by.
func accepted(t *testing.T) []string {
	t.Helper()
	all := map[string]bool{localpg.EnvBinDir: true}
	for _, vs := range variablesOf(t) {
		for _, v := range vs {
			all[v] = true
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// A variable that only the source knows would be a setting that nobody can find.
func TestSourceReadsNoOtherVariable(t *testing.T) {
	name := regexp.MustCompile(`"(WITNESSMARK_[A-Z_]+|[A-Z_]*DATABASE_URL)"`)
	known := append(accepted(t), "TEST_DATABASE_URL") // of tests alone, in DEVELOPERS.md
	for _, dir := range []string{"cmd", "internal", "seed", "migrations", "web"} {
		err := filepath.WalkDir(filepath.Join(project, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			src, err := os.ReadFile(path)
			for _, m := range name.FindAllStringSubmatch(string(src), -1) {
				if !slices.Contains(known, m[1]) {
					t.Errorf("%s goes by %s, which no flag stands for", path, m[1])
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

var row = regexp.MustCompile("(?m)^\\| (`[A-Z_]+`(?:, `[A-Z_]+`)*) \\|")

func TestReadmeListsEverySetting(t *testing.T) {
	var listed []string
	for _, m := range row.FindAllStringSubmatch(readFile(t, "README.md"), -1) {
		for _, name := range strings.Split(m[1], ", ") {
			listed = append(listed, strings.Trim(name, "`"))
		}
	}
	slices.Sort(listed)
	if want := accepted(t); !slices.Equal(listed, want) {
		t.Errorf("README's table of settings\n got %v\nwant %v", listed, want)
	}
}

// --help of a command lists its settings, each with its variable, and --help alone the commands.
func TestHelp(t *testing.T) {
	k := grammar(t)
	for _, args := range [][]string{{"--help"}, {}} {
		out, err := do(t, nil, args...)
		if err != nil {
			t.Fatal(err)
		}
		for _, cmd := range k.Model.Leaves(false) {
			contains(t, flat(out), " "+cmd.Path()+" ", cmd.Help)
		}
	}
	for _, cmd := range k.Model.Leaves(false) {
		t.Run(cmd.Path(), func(t *testing.T) {
			out, err := do(t, nil, append(strings.Fields(cmd.Path()), "--help")...)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range cmd.Flags {
				contains(t, flat(out), "--"+f.Name, f.Help)
				if v := variable(f.Value); v != "" {
					contains(t, flat(out), "($"+v+")")
				}
			}
		})
	}
}

// flat is text without its line breaks, which help puts anywhere.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// A setting counts in this order: flag, variable, default. A variable that is set to nothing is no setting.
func TestSettingsOrder(t *testing.T) {
	tests := []struct {
		name string
		env  variables
		args []string
		want string
	}{
		{"neither", nil, nil, ":8080"},
		{"the variable", variables{"WITNESSMARK_LISTEN": ":1"}, nil, ":1"},
		{"the flag first", variables{"WITNESSMARK_LISTEN": ":1"}, []string{"--listen", ":2"}, ":2"},
		{"set to nothing", variables{"WITNESSMARK_LISTEN": ""}, nil, ":8080"},
	}
	t.Setenv("WITNESSMARK_LISTEN", ":9") // the process's own environment is not asked
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var c commands
			k, err := newParser(&c, tt.env.of, io.Discard, func(int) {})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := k.Parse(append([]string{"serve"}, tt.args...)); err != nil {
				t.Fatal(err)
			}
			if c.Serve.Listen != tt.want {
				t.Errorf("got %q, want %q", c.Serve.Listen, tt.want)
			}
		})
	}
}

func TestUnknownWordsAreRefused(t *testing.T) {
	_, err := do(t, nil, "sevre")
	refused(t, err, "sevre", "witnessmark --help")
	_, err = do(t, nil, "serve", "--lissen", ":1")
	refused(t, err, "--lissen", "--listen")
}

var (
	fence   = regexp.MustCompile("(?s)\n```[a-z]*\n(.*?)\n```")
	program = regexp.MustCompile(`^(?:bin/witnessmark|go run \./cmd/witnessmark|docker compose run --rm witnessmark) (.*)$`)
	making  = regexp.MustCompile("`?\\bmake ([a-z]+)\\b(?: +ARGS=([^`\\s]+))?")
	target  = regexp.MustCompile(`(?m)^([a-z]+):`)
	word    = regexp.MustCompile(`"[^"]*"|\S+`)
)

// words are a command line's words up to a comment or to where its output goes; quotes are taken off.
func words(line string) []string {
	for _, end := range []string{" #", " | ", " > "} {
		line, _, _ = strings.Cut(line, end)
	}
	var out []string
	for _, w := range word.FindAllString(line, -1) {
		out = append(out, strings.Trim(w, `"`))
	}
	return out
}

// Every command line of the documents is one that the program or the Makefile takes.
func TestDocumentedCommandsExist(t *testing.T) {
	var targets []string
	for _, m := range target.FindAllStringSubmatch(readFile(t, "Makefile"), -1) {
		targets = append(targets, m[1])
	}
	seen := 0
	for _, doc := range []string{"README.md", "DEVELOPERS.md"} {
		text := readFile(t, doc)
		for _, m := range making.FindAllStringSubmatch(text, -1) {
			if strings.HasPrefix(m[0], "`") && !slices.Contains(targets, m[1]) {
				t.Errorf("%s: %s is not in the Makefile", doc, m[0])
			}
			if m[2] != "" {
				parses(t, doc, append([]string{"demo"}, m[2]))
			}
		}
		for _, block := range fence.FindAllStringSubmatch(text, -1) {
			for _, line := range strings.Split(block[1], "\n") {
				if m := program.FindStringSubmatch(line); m != nil {
					parses(t, doc, words(m[1]))
					seen++
				}
			}
		}
	}
	if seen < 6 {
		t.Errorf("only %d command lines were found in the documents", seen)
	}
}

func parses(t *testing.T, where string, args []string) {
	t.Helper()
	if _, err := grammar(t).Parse(args); err != nil {
		t.Errorf("%s: witnessmark %s: %v", where, strings.Join(args, " "), err)
	}
}

// service is what the tests look at in a service of docker-compose.yml.
type service struct {
	Image string
	Build struct {
		Dockerfile string `yaml:"dockerfile_inline"`
	}
	Command     []string
	Environment map[string]string
	Ports       []string
	Volumes     []string
	Healthcheck struct{ Test []string }
	DependsOn   map[string]struct{ Condition string } `yaml:"depends_on"`
}

func composeServices(t *testing.T) map[string]service {
	t.Helper()
	var file struct{ Services map[string]service }
	if err := yaml.Unmarshal([]byte(readFile(t, "docker-compose.yml")), &file); err != nil {
		t.Fatal(err)
	}
	return file.Services
}

// What docker-compose.yml gives the program's commands, they take; what it asks of the person, README tells.
func TestComposeFitsTheProgram(t *testing.T) {
	services, known := composeServices(t), variablesOf(t)
	ours := 0
	for name, s := range services {
		if s.Image != "witnessmark" {
			continue
		}
		ours++
		parses(t, "docker-compose.yml: "+name, s.Command)
		for v := range s.Environment {
			if len(s.Command) == 0 || !slices.Contains(known[s.Command[0]], v) {
				t.Errorf("%s: the command %v knows no %s", name, s.Command, v)
			}
		}
		contains(t, s.Build.Dockerfile, `ENTRYPOINT ["witnessmark"]`, "./cmd/witnessmark", "/usr/local/bin/witnessmark")
		for on := range s.DependsOn {
			if _, ok := services[on]; !ok {
				t.Errorf("%s waits for %s, which is not there", name, on)
			}
		}
	}
	if ours < 3 {
		t.Errorf("%d services run the program, want migrate, serve and backup", ours)
	}
	contains(t, services["witnessmark"].Build.Dockerfile, "ca-certificates", "postgresql-client", "libheif-examples")
	keeps := services["backup"]
	for _, v := range []string{"WITNESSMARK_DATA", "WITNESSMARK_BACKUPS"} {
		if dir := keeps.Environment[v]; dir == "" || !slices.ContainsFunc(keeps.Volumes, func(v string) bool { return strings.HasSuffix(v, ":"+dir) }) {
			t.Errorf("backup: %s is %q, which is on none of the volumes %v", v, dir, keeps.Volumes)
		} else {
			contains(t, keeps.Build.Dockerfile, dir)
		}
	}
	serve := services["witnessmark"]
	if data := serve.Environment["WITNESSMARK_DATA"]; data == "" || !slices.ContainsFunc(serve.Volumes, func(v string) bool { return strings.HasSuffix(v, ":"+data) }) {
		t.Errorf("evidence goes to %q, which is on none of the volumes %v", data, serve.Volumes)
	}
	if listen := serve.Environment["WITNESSMARK_LISTEN"]; len(serve.Ports) != 1 || !strings.HasSuffix(serve.Ports[0], listen) {
		t.Errorf("it listens on %q and the ports are %v", listen, serve.Ports)
	}
	readme := readFile(t, "README.md")
	for _, m := range regexp.MustCompile(`\$\{([A-Z_]+)`).FindAllStringSubmatch(readFile(t, "docker-compose.yml"), -1) {
		if !strings.Contains(readme, "`"+m[1]+"`") {
			t.Errorf("docker-compose.yml asks for %s, of which README says nothing", m[1])
		}
	}
}
