package api

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"os"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

// bodyLimit is the largest JSON body that is taken, in bytes.
const bodyLimit = 1 << 20

// none stands for a path without parameters, a query or body that is empty, an answer without content.
type none struct{}

// upload is a file as a body: its bytes as they are, read once.
type upload struct {
	io.Reader
	Digest string // SHA-256 in hex from Repr-Digest (RFC 9530); "" where the sender gave none
}

// broughtFile is the bytes of a portfolio as a body, read once.
type broughtFile struct{ io.Reader }

// readPath fills the path's parameters in; what does not fit is trouble with a parameter.
func readPath(c echo.Context, into reflect.Value) []Place {
	var out []Place
	for i := range into.NumField() {
		param := name(into.Type().Field(i), "path")
		out = append(out, bindParameter(into.Field(i), c.Param(param), param)...)
	}
	return out
}

// bindParameter is bindText for a parameter, which may not hold broken UTF-8.
func bindParameter(v reflect.Value, s, param string) []Place {
	at := Place{Parameter: param}
	if !utf8.ValidString(s) {
		at.Detail = "This is not UTF-8."
		return []Place{at}
	}
	return bindText(v, s, at)
}

// readQuery fills the query's parameters in: each once, and none that the operation does not know.
func readQuery(r *http.Request, into reflect.Value) ([]Place, error) {
	values, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		return nil, refuse(http.StatusBadRequest, "The query could not be read: a percent sign has to stand before two hexadecimal digits, and parameters are parted by &.")
	}
	var out []Place
	for i := range into.NumField() {
		f := into.Type().Field(i)
		param := name(f, "query")
		given, there := values[param]
		delete(values, param)
		switch {
		case len(given) > 1:
			out = append(out, Place{Parameter: param, Detail: "This may be given only once."})
		case there:
			out = append(out, bindParameter(into.Field(i), given[0], param)...)
		case !optional(f):
			out = append(out, Place{Parameter: param, Detail: sayGone})
		}
	}
	if len(values) > 0 {
		for param := range values {
			out = append(out, Place{Parameter: escapePointer(strings.ToValidUTF8(param, "�")), Detail: "There is no such parameter here."})
			break // one is enough to find the rest by
		}
	}
	return out, nil
}

// readBody fills the body in, whichever form it has.
func readBody(c echo.Context, into any) ([]Place, error) {
	r := c.Request()
	if coding := r.Header.Get(echo.HeaderContentEncoding); coding != "" && coding != "identity" {
		return nil, refuse(http.StatusUnsupportedMediaType, "The body is compressed. Send it as it is.")
	}
	switch b := into.(type) {
	case *none:
		return nil, emptyBody(r)
	case *upload:
		return readUpload(c, b)
	case *broughtFile:
		if r.ContentLength > app.VerifyLimit {
			return nil, brokenOff(&http.MaxBytesError{Limit: app.VerifyLimit})
		}
		b.Reader = received{http.MaxBytesReader(c.Response(), r.Body, app.VerifyLimit)}
		return nil, httpd.Within(c, app.CheckTime)
	}
	if err := jsonType(r); err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, bodyLimit))
	if err != nil {
		return nil, brokenOff(err)
	}
	n, err := parse(raw)
	if err != nil {
		return nil, refuse(http.StatusBadRequest, "The body could not be read as JSON. "+err.Error())
	}
	if n.form != object {
		return []Place{{Detail: sayObject}}, nil
	}
	return bind(n, reflect.ValueOf(into).Elem(), ""), nil
}

// emptyBody refuses a body where none is due: whoever sends one means something that would not happen.
func emptyBody(r *http.Request) error {
	n, err := r.Body.Read(make([]byte, 1))
	if n > 0 {
		return refuse(http.StatusBadRequest, "This takes no body. Send it without one.")
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return brokenOff(err)
	}
	return nil
}

// jsonType refuses a body that does not say, once, that it is JSON in UTF-8.
func jsonType(r *http.Request) error {
	given := r.Header.Values(echo.HeaderContentType)
	if len(given) == 1 {
		media, params, err := mime.ParseMediaType(given[0])
		charset, stated := params["charset"]
		if err == nil && media == echo.MIMEApplicationJSON && (!stated || strings.EqualFold(charset, "utf-8")) {
			return nil
		}
	}
	return refuse(http.StatusUnsupportedMediaType, "The body has to be JSON in UTF-8, with the header Content-Type: application/json.")
}

// readUpload opens a file's bytes. What they are is found out from them alone, but a form of several parts is no file.
func readUpload(c echo.Context, b *upload) ([]Place, error) {
	r := c.Request()
	if media, _, err := mime.ParseMediaType(r.Header.Get(echo.HeaderContentType)); err == nil && strings.HasPrefix(media, "multipart/") {
		return nil, refuse(http.StatusUnsupportedMediaType, "Send the file's bytes as the whole body, not as a part of a form.")
	}
	if r.ContentLength > app.EvidenceLimit {
		return nil, brokenOff(&http.MaxBytesError{Limit: app.EvidenceLimit})
	}
	b.Reader = received{http.MaxBytesReader(c.Response(), r.Body, app.EvidenceLimit)}
	digest, err := reprDigest(r.Header.Values("Repr-Digest"))
	if err != nil {
		return []Place{{Parameter: "Repr-Digest", Detail: sayDigest}}, nil
	}
	b.Digest = digest
	return nil, nil
}

// received reads a file and turns the connection's trouble into the sender's.
type received struct{ io.Reader }

func (r received) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	if err != nil && err != io.EOF { // io.EOF itself is how readers are told of the end
		err = brokenOff(err)
	}
	return n, err
}

// brokenOff is the refusal of a body that is too long, or that stopped coming.
func brokenOff(err error) error {
	var long *http.MaxBytesError
	if errors.As(err, &long) {
		if long.Limit == app.EvidenceLimit {
			return refuse(http.StatusRequestEntityTooLarge, "This file is bigger than 25 MiB, which is the most that is taken. Nothing was kept. Send a smaller one.")
		}
		if long.Limit == app.VerifyLimit {
			return refuse(http.StatusRequestEntityTooLarge, "This file is bigger than 512 MiB, which is the most that is checked here. Check it on your own machine, with witnessmark-verify.")
		}
		return refuse(http.StatusRequestEntityTooLarge, "The body is bigger than 1 MiB, which is the most that is taken. Nothing was kept. Send it in parts.")
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return refuse(http.StatusRequestTimeout, "The body took too long to come. Nothing was kept.")
	}
	return refuse(http.StatusBadRequest, "The body stopped before its end. Nothing was kept; send it again.")
}
