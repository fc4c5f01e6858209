//go:build !linux

package localpg

const noTraceEnv = "LOCALPG_TEST_NOTRACE"

// dropTracing has nothing to do: only Linux ties looking into a process to tracing it.
func dropTracing() error { return nil }
