package httpd

import (
	"os"
	"runtime/debug"
)

// heapGrowth is how far the heap may grow before it is collected, in per cent of what is live. A request leaves much that
// is short-lived, and a centre's live heap is some megabytes: at the runtime's own 100 % a busy server would
// collect it again every few megabytes. At most some five times the live heap is in use.
const heapGrowth = 400

// SettleMemory sets how the process collects its heap. It is called once, before serving. GOGC in the environment has the
// last word, and GOMEMLIMIT holds as always.
func SettleMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapGrowth)
	}
}
