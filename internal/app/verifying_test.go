package app_test

import (
	"io"
	"os"
	"strings"
	"testing"
	"testing/iotest"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

// Two portfolios are checked at once; whoever comes then is asked to wait, and has a turn once one of them is done.
func TestPortfoliosAreCheckedInTurn(t *testing.T) {
	c := newCentre(t)
	check := func(r io.Reader) error {
		_, err := c.VerifyPortfolio(t.Context(), r, app.Known{})
		return err
	}
	done := make(chan error)
	var writers []*io.PipeWriter
	for range 2 {
		r, w := io.Pipe()
		go func() { done <- check(r) }()
		_, err := w.Write([]byte("a letter")) // returns once it is read: its turn has begun
		must(t, err)
		writers = append(writers, w)
	}
	err := check(strings.NewReader("a letter"))
	wantKind(t, "a third", err, fault.KindConflict)
	if err == nil || !strings.Contains(err.Error(), "Wait a minute") {
		t.Errorf("a third is told %v", err)
	}
	for _, w := range writers {
		must(t, w.Close())
		must(t, <-done)
	}
	must(t, check(strings.NewReader("a letter")))
	wantKind(t, "one that takes too long", check(iotest.ErrReader(os.ErrDeadlineExceeded)), fault.KindInvalid)
}
