package upload

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/tus/tusd/v2/pkg/handler"

	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

// statusAltered is the protocol's for bytes that do not have their checksum (tus 1.0.0, extension Checksum).
const statusAltered = 460

// refusal is trouble with a request that never reached the application.
type refusal struct {
	status int
	title  string
}

func (r *refusal) Error() string { return r.title }

// status is the status of trouble. What is no fault of the request is logged, once, here.
func (s *service) status(err error) int {
	if errors.Is(err, app.ErrAltered) {
		return statusAltered
	}
	status := httpd.Status(err)
	if status == http.StatusInternalServerError {
		s.log.Error("an upload failed", "err", err)
	}
	return status
}

// trouble is an error as the protocol's handler passes it on.
func (s *service) trouble(err error) error {
	p := problem{httpd.Sentence(err), s.status(err)}
	var r *refusal
	if errors.As(err, &r) {
		p = problem{r.title, r.status}
	}
	return handler.Error{
		ErrorCode: "ERR_WITNESSMARK", Message: p.Title,
		HTTPResponse: handler.HTTPResponse{StatusCode: p.Status, Body: p.body(), Header: handler.HTTPHeader{"Content-Type": problemMedia}},
	}
}

// problemMedia is the media type of problem documents (RFC 9457, section 3).
const problemMedia = "application/problem+json"

type problem struct {
	Title  string `json:"title"`
	Status int    `json:"status"`
}

func (p problem) body() string {
	text, err := json.Marshal(p)
	if err != nil { // a string and a number: it cannot be
		return ""
	}
	return string(text) + "\n"
}

// lengthKnown is what several of the protocol's refusals come to.
const lengthKnown = "The length of a file has to be known, and stays as it was announced."

// told is what the protocol's own refusals mean, by their code; a status stands where ours is another.
var told = map[string]problem{
	handler.ErrUnsupportedVersion.ErrorCode:               {Title: "This page is of another edition than the server: load it again. (Tus-Resumable is 1.0.0 here.)"},
	handler.ErrMaxSizeExceeded.ErrorCode:                  {Title: "This file is bigger than is taken. Send a smaller one."},
	handler.ErrInvalidUploadLength.ErrorCode:              {Title: "Upload-Length has to say how many bytes the file has."},
	handler.ErrNotImplemented.ErrorCode:                   {Title: lengthKnown, Status: http.StatusBadRequest},
	handler.ErrInvalidUploadDeferLength.ErrorCode:         {Title: lengthKnown},
	handler.ErrUploadLengthAndUploadDeferLength.ErrorCode: {Title: lengthKnown},
	handler.ErrInvalidContentType.ErrorCode:               {Title: "Parts are sent as application/offset+octet-stream."},
	handler.ErrInvalidOffset.ErrorCode:                    {Title: "Upload-Offset has to say where this part begins."},
	handler.ErrMismatchOffset.ErrorCode:                   {Title: "The file is not as far as that, or further. Ask how far it is and go on from there."},
	handler.ErrSizeExceeded.ErrorCode:                     {Title: "This is more than the file was announced with."},
	handler.ErrNotFound.ErrorCode:                         {Title: "There is no such upload here. Announce the file again."},
	handler.ErrFileLocked.ErrorCode:                       {Title: "This file is being sent by another page. It will go on by itself."},
	handler.ErrUnexpectedEOF.ErrorCode:                    {Title: "The connection broke. What came is kept; go on from there."},
}

// answer turns what the protocol's handler writes into what we answer: the path alone of an upload's address, since a proxy
// may stand between, and words for a person in place of codes.
type answer struct {
	http.ResponseWriter
	body *body
	held int // the status of a refusal whose words have not come
}

// Unwrap is for http.ResponseController.
func (a *answer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

func (a *answer) WriteHeader(status int) {
	if at, err := url.Parse(a.Header().Get("Location")); err == nil && at.Path != "" {
		a.Header().Set("Location", at.Path)
	}
	if status >= http.StatusBadRequest && strings.HasPrefix(a.Header().Get("Content-Type"), "text/plain") {
		a.held = status
		return
	}
	a.send(status)
}

// send begins the answer; the request is not read any further.
func (a *answer) send(status int) {
	if a.body.close() {
		a.Header().Set("Connection", "close")
	}
	a.ResponseWriter.WriteHeader(status)
}

func (a *answer) Write(b []byte) (int, error) {
	if a.held == 0 {
		return a.ResponseWriter.Write(b)
	}
	code, words, _ := strings.Cut(string(b), ": ")
	p, ok := told[code]
	if !ok {
		p.Title = strings.TrimSpace(words)
	}
	if p.Status == 0 {
		p.Status = a.held
	}
	a.refuse(p.Status, p.Title)
	return len(b), nil
}

// refuse answers with trouble.
func (a *answer) refuse(status int, title string) {
	a.held = 0
	p := problem{title, status}
	a.Header().Del("Content-Length")
	a.Header().Set("Content-Type", problemMedia)
	a.send(status)
	_, _ = a.ResponseWriter.Write([]byte(p.body())) // who went away does not read it
}

// end answers a refusal that has no words: of HEAD.
func (a *answer) end() {
	if a.held != 0 {
		a.send(a.held)
	}
}
