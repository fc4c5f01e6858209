package app

import (
	"slices"
	"strings"
	"unicode"
)

// rows are what fingers run along: letters, digits, and the keys of a keyboard as they lie.
var rows = [...]string{
	"abcdefghijklmnopqrstuvwxyz", "01234567890123456789", "qwertyuiopasdfghjklzxcvbnm",
	"1qaz2wsx3edc4rfv5tgb6yhn7ujm8ik,9ol.0p;/", "1q2w3e4r5t6y7u8i9o0p", "q1w2e3r4t5y6u7i8o9p0",
}

// firstTried are words that people take most, with figures or signs at their ends to make them longer (from memory of lists that were
// published), and this program's own name.
var firstTried = []string{
	"password", "passwort", "passw", "pass", "qwerty", "qwertyuiop", "asdfghjkl", "welcome", "letmein", "changeme", "default", "secret",
	"admin", "administrator", "iloveyou", "sunshine", "princess", "football", "baseball", "basketball",
	"monkey", "dragon", "master", "computer", "internet", "abc", "witnessmark",
	"portfolio", "trainee", "tutor",
}

// lookalikes are the figures and signs that people put in place of letters.
var lookalikes = strings.NewReplacer("@", "a", "4", "a", "3", "e", "1", "i", "!", "i", "0", "o", "$", "s", "5", "s", "7", "t")

// easy says that a password is among those that are tried first: something short again and again, a run along the keys, or a word that
// many take. A word with its lookalikes counts as the word.
func easy(password string) bool {
	p := []rune(strings.ToLower(password))
	for n := 1; n <= 4; n++ {
		if again(p, n) {
			return true
		}
	}
	forth, back := string(p), slices.Clone(p)
	slices.Reverse(back)
	for _, row := range rows {
		if strings.Contains(row, forth) || strings.Contains(row, string(back)) {
			return true
		}
	}
	word := strings.TrimFunc(forth, func(r rune) bool { return !unicode.IsLetter(r) })
	return slices.Contains(firstTried, word) || slices.Contains(firstTried, lookalikes.Replace(word))
}

// again says that p is its first n signs over and over.
func again(p []rune, n int) bool {
	for i := n; i < len(p); i++ {
		if p[i] != p[i-n] {
			return false
		}
	}
	return true
}
