package marking

import (
	"time"

	"github.com/goccy/go-yaml/ast"
)

// timeInto reads when an entry was put down: "10:42" or "10:42:30", all of one day, or a date and time by RFC 3339,
// "2026-05-03T10:42:30+01:00". All of a file are of the one kind or of the other, since the two cannot be compared.
func (r *sheetReader) timeInto(dst *time.Time) func(ast.Node) error {
	return func(v ast.Node) error {
		text, err := r.text(v)
		if err != nil || text == "" {
			return err
		}
		clock := "time"
		if *dst, err = time.Parse("15:04", text); err != nil {
			*dst, err = time.Parse("15:04:05", text)
		}
		if err != nil {
			clock = "date"
			*dst, err = time.Parse(time.RFC3339, text)
		}
		if _, cannot := dst.MarshalText(); err == nil {
			err = cannot // a zone or year that could not be written again
		}
		switch {
		case err != nil:
			return r.fail(v, "A time is written as 10:42 or 10:42:30, or with its date as 2026-05-03T10:42:30+01:00.")
		case r.clock == "":
			r.clock = clock
		case r.clock != clock:
			return r.fail(v, "Write all times of a submission with their dates, or none.")
		}
		return nil
	}
}
