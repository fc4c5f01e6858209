package quantity_test

import (
	"testing"

	"witnessmark/internal/quantity"
)

// TestFold: look-alikes become what is read, exponents stay, and places lead back into the text as typed.
func TestFold(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"plain", "plain"}, {"3 − 2", "3 - 2"}, {"3–2", "3-2"}, {"d²", "d²"}, {"½", "½"}, {"t₁", "t1"}, {"１２．５", "12.5"},
		{"12\u00a0500", "12\u2009500"}, {"12\u202f500", "12\u2009500"}, {"\u2126", "Ω"}, {"\u00b5m", "μm"}, {"℃", "°C"}, {"3⋅4", "3·4"}, {"\u2206T", "ΔT"},
		{"t'", "t′"}, {"㎜", "mm"}, {"⁻¹", "⁻¹"}, {"\xff", "\ufffd"},
	} {
		got, offsets := quantity.Fold(c.text)
		if got != c.want {
			t.Errorf("Fold(%q) = %q, want %q", c.text, got, c.want)
		}
		if offsets.At(0) != 0 || offsets.At(len(got)) != len(c.text) {
			t.Errorf("Fold(%q): ends lead to %d and %d, want 0 and %d", c.text, offsets.At(0), offsets.At(len(got)), len(c.text))
		}
		again, _ := quantity.Fold(got)
		if again != got {
			t.Errorf("Fold(%q) = %q, want it unchanged", got, again)
		}
	}
}
