package app

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/store"
)

// newLink keeps the digest of a new token that opens something for a person until then, and gives the token, which is kept nowhere.
func newLink(ctx context.Context, t *store.Tx, purpose string, person uuid.UUID, until time.Time) (link uuid.UUID, token string, err error) {
	if link, err = newID(); err != nil {
		return link, "", err
	}
	raw := make([]byte, 32)
	if _, err := rand.Read(raw); err != nil {
		return link, "", fmt.Errorf("make a token: %w", err)
	}
	token = base64.RawURLEncoding.EncodeToString(raw)
	return link, token, t.AddLink(ctx, store.Link{ID: link, Digest: tokenDigest(token), Purpose: purpose, Person: person, ExpiresAt: until})
}

// linkOf finds the link that a token opens, whatever it is for.
func (a *App) linkOf(ctx context.Context, token string) (store.Link, error) {
	return a.db.LinkByDigest(ctx, tokenDigest(token))
}

func tokenDigest(token string) []byte {
	digest := sha256.Sum256([]byte(token))
	return digest[:]
}
