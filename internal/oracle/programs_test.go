//go:build oracle

package oracle_test

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// run gives what a program prints when it reads input.
func run(t *testing.T, input, name string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Stdin, cmd.Stderr = strings.NewReader(input), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

// answer is what an oracle says: a number, or why there is none.
type answer struct {
	value float64
	why   string
}

func (a *answer) UnmarshalJSON(b []byte) error {
	if bytes.HasPrefix(b, []byte(`"`)) {
		return json.Unmarshal(b, &a.why)
	}
	return json.Unmarshal(b, &a.value)
}

// question asks an oracle to convert value.
type question struct {
	from, to string
	value    float64
}

func (q question) MarshalJSON() ([]byte, error) { return json.Marshal([]any{q.from, q.to, q.value}) }

// ucum has npm @lhncbc/ucum-lhc answer all questions.
func ucum(t *testing.T, questions []question) []answer {
	t.Helper()
	in, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	var answers []answer
	if err := json.Unmarshal([]byte(run(t, string(in), "node", "ucum.mjs")), &answers); err != nil {
		t.Fatal(err)
	}
	if len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(answers), len(questions))
	}
	return answers
}

// gnu has GNU units answer all questions.
func gnu(t *testing.T, questions []question) []answer {
	t.Helper()
	var in strings.Builder
	for _, q := range questions {
		value := strconv.FormatFloat(q.value, 'g', -1, 64)
		from := value + " " + q.from
		if scale, ok := strings.CutSuffix(q.from, "(x)"); ok { // with a zero of its own
			from = scale + "(" + value + ")"
		}
		in.WriteString(from + "\n" + strings.TrimSuffix(q.to, "(x)") + "\n")
	}
	lines := strings.Split(strings.TrimSpace(run(t, in.String(), "units", "--quiet", "--terse", "--output-format", "%.17g")), "\n")
	if len(lines) != len(questions) {
		t.Fatalf("%d answers to %d questions:\n%s", len(lines), len(questions), strings.Join(lines, "\n"))
	}
	answers := make([]answer, len(lines))
	for i, line := range lines {
		value, err := strconv.ParseFloat(strings.TrimSpace(line), 64)
		if err != nil {
			value, answers[i].why = 0, line
		}
		answers[i].value = value
	}
	return answers
}
