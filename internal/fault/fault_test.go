package fault

import (
	"errors"
	"fmt"
	"testing"
)

func TestKindOf(t *testing.T) {
	for _, c := range []struct {
		err  error
		want Kind
		text string
	}{
		{nil, Internal, ""},
		{errors.New("disk on fire"), Internal, "disk on fire"},
		{Invalid("name", "Give %s.", "a name"), KindInvalid, "Give a name."},
		{NotFound("Not here."), KindNotFound, "Not here."},
		{Conflict("Changed."), KindConflict, "Changed."},
		{Forbidden("Not you."), KindForbidden, "Not you."},
		{fmt.Errorf("save: %w", NotFound("Not here.")), KindNotFound, "save: Not here."},
		{InvalidFields([]Field{{"a", "Mend a."}}), KindInvalid, "Mend a."},
		{InvalidFields([]Field{{"a", "Mend a."}, {"b", "Mend b."}}), KindInvalid, "2 things need mending.\na: Mend a.\nb: Mend b."},
	} {
		if got := KindOf(c.err); got != c.want {
			t.Errorf("KindOf(%v) = %d, want %d", c.err, got, c.want)
		}
		if c.err != nil && c.err.Error() != c.text {
			t.Errorf("got %q, want %q", c.err, c.text)
		}
	}
}

func TestFieldsStayWithTheFault(t *testing.T) {
	f, ok := As(fmt.Errorf("save: %w", InvalidFields([]Field{{"a", "Mend a."}, {"b", "100 %"}})))
	if !ok || len(f.Fields) != 2 || f.Fields[1] != (Field{"b", "100 %"}) {
		t.Errorf("got %+v, want both fields as they were", f)
	}
	if f, ok := As(errors.New("no fault")); ok || f != nil {
		t.Errorf("an ordinary error is taken for the fault %+v", f)
	}
}
