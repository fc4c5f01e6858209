package brief_test

import (
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// A brief that asks for the phone at an unsafe spot is warned of, not refused; one that says where not to use it is not.
func TestBriefsAskForNoPhoneAtUnsafeSpots(t *testing.T) {
	for _, test := range []struct {
		about   string
		visible string
		want    string
	}{
		{about: "Take a photo of the flue terminal from the ladder.", want: "on a ladder"},
		{about: "Photograph it while on a step ladder.", want: "on a ladder"},
		{about: "Take a photo up the ladder", want: "on a ladder"},
		{visible: "the live terminals with the meter's probes on them", want: "at live terminals"},
		{about: "Film the meter at the live conductors.", want: "at live terminals"},
		{about: "Take a picture of the fitting where you smell gas.", want: "where gas is smelt"},
		{about: "Note it on your phone where there is a smell of gas.", want: "where gas is smelt"},
		{about: "Never take a photo on a ladder."},
		{about: "Take the photo from the ground; the ladder stays in the picture."},
		{about: "Prove the terminals dead. Take a photo of them.", visible: "the ladder, footed"},
		{about: "Step back from the live terminals before you take a photo."},
		{about: "Test at the live terminals."},
		{visible: "both ends of the ladder rack"},
	} {
		b := sample.Brief()
		it, _, ok := b.Item("before")
		if !ok || it.Photo == nil {
			t.Fatal("the sample brief has no photo “before”")
		}
		it.About = test.about
		if test.visible != "" {
			it.Photo.Visible = []string{test.visible}
		}
		var got []string
		for _, p := range brief.Check(b, functions(), nil) {
			if strings.Contains(p.Text, "the phone were to be used") {
				got = append(got, p.Text)
				if !p.Warning {
					t.Errorf("%q %q is refused: %s", test.about, test.visible, p.Text)
				}
			}
		}
		if test.want == "" && len(got) > 0 || test.want != "" && (len(got) != 1 || !strings.Contains(got[0], test.want)) {
			t.Errorf("%q %q: got %q; want a word of %q", test.about, test.visible, got, test.want)
		}
	}
}

// A photo item may ask for the code card; it comes back from its text.
func TestACodeCardIsAskedFor(t *testing.T) {
	b := sample.Brief()
	it, _, _ := b.Item("before")
	it.Photo.Card = true
	src, err := brief.Print(b)
	if err != nil || !strings.Contains(string(src), "card: true") {
		t.Fatalf("printed as\n%s\n%v", src, err)
	}
	back, err := brief.Read(src)
	if err != nil {
		t.Fatal(err)
	}
	if it, _, _ := back.Item("before"); !it.Photo.Card {
		t.Error("the code card is lost on the way")
	}
}
