package pdf_test

import (
	"bytes"
	"testing"

	"witnessmark/internal/pdf"
)

func draw(t testing.TB, d pdf.Document) ([]byte, pdf.Report) {
	t.Helper()
	var b bytes.Buffer
	r, err := pdf.Draw(t.Context(), &b, d)
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), r
}

func TestSmoke(t *testing.T) {
	d, _ := sample(t)
	b, r := draw(t, d)
	t.Log(r)
	b, r = draw(t, long(400))
	t.Log(r)
}
