package app

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"witnessmark/internal/fault"
)

// hashing is argon2id with 19 MiB and two passes (the smallest set OWASP's password sheet names; from memory).
var hashing = &argon2id.Params{Memory: 19 * 1024, Iterations: 2, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// The lengths of a password. Besides that it must not be easy to guess.
const (
	passwordLeast = 10  // characters
	passwordMost  = 256 // bytes
)

// QuickHashing protects nothing. It is for tests, which make hundreds of people and would do little else.
var QuickHashing = &argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// WithHashing is the same application with another cost of a password.
func (a *App) WithHashing(cost *argon2id.Params) *App {
	other := *a
	other.hasher = newHasher(cost)
	return &other
}

// hasher hashes passwords a few at a time, so that a hundred sign-ins at once do not take two gigabytes.
type hasher struct {
	cost  *argon2id.Params
	turns chan struct{}
}

func newHasher(cost *argon2id.Params) *hasher {
	return &hasher{cost: cost, turns: make(chan struct{}, 2)}
}

// turn waits until it may hash; the function it returns gives the turn back.
func (h *hasher) turn(ctx context.Context) (func(), error) {
	select {
	case h.turns <- struct{}{}:
		return func() { <-h.turns }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// hash checks a new password and hashes it.
func (h *hasher) hash(ctx context.Context, password string) (string, error) {
	switch {
	case utf8.RuneCountInString(password) < passwordLeast:
		return "", fault.Invalid("password", "Take at least %d characters. Three words in a row are easy to remember.", passwordLeast)
	case len(password) > passwordMost:
		return "", fault.Invalid("password", "Take at most %d characters.", passwordMost)
	case !utf8.ValidString(password) || strings.ContainsRune(password, 0):
		return "", fault.Invalid("password", "That holds characters which cannot be kept. Type it again.")
	case easy(password):
		return "", fault.Invalid("password", "That is among those that are guessed first. Take three words in a row: they are hard to guess and easy to remember.")
	}
	done, err := h.turn(ctx)
	if err != nil {
		return "", err
	}
	defer done()
	s, err := argon2id.CreateHash(password, h.cost)
	if err != nil {
		return "", fmt.Errorf("hash a password: %w", err)
	}
	return s, nil
}

// nobody is the hash that an unknown name is compared with, so that it takes as long as a known one.
const nobody = "$argon2id$v=19$m=19456,t=2,p=1$c29tZSBzYWx0IGhlcmUuLg$5k9i0wq0yVZ5v1o3l1S8yZ7h0nq7mWm3mW1x2yq2c3E"

// matches compares a password with a hash; "" stands for somebody who has none yet and never matches.
func (h *hasher) matches(ctx context.Context, password, hash string) (bool, error) {
	if len(password) > passwordMost {
		return false, nil
	}
	done, err := h.turn(ctx)
	if err != nil {
		return false, err
	}
	defer done()
	known := hash != ""
	if !known {
		hash = nobody
	}
	ok, err := argon2id.ComparePasswordAndHash(password, hash)
	if err != nil {
		return false, fmt.Errorf("compare a password: %w", err)
	}
	return ok && known, nil
}
