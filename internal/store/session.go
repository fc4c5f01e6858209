package store

import (
	"context"
	"crypto/sha256"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Sessions keeps the sessions of signed-in people: an scs.CtxStore. The database has only the SHA-256 of a token, so a
// copy of it lets nobody in.
type Sessions struct{ store *Store }

// Sessions is the session store. Its session manager has to write with SessionCodec, which says whose a session is.
func (s *Store) Sessions() *Sessions { return &Sessions{store: s} }

// FindCtx reads a session's data in one round trip, and whose it is where the context asks for that (see WithOwner); absent
// and expired are both "not found".
func (z *Sessions) FindCtx(ctx context.Context, token string) (data []byte, found bool, err error) {
	digest := sha256.Sum256([]byte(token))
	r := z.store.outside(ctx)
	r.batch.Queue(`SELECT set_config('app.centre_id', centre_id::text, true) FROM lookup_session($1)`, digest[:])
	var rows [][]byte
	queueColumn(r, &rows, `SELECT data FROM session WHERE digest = @digest AND expires_at > now()`, args{"digest": digest[:]})
	queueOwner(r, digest[:])
	if err := r.send("session"); err != nil || len(rows) == 0 {
		return nil, false, err
	}
	return rows[0], true, nil
}

// CommitCtx keeps a session until expiry and clears away some of the centre's expired ones. The session has to say
// whose it is: there is none before somebody has signed in.
func (z *Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	_, values, err := SessionCodec{}.Decode(data)
	if err != nil {
		return fmt.Errorf("decode session: %w", err)
	}
	centre, ok := values[SessionCentre].(int64)
	if !ok {
		return fmt.Errorf("keep session: it holds no %q", SessionCentre)
	}
	text, ok := values[SessionPerson].(string)
	if !ok {
		return fmt.Errorf("keep session: it holds no %q", SessionPerson)
	}
	person, err := uuid.Parse(text)
	if err != nil {
		return fmt.Errorf("keep session: person: %w", err)
	}
	digest := sha256.Sum256([]byte(token))
	return z.store.Write(ctx, centre, func(t *Tx) error {
		b := t.next()
		b.Queue(`
			INSERT INTO session (centre_id, digest, person_id, data, expires_at) VALUES (@centre, @digest, @person, @data, @expiry)
			ON CONFLICT (centre_id, digest) DO UPDATE SET data = excluded.data, expires_at = excluded.expires_at, person_id = excluded.person_id`,
			args{"centre": centre, "digest": digest[:], "person": person, "data": data, "expiry": expiry})
		// A few at a time, and never those that another request is clearing: no waiting, no deadlock.
		b.Queue(`
			DELETE FROM session WHERE digest IN
				(SELECT digest FROM session WHERE expires_at < now() ORDER BY expires_at LIMIT 20 FOR UPDATE SKIP LOCKED)`)
		if err := t.conn.SendBatch(ctx, b).Close(); err != nil {
			return fmt.Errorf("keep session: %w", err)
		}
		return nil
	})
}

// DeleteCtx ends a session; one that is not there has ended already.
func (z *Sessions) DeleteCtx(ctx context.Context, token string) error {
	digest := sha256.Sum256([]byte(token))
	b := &pgx.Batch{}
	b.Queue(`SELECT set_config('app.centre_id', centre_id::text, true) FROM lookup_session($1)`, digest[:])
	b.Queue(`DELETE FROM session WHERE digest = $1`, digest[:])
	if err := z.store.pool.SendBatch(ctx, b).Close(); err != nil {
		return translate(fmt.Errorf("end session: %w", err))
	}
	return nil
}

// Find is FindCtx for a caller without a context; the session manager never calls it.
func (z *Sessions) Find(token string) ([]byte, bool, error) {
	return z.FindCtx(context.Background(), token)
}

// Commit is CommitCtx for a caller without a context; the session manager never calls it.
func (z *Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return z.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx for a caller without a context; the session manager never calls it.
func (z *Sessions) Delete(token string) error { return z.DeleteCtx(context.Background(), token) }

// EndSessions ends every session of the person and says how many there were.
func (t *Tx) EndSessions(ctx context.Context, person uuid.UUID) (int64, error) {
	return t.exec(ctx, "end sessions", `DELETE FROM session WHERE person_id = @person`, args{"person": person})
}

// SweepSessions deletes all expired sessions of the centre and says how many there were.
func (s *Store) SweepSessions(ctx context.Context, centre int64) (int64, error) {
	var n int64
	err := s.Write(ctx, centre, func(t *Tx) (err error) {
		n, err = t.exec(ctx, "sweep sessions", `DELETE FROM session WHERE expires_at < now()`, args{})
		return err
	})
	return n, err
}
