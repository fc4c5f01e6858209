package store

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
)

// Named is somebody by name.
type Named struct {
	ID   uuid.UUID `db:"person_id"`
	Name string
}

// WhoHas lists who may sign in or come by a link and has one of the roles, by name, at most a thousand.
func (s *Store) WhoHas(ctx context.Context, centre int64, roles ...account.Role) ([]Named, error) {
	words := make([]string, len(roles))
	for i, r := range roles {
		words[i] = string(r)
	}
	return all[Named](s.reading(ctx, centre), "people", `
		SELECT p.person_id, p.name FROM person p WHERE p.disabled_at IS NULL
		AND EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role = ANY(@roles))
		ORDER BY p.name, p.person_id LIMIT 1000`, args{"roles": words})
}
