package api

import (
	"encoding/json"
	"errors"
	"net/http"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/fault"
	"witnessmark/internal/httpd"
)

// problemMedia is the media type of problem documents (RFC 9457, section 3).
const problemMedia = "application/problem+json"

// Problem is a problem document. Type names the kind of trouble and stays as it is; the sentences may change.
type Problem struct {
	Type   string  `json:"type"`
	Title  string  `json:"title"`
	Status int     `json:"status"`
	Detail string  `json:"detail"`
	Errors []Place `json:"errors,omitempty"`
}

// Place is one thing to mend: where it stands, and what to do. At most one of Pointer, Parameter and Name is set; none
// means the body as a whole.
type Place struct {
	Pointer   string `json:"pointer,omitempty"`   // JSON Pointer (RFC 6901) into the body
	Parameter string `json:"parameter,omitempty"` // of path, query or header
	Name      string `json:"name,omitempty"`      // what it is called in the brief: an item's key, a member of its text
	Detail    string `json:"detail"`
}

// kind is a kind of trouble: the last part of its type, and its title.
type kind struct{ slug, title string }

// typeBase is where the types of problems hang.
const typeBase = "/api/problems/"

// kinds is the table of the kinds of trouble by status.
var kinds = map[int]kind{
	http.StatusBadRequest:            {"unreadable", "This could not be read"},
	http.StatusUnauthorized:          {"signed-out", "You are signed out"},
	http.StatusForbidden:             {"forbidden", "This is not yours to do"},
	http.StatusNotFound:              {"not-found", "There is no such thing here"},
	http.StatusMethodNotAllowed:      {"method", "That cannot be done here"},
	http.StatusConflict:              {"conflict", "This has changed since you looked"},
	http.StatusRequestEntityTooLarge: {"too-large", "That is more than can be taken at once"},
	http.StatusUnsupportedMediaType:  {"media-type", "That kind of content is not taken here"},
	http.StatusUnprocessableEntity:   {"needs-mending", "Something needs mending"},
	http.StatusTooManyRequests:       {"too-many-tries", "Too many tries"},
	http.StatusInsufficientStorage:   {"no-room", "There is no room left"},
	http.StatusServiceUnavailable:    {"away", "The database does not answer"},
	http.StatusInternalServerError:   {"internal", "This did not work"},
}

// refusal is trouble with a request that never reached the application.
type refusal struct {
	status int
	detail string
	places []Place
}

func (r *refusal) Error() string { return r.detail }

// Unwrap gives the refusal its status in httpd's table.
func (r *refusal) Unwrap() error { return echo.NewHTTPError(r.status) }

// refuse is a refusal; places may be left out.
func refuse(status int, detail string, places ...Place) error {
	return &refusal{status: status, detail: detail, places: places}
}

// mending is a refusal of what can be read and cannot be taken: places, of which there is at least one, say why.
func mending(places []Place) error {
	detail := "Some of what was sent cannot be taken as it stands. Nothing was kept; mend what is listed and send it again."
	if len(places) == 1 {
		detail = places[0].Detail
	}
	return refuse(http.StatusUnprocessableEntity, detail, places...)
}

// placed is a fault of the application whose fields have their places in the request.
type placed struct {
	error
	places []Place
}

func (p *placed) Unwrap() error { return p.error }

// problemOf turns trouble into a problem document. Of what is not meant for people nothing shows.
func problemOf(err error) Problem {
	p := Problem{Status: httpd.Status(err), Detail: httpd.Sentence(err)}
	k, ok := kinds[p.Status]
	if !ok {
		k = kinds[http.StatusInternalServerError]
	}
	p.Type, p.Title = typeBase+k.slug, k.title
	var r *refusal
	var at *placed
	switch f, isFault := fault.As(err); {
	case errors.As(err, &r):
		p.Detail, p.Errors = r.detail, r.places
	case p.Status == http.StatusNotFound && !isFault:
		p.Detail = "There is no such operation here. /api/openapi.json lists those that there are."
	case errors.As(err, &at):
		p.Errors = at.places
	case isFault:
		p.Errors = places(f, nil)
	}
	return p
}

// places are the fields of a fault where nothing is known of the request; where says the place of a field that is.
func places(f *fault.Error, where func(name string) (Place, bool)) []Place {
	var out []Place
	for _, x := range f.Fields {
		p := Place{Name: x.Name}
		if where != nil {
			if at, ok := where(x.Name); ok {
				p = at
			}
		}
		p.Detail = x.Message
		out = append(out, p)
	}
	return out
}

// Fail answers with the problem document for err. It logs nothing of err: whoever calls it does, once.
func Fail(c echo.Context, err error) {
	p := problemOf(err)
	body, err := json.Marshal(p)
	if err == nil {
		err = c.Blob(p.Status, problemMedia, append(body, '\n'))
	}
	if err != nil {
		c.Logger().Error("a problem document could not be sent: ", err)
	}
}
