package brief_test

import (
	"reflect"
	"strings"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/trade"
)

// anyText is text that a tutor, or somebody who wants to break the file, could put into a member.
func anyText(t *rapid.T, label string) string {
	return rapid.OneOf(
		rapid.StringMatching(`[A-Za-z][a-z ,.;:#'"-]{0,30}`),
		rapid.SampledFrom([]string{
			"", "80 °C", "3 %", "true", "no", "null", "~", "1.10", "012", "- a", "a: b", "a #b", "#", "[x]", "{a: b}", "& a", "*b", "!c",
			"%d", "@e", "`f`", "|", ">", "?", "a\nb", "a\nb\n", "\na", "  a\nb", "a\n\n  b\n\n", "a \nb", " a", "a ", "\t", "a\tb", "---", "a\n---\nb",
			"...", "<<", "\u00a0", "\u2028", "\u0085", "\x7f", "\ufeff", "\U0001F525", "ü", "a\rb", "a\r\nb", "\\", "\"", "'", "a\\nb", "0x1F", ".inf", "=",
		}),
		rapid.StringN(0, 40, 120),
	).Draw(t, label)
}

// anyBrief is a brief of the right shape with any texts in it; the round trip does not ask for sense.
func anyBrief(t *rapid.T) *brief.Brief {
	var b brief.Brief
	fill(t, reflect.ValueOf(&b).Elem(), "brief", 0)
	b.Edition = brief.Edition
	return &b
}

func fill(t *rapid.T, v reflect.Value, label string, depth int) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).Tag.Get("yaml") == "-" {
				continue // no part of the file
			}
			fill(t, v.Field(i), label+"."+v.Type().Field(i).Name, depth+1)
		}
	case reflect.Pointer:
		if rapid.IntRange(0, 3).Draw(t, label) == 0 {
			v.Set(reflect.New(v.Type().Elem()))
			fill(t, v.Elem(), label, depth)
		}
	case reflect.Slice:
		n := rapid.IntRange(0, max(2-depth/4, 1)).Draw(t, label)
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			fill(t, v.Index(i), label, depth+1)
		}
	case reflect.String:
		v.SetString(strings.ToValidUTF8(anyText(t, label), "?"))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, label))
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(0, 9999).Draw(t, label)))
	}
}

// functions are what briefs may call, by name.
func functions() map[string]formula.Function {
	fs := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		fs[f.Name] = f
	}
	return fs
}
