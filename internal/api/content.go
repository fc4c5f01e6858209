package api

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/httpd"
)

// content is a file as an answer, whole or in the parts that were asked for. Whatever its bytes are, they run nothing.
type content struct {
	io.ReadSeekCloser
	name, media string
	digest      string // SHA-256 of the bytes in hex
	inline      bool   // shown rather than kept
}

// send sends the file and closes it. Its bytes never change, but whether the one who asks may see them can, so that what is
// kept is asked for again each time and costs no more than the question.
func (f content) send(c request) error {
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, f.media)
	h.Set(echo.HeaderContentSecurityPolicy, httpd.EvidencePolicy)
	h.Set(echo.HeaderCacheControl, "private, no-cache")
	h.Set("ETag", `"`+f.digest+`"`)
	if !f.inline {
		h.Set(echo.HeaderContentDisposition, attachment(f.name))
	}
	http.ServeContent(c.Response(), c.Request(), "", time.Time{}, f)
	return f.Close()
}

// attachment names a file to be kept, in ASCII and, where that is not enough, as RFC 6266 has it.
func attachment(name string) string {
	if s := mime.FormatMediaType("attachment", map[string]string{"filename": name}); s != "" {
		return s
	}
	return "attachment"
}

// opened is content, closed again where opening it failed half-way.
func opened(f content, err error) (content, error) {
	if err != nil && f.ReadSeekCloser != nil {
		return content{}, errors.Join(err, f.Close())
	}
	return f, err
}
