package app

import (
	"encoding/json"
	"fmt"
	"sync"

	"witnessmark/internal/brief"
)

// briefsKept bounds each part of the cache; a centre has some dozens of versions in use.
const briefsKept = 512

// briefCache keeps what was read and compiled by the digests of the texts it comes from. A published version never changes,
// nor does a checked edition of a rule set, so nothing in it goes stale.
type briefCache struct {
	written  kept[*brief.Brief]    // as they were written, by the digest of their text
	compiled kept[*brief.Compiled] // by the digest of the text and of every edition that its rules come from
	rules    kept[*brief.RuleSet]  // by the digest of their text

	// Of texts that are being written: by what they say, so that these do not go stale either. They are apart from the published ones,
	// which typing would push out.
	texts  kept[*brief.Brief]   // as they were written, by the digest of their text
	checks kept[brief.Problems] // what stands against them, by checkKey
}

// checkKey names what a brief's check rests on: its text, the rules in force today, and the centre's criteria by unit.
func checkKey(source string, sets []BriefRules, known map[string][]string) (string, error) {
	on := []any{brief.Digest([]byte(source)), known}
	for _, s := range sets {
		if s.Edition != nil {
			on = append(on, s.Edition.Digest)
		}
	}
	key, err := json.Marshal(on) // maps by their keys' order
	return string(key), err
}

func newBriefCache() *briefCache { return &briefCache{} }

// brief is the published version whose text has the digest, as it was written; text fetches it where it is not known yet.
func (bc *briefCache) brief(digest string, text func() (string, error)) (*brief.Brief, error) {
	return bc.written.get(digest, func() (*brief.Brief, error) {
		source, err := text()
		if err != nil {
			return nil, err
		}
		b, err := brief.Read([]byte(source))
		if err != nil {
			return nil, fmt.Errorf("read a published brief: %w", err)
		}
		return b, nil
	})
}

// kept keeps what takes work to make. It is safe for use by many goroutines; the zero value keeps nothing yet.
type kept[T any] struct {
	mu sync.Mutex
	by map[string]T
}

// get is what is kept under the key; where nothing is, it is built.
func (k *kept[T]) get(key string, build func() (T, error)) (T, error) {
	k.mu.Lock()
	v, ok := k.by[key]
	k.mu.Unlock()
	if ok {
		return v, nil
	}
	v, err := build()
	if err != nil {
		return v, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.by == nil || len(k.by) >= briefsKept {
		k.by = map[string]T{}
	}
	k.by[key] = v
	return v, nil
}
