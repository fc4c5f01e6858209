// Package fault holds the four kinds of trouble that a person can do something about.
//
// A fault carries a message meant for that person: what happened, what it means, what to do. Everything else that goes
// wrong is internal: it is wrapped with %w and the operation, logged once where it turns into an answer, and shown to
// nobody. One table in each way in turns a Kind into a status.
package fault

import (
	"errors"
	"fmt"
	"strings"
)

// Kind says what sort of trouble it is.
type Kind int

const (
	// Internal is the kind of every error that is not a fault: show nothing of it.
	Internal Kind = iota
	// KindInvalid means that what was sent cannot be taken as it stands; Fields says where.
	KindInvalid
	// KindNotFound means that it is not there, or that the caller may not know that it is.
	KindNotFound
	// KindConflict means that somebody or something got there first; look again and decide afresh.
	KindConflict
	// KindForbidden means that the caller sees the thing but may not do this to it.
	KindForbidden
)

// Field is one thing to mend: Name is the field's name in the form or document, Message what to do about it.
type Field struct {
	Name    string
	Message string
}

// Error is a fault. Message is complete in itself; Fields is filled only for KindInvalid.
type Error struct {
	Kind    Kind
	Message string
	Fields  []Field
}

// Error gives the message and, for several fields, each of them on its own line.
func (e *Error) Error() string {
	if len(e.Fields) < 2 {
		return e.Message
	}
	var b strings.Builder
	b.WriteString(e.Message)
	for _, f := range e.Fields {
		fmt.Fprintf(&b, "\n%s: %s", f.Name, f.Message)
	}
	return b.String()
}

// Invalid says that one field cannot be taken as it stands.
func Invalid(field, format string, args ...any) error {
	m := fmt.Sprintf(format, args...)
	return &Error{Kind: KindInvalid, Message: m, Fields: []Field{{Name: field, Message: m}}}
}

// InvalidFields says that several fields cannot be taken as they stand. It needs at least one field.
func InvalidFields(fields []Field) error {
	if len(fields) == 1 {
		return Invalid(fields[0].Name, "%s", fields[0].Message)
	}
	return &Error{Kind: KindInvalid, Message: fmt.Sprintf("%d things need mending.", len(fields)), Fields: fields}
}

// NotFound says that there is no such thing for this caller.
func NotFound(format string, args ...any) error {
	return &Error{Kind: KindNotFound, Message: fmt.Sprintf(format, args...)}
}

// Conflict says that the thing changed since the caller looked.
func Conflict(format string, args ...any) error {
	return &Error{Kind: KindConflict, Message: fmt.Sprintf(format, args...)}
}

// Forbidden says that the caller may not do this.
func Forbidden(format string, args ...any) error {
	return &Error{Kind: KindForbidden, Message: fmt.Sprintf(format, args...)}
}

// As finds the fault in err's chain; ok is false where err is internal or nil.
func As(err error) (e *Error, ok bool) {
	ok = errors.As(err, &e)
	return e, ok
}

// KindOf is the kind of err: Internal for anything that is not a fault, nil included.
func KindOf(err error) Kind {
	if e, ok := As(err); ok {
		return e.Kind
	}
	return Internal
}
