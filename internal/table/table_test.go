package table

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
)

var people = []Column{
	{Name: "Name", Needed: true}, {Name: "Sign-in name", Also: []string{"login"}, Needed: true}, {Name: "E-mail", Most: 30},
}

func TestRead(t *testing.T) {
	want := []Row{{2, []string{"Siân Pugh", "sian", "sian@example.org"}}, {3, []string{"Ellis, Jo", "jo", ""}}}
	for name, text := range map[string]string{
		"commas":                  "Name,Sign-in name,E-mail\nSiân Pugh,sian,sian@example.org\n\"Ellis, Jo\",jo,\n",
		"a byte order mark":       "\ufeffName,Sign-in name,E-mail\nSiân Pugh,sian,sian@example.org\n\"Ellis, Jo\",jo,\n",
		"semicolons and CRLF":     "Name;Sign-in name;E-mail\r\nSiân Pugh;sian;sian@example.org\r\nEllis, Jo;jo;\r\n",
		"tabs and CR":             "Name\tSign-in name\tE-mail\rSiân Pugh\tsian\tsian@example.org\rEllis, Jo\tjo\t\r",
		"another order":           "e-mail,NAME,sign in_name\nsian@example.org,Siân Pugh,sian\n,\"Ellis, Jo\",jo\n",
		"another heading":         "Name,login,E-mail\nSiân Pugh,sian,sian@example.org\n\"Ellis, Jo\",jo,\n",
		"spaces around":           "Name , Sign-in name,E-mail\n Siân Pugh ,\u00a0sian, sian@example.org\n\"Ellis, Jo\",jo,\n",
		"empty rows at the end":   "Name,Sign-in name,E-mail\nSiân Pugh,sian,sian@example.org\n\"Ellis, Jo\",jo,\n,,\n , ,\n",
		"no line end at the end":  "Name,Sign-in name,E-mail\nSiân Pugh,sian,sian@example.org\n\"Ellis, Jo\",jo,",
		"quotation marks in full": "\"Name\",\"Sign-in name\",\"E-mail\"\n\"Siân Pugh\",\"sian\",\"sian@example.org\"\n\"Ellis, Jo\",\"jo\",\"\"\n",
	} {
		t.Run(name, func(t *testing.T) {
			got, problems := Read(strings.NewReader(text), people, Limits{})
			if len(problems) > 0 {
				t.Fatalf("problems: %+v", problems)
			}
			if !slices.EqualFunc(got, want, func(a, b Row) bool { return a.Line == b.Line && slices.Equal(a.Cells, b.Cells) }) {
				t.Errorf("got %+v, want %+v", got, want)
			}
		})
	}
}

// The rows of bad input that lists are known for.
func TestReadRefuses(t *testing.T) {
	const head = "Name,Sign-in name,E-mail\n"
	wide := utf16.Encode([]rune("Name,login"))
	var units bytes.Buffer
	units.WriteString("\xff\xfe")
	for _, u := range wide {
		units.Write([]byte{byte(u), byte(u >> 8)})
	}
	tests := []struct {
		name, text string
		line       int
		column     string
		says       string
	}{
		{"nothing", "", 0, "", "nothing in this list"},
		{"UTF-16", units.String(), 0, "", "CSV UTF-8"},
		{"UTF-16 without its mark", strings.ReplaceAll(units.String(), "\xff\xfe", ""), 1, "", "CSV UTF-8"},
		{"a workbook", "PK\x03\x04rest", 0, "", "CSV UTF-8"},
		{"an older workbook", "\xd0\xcf\x11\xe0rest", 0, "", "CSV UTF-8"},
		{"another alphabet", head + "Si\xe2n,sian,\n", 2, "", "another way than UTF-8"},
		{"character zero", head + "Si\x00n,sian,\n", 2, "", "number zero"},
		{"a heading twice", "Name,Sign-in name,login\nx,y,z\n", 1, "Sign-in name", "there twice"},
		{"an unknown heading", "Name,Sign-in name,Nmae\nx,y,z\n", 1, "", "“Nmae” is no heading"},
		{"an empty heading", "Name,Sign-in name,\nx,y,z\n", 1, "", "Heading 3 is empty"},
		{"a heading that lacks", "Name,E-mail\nx,y\n", 1, "Sign-in name", "no column “Sign-in name”"},
		{"many headings", strings.Repeat("Name,", 10_000) + "\n", 1, "", "10001 headings"},
		{"a short row", head + "Siân,sian\n", 2, "", "2 cells under 3 headings"},
		{"a long row", head + "Jo,jo,\nSiân,sian,,\n", 3, "", "4 cells under 3 headings"},
		{"a lone quotation mark", head + "Siân,si\"an,\n", 2, "", "no partner"},
		{"a quotation mark left open", head + "Jo,jo,\n\"Siân,sian,\nx,y,z\n", 3, "", "no partner"},
		{"an empty cell", head + ",sian,\n", 2, "Name", "“Name” is empty"},
		{"a long cell", head + "Siân,sian," + strings.Repeat("x", 31) + "\n", 2, "E-mail", "longer than 30"},
		{"a bell", head + "Siân\a,sian,\n", 2, "Name", "cannot be seen"},
		{"a cell of a megabyte", head + strings.Repeat("x", 1<<20), 0, "", "larger than 1024 kB"},
		{"many rows", head + strings.Repeat("a,b,c\n", 10_001), 10_002, "", "more than 10000 rows"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, problems := Read(strings.NewReader(test.text), people, Limits{})
			if len(problems) == 0 {
				t.Fatal("no problem was found")
			}
			if p := problems[0]; p.Line != test.line || p.Column != test.column || !strings.Contains(p.Message, test.says) {
				t.Errorf("got %+v, want line %d, column %q and %q", p, test.line, test.column, test.says)
			}
		})
	}
}

