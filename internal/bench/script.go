package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
)

// script is one hand-over as pgbench sends it: the program's own statements in the program's own round trips.
type script struct {
	body      string
	variables []string // what is the same in every hand-over, "name=value", for pgbench's -D
}

// String is the script with its variables as comments before it.
func (s script) String() string {
	var b strings.Builder
	for _, v := range s.variables {
		fmt.Fprintf(&b, "-- %s\n", strings.ReplaceAll(v, "\n", "\n-- "))
	}
	return b.String() + s.body
}

// notify is how the job queue tells its listeners. It does so ten times a second at most, however many jobs there are, so
// pgbench is spared it.
const notify = "pg_notify("

// scriptOf turns what one hand-over sent into a script. Arguments become variables, so that pgbench prepares the very same
// statements with the very same parameters; those that hold an id of this hand-over become an expression that makes the
// next one's. That little is more for the server than the program asks of it; showing it costs pgbench under a hundredth.
func scriptOf(ctx context.Context, conn *pgx.Conn, calls []call, n number, entries int) (script, error) {
	w := writer{marks: marks(n, entries), digest: digest(n.trainee())}
	w.line(`\set i :i + 1`)
	w.line(fmt.Sprintf(`\set n %d + :i * :clients + :client_id`, int64(firstNumber)))
	w.line(fmt.Sprintf(`\set t %d + :n %% %d`, firstTrainee, trainees))
	for _, c := range calls {
		var texts []string
		for _, s := range c {
			if strings.Contains(s.sql, notify) {
				continue
			}
			args, err := textForms(ctx, conn, s)
			if err != nil {
				return script{}, err
			}
			parts, err := w.statement(s.sql, args)
			if err != nil {
				return script{}, err
			}
			texts = append(texts, parts...)
		}
		w.roundTrip(texts)
	}
	return script{body: w.body.String(), variables: w.variables}, nil
}

// writer writes a script.
type writer struct {
	body      strings.Builder
	variables []string
	marks     *strings.Replacer
	digest    string
}

func (w *writer) line(s string) {
	w.body.WriteString(s)
	w.body.WriteByte('\n')
}

// roundTrip writes statements that travel together.
func (w *writer) roundTrip(texts []string) {
	if len(texts) > 1 {
		w.line(`\startpipeline`)
		defer w.line(`\endpipeline`)
	}
	for _, t := range texts {
		w.line(t + ";")
	}
}

// constant keeps a value that is the same every time and gives the variable's name.
func (w *writer) constant(value string) string {
	for _, v := range w.variables {
		if name, kept, _ := strings.Cut(v, "="); kept == value {
			return ":" + name
		}
	}
	name := "v" + strconv.Itoa(len(w.variables))
	w.variables = append(w.variables, name+"="+value)
	return ":" + name
}

// argument is what stands in the place of one argument.
func (w *writer) argument(a argument) string {
	if a.null {
		return "NULL::" + a.kind
	}
	if a.text == w.digest {
		return digestSQL
	}
	marked := w.marks.Replace(a.text)
	if marked == a.text {
		return w.constant(a.text)
	}
	sql := quote(marked)
	for _, m := range [][2]string{{numberMark, ":n"}, {traineeMark, ":t"}} {
		if strings.Contains(marked, m[0]) {
			sql = fmt.Sprintf("replace(%s, '%s', %s)", sql, m[0], m[1])
		}
	}
	return sql + "::" + a.kind
}

// quote writes a text literal.
func quote(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }

// statement puts arguments in their places, drops comments, draws white space together and takes apart what was sent as
// one string of several statements. pgbench reads a colon before a name as a variable, so a literal that could hold one
// becomes a variable itself.
func (w *writer) statement(sql string, args []argument) ([]string, error) {
	var out []string
	var text strings.Builder
	for len(sql) > 0 {
		piece := next(sql)
		sql = sql[len(piece):]
		switch {
		case strings.HasPrefix(piece, "--"), strings.HasPrefix(piece, "/*"), strings.Trim(piece, blanks) == "":
			text.WriteByte(' ')
		case piece[0] == '\'' && strings.Contains(piece, ":"):
			text.WriteString(w.constant(strings.ReplaceAll(piece[1:len(piece)-1], "''", "'")))
		case piece[0] == '$' && len(piece) > 1:
			i, err := strconv.Atoi(piece[1:])
			if err != nil || i < 1 || i > len(args) {
				return nil, fmt.Errorf("no argument for %s", piece)
			}
			text.WriteString(w.argument(args[i-1]))
		case piece == ";":
			out = append(out, text.String())
			text.Reset()
		default:
			text.WriteString(piece)
		}
	}
	out = append(out, text.String())
	for i, s := range out {
		out[i] = strings.TrimSpace(s)
	}
	return slices.DeleteFunc(out, func(s string) bool { return s == "" }), nil
}

// blanks is what PostgreSQL takes for white space.
const blanks = " \t\n\r\f\v"

// next is the first token of SQL: a literal, a comment, white space, a parameter, or one character.
func next(sql string) string {
	end := func(from int, close string) string {
		if i := strings.Index(sql[from:], close); i >= 0 {
			return sql[:from+i+len(close)]
		}
		return sql
	}
	run := func(from int, of string) string { return sql[:len(sql)-len(strings.TrimLeft(sql[from:], of))] }
	switch {
	case sql[0] == '\'':
		t := end(1, "'")
		for len(t) < len(sql) && sql[len(t)] == '\'' { // a quote within is written twice
			t = end(len(t)+1, "'")
		}
		return t
	case strings.HasPrefix(sql, "--"):
		return end(0, "\n")
	case strings.HasPrefix(sql, "/*"):
		return end(0, "*/")
	case strings.ContainsRune(blanks, rune(sql[0])):
		return run(0, blanks)
	case sql[0] == '$':
		return run(1, "0123456789")
	}
	return sql[:1]
}
