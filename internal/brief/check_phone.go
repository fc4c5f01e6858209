package brief

import (
	"fmt"
	"regexp"
)

// A phone in the hand is no tool for a ladder, for live terminals or for where gas is smelt (common practice, no source): an
// item whose words ask for a photo or the phone there should ask for it once the person stepped back.
var (
	photoWords = regexp.MustCompile(`(?i)\b(photos?|photograph(s|ed)?|pictures?|phones?|cameras?|film(ed)?|video)\b`)
	unsafeSpot = []struct {
		words *regexp.Regexp
		where string
	}{
		{regexp.MustCompile(`(?i)\b(on|up|from|off|at the top of)( (a|an|the|your))?( \w+)? ?(step)?-?ladders?\b`), "on a ladder"},
		{regexp.MustCompile(`(?i)\blive( \w+)? (terminals?|parts?|conductors?|connections?|wiring|board)\b|\bwith the (supply|power) (still )?on\b`), "at live terminals"},
		{regexp.MustCompile(`(?i)\bsmell(s|ing|ed)?( \w+)? gas\b|\bgas is smelt\b|\bsmell of( \w+)? gas\b|\bgas escap(e|es|ing)\b`), "where gas is smelt"},
	}
	// steppedBack is what makes such words safe: the caution itself, or a photo taken afterwards.
	steppedBack = regexp.MustCompile(`(?i)\b(never|not|no|don't|put (it|the phone) away|step(ped)? back|afterwards|once (it is|they are) (dead|isolated)|from the ground|before)\b`)
)

// safeMoments warns where an item's own words ask for a phone in the hand at an unsafe spot. Sentences stand by themselves:
// one that says where not to take a photo is no reason to warn.
func (k *checker) safeMoments() {
	for i := range k.b.Stages {
		for j := range k.b.Stages[i].Items {
			it := &k.b.Stages[i].Items[j]
			texts := []string{it.Title, it.About}
			if it.Photo != nil {
				for _, v := range it.Photo.Visible {
					texts = append(texts, "Photo: "+v)
				}
			}
			if where := unsafeFor(texts); where != "" {
				k.warn(fmt.Sprintf("stages[%d].items[%d]", i, j), "“%s” reads as if the phone were to be used %s. Ask for it once the person has stepped back, and say so.", shorten(it.Key), where)
			}
		}
	}
}

// sentences are split where one ends.
var sentences = regexp.MustCompile(`[.!?;\n]+`)

// unsafeFor is where texts ask for a photo or the phone; "" for nowhere unsafe.
func unsafeFor(texts []string) string {
	for _, text := range texts {
		for _, s := range sentences.Split(text, -1) {
			if !photoWords.MatchString(s) || steppedBack.MatchString(s) {
				continue
			}
			for _, spot := range unsafeSpot {
				if spot.words.MatchString(s) {
					return spot.where
				}
			}
		}
	}
	return ""
}
