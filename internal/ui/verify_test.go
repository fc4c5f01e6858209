package ui

import (
	"bytes"
	"mime/multipart"
	"testing"
)

// Anybody may have a file checked, signed in or not; what comes of it stands on the page, and a form that was not filled in says so.
func TestVerifyWithoutAnAccount(t *testing.T) {
	s := newSite(t)
	nobody := &visitor{site: s}
	nobody.get(t, "/verify").want(t, 200, `enctype="multipart/form-data"`)
	send := func(key string, data []byte) answer {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		must(t, w.WriteField("key", key))
		if data != nil {
			part, err := w.CreateFormFile("file", "portfolio.pdf")
			must(t, err)
			_, err = part.Write(data)
			must(t, err)
		}
		must(t, w.Close())
		return nobody.send(t, "POST", "/verify", w.FormDataContentType(), &body)
	}
	send("", nil).want(t, 422, "Choose the portfolio")
	send("rubbish", []byte("%PDF-1.7\n")).want(t, 422, "no public key of a log")
	send("", []byte{}).want(t, 422, "Choose the portfolio")
	send("", []byte("a letter")).want(t, 200, "portfolio.pdf: cannot tell", "no PDF file")
	send("", []byte("%PDF-1.7\nand no more")).want(t, 200, "portfolio.pdf: altered", "cut short")
}
