package brief_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
)

const commented = `# Written for the spring course.
brief: 1
key: bay-7
title: "Bay 7" # ask Ruth
about: |
  # not a comment
  Find the fault.
criteria:
  - unit: H2
    codes: ["1.1"]
# The order matters.
stages:
  - key: look
    title: Look
    items:
      # first the photo
      - key: before
        title: Before
        criteria: ["1.1"]
        photo:
          visible: [the rig] # all of it
      - key: after # last
        title: After
        document:
          is: a record
# The end.
`

// Comments stay where they stood when the brief is changed, moved about and printed again.
func TestCommentsStay(t *testing.T) {
	b, err := brief.Read([]byte(commented))
	if err != nil {
		t.Fatal(err)
	}
	if same, err := brief.PrintOver(b, []byte(commented)); err != nil || string(same) != commented {
		t.Errorf("nothing changed: %s %v", same, err)
	}
	if same, problems := brief.FieldsOf(b).Text([]byte(commented)); len(problems) > 0 || string(same) != commented {
		t.Errorf("filled in as it was: %s %v", same, problems)
	}
	b.Title = "Bay 8"
	b.Stages[0].Items[0], b.Stages[0].Items[1] = b.Stages[0].Items[1], b.Stages[0].Items[0]
	got, err := brief.PrintOver(b, []byte(commented))
	if err != nil {
		t.Fatal(err)
	}
	const want = `# Written for the spring course.
brief: 1
key: bay-7
title: Bay 8  # ask Ruth
about: |
  # not a comment
  Find the fault.
criteria:
  - unit: H2
    codes:
      - "1.1"
# The order matters.
stages:
  - key: look
    title: Look
    items:
      - key: after  # last
        title: After
        document:
          is: a record
      # first the photo
      - key: before
        title: Before
        criteria:
          - "1.1"
        photo:
          visible:  # all of it
            - the rig
# The end.
`
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Errorf("-want +got:\n%s", d)
	}
	b.Stages[0].Items = b.Stages[0].Items[:1] // the photo is gone; what was said of it stays beside its stage's items
	if got, err = brief.PrintOver(b, got); err != nil || strings.Count(string(got), "#") != strings.Count(commented, "#") {
		t.Errorf("a comment is gone:\n%s%v", got, err)
	}
}

// Whatever the file was, what is printed over it says what the brief says.
func TestPrintOverSaysTheSame(t *testing.T) {
	var files []string
	for _, pattern := range []string{"../../seed/briefs/*.yaml", "testdata/*.yaml"} {
		more, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, more...)
	}
	rapid.Check(t, func(t *rapid.T) {
		b := anyBrief(t)
		was := []byte(commented)
		if rapid.Bool().Draw(t, "a real one") {
			var err error
			if was, err = os.ReadFile(rapid.SampledFrom(files).Draw(t, "file")); err != nil {
				t.Fatal(err)
			}
		}
		src, err := brief.Print(b)
		if err != nil {
			return
		}
		got, err := brief.PrintOver(b, was)
		if err != nil {
			t.Fatal(err)
		}
		again, err := brief.Read(got)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(src), printed(t, again)); d != "" {
			t.Fatal(d)
		}
	})
}