// Every bad row is named, not the first alone.
func TestReadNamesEveryRow(t *testing.T) {
	_, problems := Read(strings.NewReader("Name,Sign-in name\n,a\nb\nc,\nd,d\n"), people, Limits{})
	var lines []int
	for _, p := range problems {
		lines = append(lines, p.Line)
	}
	if want := []int{2, 3, 4}; !slices.Equal(lines, want) {
		t.Errorf("problems on lines %v, want %v", lines, want)
	}
}

// What a spreadsheet program would take for a formula leaves as text (OWASP, "CSV Injection"; from memory).
func TestWriteLeavesNoFormula(t *testing.T) {
	for cell, want := range map[string]string{
		`=HYPERLINK("x")`: `'=HYPERLINK("x")`, "+cmd|' /C calc'!A0": "'+cmd|' /C calc'!A0", "-2+3": "'-2+3", "@SUM(A1)": "'@SUM(A1)",
		"\t=1": "'\t=1", "\r=1": "'\r=1", "＝1": "'＝1", "＋1": "'＋1", "－1": "'－1", "＠1": "'＠1", " =1": "' =1", "'=1": "''=1",
		"-2.5": "-2.5", "-12": "-12", "+12": "'+12", "--1": "'--1", "-": "'-", "Jo": "Jo", "O'Neill": "O'Neill", "'quoted'": "'quoted'", "": "",
	} {
		if got := neutral(cell); got != want {
			t.Errorf("%q leaves as %q, want %q", cell, got, want)
		}
	}
}

func TestWrite(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, []string{"Name", "Note"}, [][]string{{"Ellis, Jo", "=1+1"}, {"Siân", ""}}); err != nil {
		t.Fatal(err)
	}
	if got, want := b.String(), "\ufeffName,Note\n\"Ellis, Jo\",'=1+1\nSiân,\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// What is written is read back, whatever it is, and reading never breaks down on what it cannot read.
func FuzzThereAndBack(f *testing.F) {
	for _, s := range []string{"Jo", "=1", "'=1", "''=1", "-2", "a\nb", "\"", "a,b;c\td", "＝", "'", "\ufeff=1"} {
		f.Add(s)
	}
	columns := []Column{{Name: "Fixed"}, {Name: "Any", Most: 1 << 20}}
	f.Fuzz(func(t *testing.T, s string) {
		Read(strings.NewReader(s), columns, Limits{})
		var b bytes.Buffer
		if err := Write(&b, []string{"Fixed", "Any"}, [][]string{{"x", s}}); err != nil {
			t.Fatal(err)
		}
		rows, problems := Read(&b, columns, Limits{})
		if len(problems) > 0 {
			return // what cannot be kept is said
		}
		want := strings.TrimSpace(strings.ReplaceAll(s, "\r\n", "\n"))
		if len(rows) != 1 || strings.TrimSpace(rows[0].Cells[1]) != want {
			t.Errorf("%q comes back as %+v", s, rows)
		}
	})
}
