package marking

import (
	"fmt"
	"path/filepath"
	"testing"

	"witnessmark/internal/golden"
)

// TestExamplesGiveTheseBytes holds all that is said about the examples, so that another processor must say the same to the
// last byte: `make arm64` runs it there.
func TestExamplesGiveTheseBytes(t *testing.T) {
	for n := 1; n <= 10; n++ {
		id := fmt.Sprintf("EX-%02d", n)
		var ex example
		decode(t, id+".json", &ex)
		c := compiled(t, id+".yaml")
		golden.Check(t, filepath.Join(data, id+"-result.json"), asJSON(t, Mark(c, ex.sheet(t, c))))
	}
}
