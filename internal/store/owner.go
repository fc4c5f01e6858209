package store

import (
	"context"

	"github.com/google/uuid"
)

// owner is where a session's owner is kept while a request lasts.
type owner struct {
	found []Person
	regs  []registration
}

type ownerKey struct{}

// WithOwner makes room in a context for the person whom a session belongs to: Sessions.FindCtx then reads them in the same
// round trip as the session, and Owner gives them.
func WithOwner(ctx context.Context) context.Context {
	return context.WithValue(ctx, ownerKey{}, &owner{})
}

// Owner is the person as Store.Person would have read them when the session was found. There is none where no session was
// found, where it is somebody else's, or where they may no longer sign in.
func Owner(ctx context.Context, centre int64, person uuid.UUID) (Person, bool) {
	o, ok := ctx.Value(ownerKey{}).(*owner)
	if !ok || len(o.found) != 1 || o.found[0].Centre != centre || o.found[0].ID != person {
		return Person{}, false
	}
	p := o.found[0]
	for _, g := range o.regs {
		p.Registrations = append(p.Registrations, g.Registration)
	}
	return p, true
}

// queueOwner reads, with the session, whose it is, where the context has room for them.
func queueOwner(r *reader, digest []byte) {
	o, ok := r.ctx.Value(ownerKey{}).(*owner)
	if !ok {
		return
	}
	const of = ` = (SELECT s.person_id FROM session s WHERE s.digest = @digest AND s.expires_at > now())`
	queue(r, &o.found, `SELECT `+personColumns+` FROM person p WHERE p.disabled_at IS NULL AND p.person_id`+of, args{"digest": digest})
	queue(r, &o.regs, `SELECT `+registrationColumns+` FROM registration g WHERE g.person_id`+of+` ORDER BY g.kind, g.number`, args{"digest": digest})
}
