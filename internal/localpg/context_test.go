package localpg

import "context"

// contextOfTests is for what outlives a test's own context: clean-up, the shared template, the other starters.
func contextOfTests() context.Context { return context.Background() }
