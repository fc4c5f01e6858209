package app

import (
	"fmt"
	"sync"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
)

// briefsKept bounds the cache; a centre has some dozens of versions in use.
const briefsKept = 512

// briefCache keeps published briefs as they were read and compiled, by the digest of their text. A published version never
// changes, so nothing in it goes stale.
type briefCache struct {
	mu   sync.Mutex
	kept map[string]*brief.Compiled
}

func newBriefCache() *briefCache { return &briefCache{kept: map[string]*brief.Compiled{}} }

// compiled is the brief of a published version's text.
func (bc *briefCache) compiled(source string, functions map[string]formula.Function) (*brief.Compiled, error) {
	return bc.byDigest(brief.Digest([]byte(source)), functions, func() (string, error) { return source, nil })
}

// byDigest is the brief of the published version whose text has the digest; read fetches the text where it is not known
// yet. It was checked before it was published, so one that cannot be compiled is our own trouble.
func (bc *briefCache) byDigest(digest string, functions map[string]formula.Function, read func() (string, error)) (*brief.Compiled, error) {
	if c, ok := bc.known(digest); ok {
		return c, nil
	}
	source, err := read()
	if err != nil {
		return nil, err
	}
	b, err := brief.Read([]byte(source))
	if err != nil {
		return nil, fmt.Errorf("read a published brief: %w", err)
	}
	c, problems := brief.Compile(b, functions)
	if err := problems.Err(); err != nil {
		return nil, fmt.Errorf("compile the published brief %s: %w", b.Key, err)
	}
	bc.keep(digest, c)
	return c, nil
}

func (bc *briefCache) known(digest string) (*brief.Compiled, bool) {
	bc.mu.Lock()
	defer bc.mu.Unlock()
	c, ok := bc.kept[digest]
	return c, ok
}

func (bc *briefCache) keep(digest string, c *brief.Compiled) {
	bc.mu.Lock()
	defer bc.mu.Unlock()
	if len(bc.kept) >= briefsKept {
		clear(bc.kept)
	}
	bc.kept[digest] = c
}
