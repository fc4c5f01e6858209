package app

import (
	"testing"

	"witnessmark/internal/fault"
)

func TestEasyPasswords(t *testing.T) {
	h := newHasher(QuickHashing)
	for password, want := range map[string]bool{
		"1234567890": true, "0987654321": true, "aaaaaaaaaaaa": true, "abcabcabcabc": true, "QWERTYuiop": true, "1q2w3e4r5t": true, "1qaz2wsx3edc": true,
		"password12": true, "Password2026!": true, "p@ssw0rd99": true, "123qwerty123": true, "Welcome2026": true, "witnessmark1": true, "!!football!!": true,
		"three words here": false, "bay-seven-demo": false, "passwords are dull": false, "password and rig": false, "8fK2mQ9zLw": false, "qwertz-olive-9": false, "日本語の長い合言葉です": false,
	} {
		_, err := h.hash(t.Context(), password)
		if got := fault.KindOf(err) == fault.KindInvalid; got != want {
			t.Errorf("%q: refused %t, want %t (%v)", password, got, want, err)
		}
	}
}
