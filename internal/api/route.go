package api

import (
	"context"
	"reflect"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// signedIn is asked of operations that are anybody's who is signed in. It is no action of account's table.
const signedIn account.Action = "signed_in"

// Route is one operation.
type Route struct {
	Method, Path string
	Action       account.Action // what the application asks of the caller; "" for signed-out people as well
	About        string         // one sentence
	Slow         bool           // one address may not try it as often as it likes
	shape        shape
	answer       func(s *service, c request, who account.Caller) error
}

// shape is the types of an operation, for the document: what it reads, and what it answers.
type shape struct {
	id                        string // the operation's name: the handler's
	path, query, body, answer reflect.Type
}

// request is one request under way.
type request struct{ echo.Context }

// handler is how an operation is written down: it calls one method of the application and puts its answer into words.
type handler[P, Q, B, R any] func(ctx context.Context, who account.Caller, p P, q Q, b B) (R, error)

// route makes a row of the table.
func route[P, Q, B, R any](id, method, path string, action account.Action, about string, fn handler[P, Q, B, R]) Route {
	return Route{
		Method: method, Path: path, Action: action, About: about,
		shape: shape{id, reflect.TypeFor[P](), reflect.TypeFor[Q](), reflect.TypeFor[B](), reflect.TypeFor[R]()},
		answer: func(s *service, c request, who account.Caller) error {
			return serve(s, c, who, fn)
		},
	}
}

// slowly is the row with a limit on tries from one address.
func slowly(r Route) Route {
	r.Slow = true
	return r
}
