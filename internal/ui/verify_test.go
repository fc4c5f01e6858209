package ui

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"strings"
	"testing"
)

// Anybody may have a file checked, signed in or not; what comes of it stands on the page, and a form that was not filled in says so.
func TestVerifyWithoutAnAccount(t *testing.T) {
	s := newSite(t)
	nobody := &visitor{site: s}
	nobody.get(t, "/verify").want(t, 200, `enctype="multipart/form-data"`)
	form := func(data []byte, words ...string) answer {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		for i := 0; i < len(words); i += 2 {
			must(t, w.WriteField(words[i], words[i+1]))
		}
		if data != nil {
			part, err := w.CreateFormFile("file", "portfolio.pdf")
			must(t, err)
			_, err = part.Write(data)
			must(t, err)
		}
		must(t, w.Close())
		return nobody.send(t, "POST", "/verify", w.FormDataContentType(), &body)
	}
	send := func(key string, data []byte) answer { return form(data, "key", key) }
	send("", nil).want(t, 422, "Choose the portfolio")
	send("rubbish", []byte("%PDF-1.7\n")).want(t, 422, "no public key of a log")
	send("", []byte{}).want(t, 422, "Choose the portfolio")
	send("", []byte("a letter")).want(t, 200, "portfolio.pdf: cannot tell", "no PDF file")
	send("", []byte("%PDF-1.7\nand no more")).want(t, 200, "portfolio.pdf: altered", "cut short")

	// What somebody outside says of it: the part of the form opens where there is something to mend.
	nobody.get(t, "/verify").want(t, 200, `<details class="quietly"><summary>Somebody outside`)
	letter := []byte("a letter")
	for name, say := range map[string]string{"witness": "no public key of a witness", "later": "no later state of a log", "authority": "holds no certificate"} {
		form(letter, name, "rubbish").want(t, 422, say, `<details class="quietly" open>`, `id="verify-`+name+`-mend"`)
	}
	form(letter, "later", " \n", "witness", "", "authority", "").want(t, 200, "no PDF file")

	// Whoever sends many words fills no memory with them.
	var many []string
	for i := range 40 {
		many = append(many, fmt.Sprint("word", i), strings.Repeat("x", 4<<10))
	}
	form(letter, many...).want(t, 413)
	form(letter, "key", strings.Repeat("x", 100<<10)).want(t, 413)
}
