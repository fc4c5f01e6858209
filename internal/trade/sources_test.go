package trade

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// published finds what a source is known by: a standard's number, or the year of a paper with its author's name.
var published = regexp.MustCompile(`\b(?:IAPWS )?R\d+-\d\d\b|\b(?:EN|ISO|IEC|JCGM) \d+(?:-\d+)*|ITU-R P\.\d+|IGEM/UP/1B|BImSchV|Colebrook|Haaland|Weisbach|Poiseuille|Pole's|Siegert|Carnot|Boyle|Ohm|Joule|Kirchhoff`)

// README names every published source that a function says it has.
func TestReadmeNamesEverySource(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(readme), "## Sources")
	section, _, _ = strings.Cut(section, "\n## ")
	found := 0
	for _, s := range Subjects() {
		for _, e := range s.Entries {
			for _, name := range slices.Compact(published.FindAllString(e.Source, -1)) {
				found++
				if !strings.Contains(section, strings.TrimPrefix(name, "IAPWS ")) {
					t.Errorf("%s rests on %s, which README does not name", e.Name, name)
				}
			}
		}
	}
	if found < 60 {
		t.Errorf("only %d sources were found", found)
	}
}
