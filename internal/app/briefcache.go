package app

import (
	"fmt"
	"sync"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
)

// briefsKept bounds the cache; a centre has some dozens of versions in use.
const briefsKept = 512

// briefCache keeps published briefs as they were read and compiled, by their text. A published version never changes, so
// nothing in it goes stale.
type briefCache struct {
	mu   sync.Mutex
	kept map[string]*brief.Compiled
}

func newBriefCache() *briefCache { return &briefCache{kept: map[string]*brief.Compiled{}} }

// compiled is the brief of a published version's text. It was checked before it was published, so one that cannot be compiled is
// our own trouble.
func (bc *briefCache) compiled(source string, functions map[string]formula.Function) (*brief.Compiled, error) {
	bc.mu.Lock()
	defer bc.mu.Unlock()
	if c, ok := bc.kept[source]; ok {
		return c, nil
	}
	b, err := brief.Read([]byte(source))
	if err != nil {
		return nil, fmt.Errorf("read a published brief: %w", err)
	}
	c, problems := brief.Compile(b, functions)
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("compile the published brief %s: %w", b.Key, err)
	}
	if len(bc.kept) >= briefsKept {
		clear(bc.kept)
	}
	bc.kept[source] = c
	return c, nil
}
