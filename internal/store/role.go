package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// SetRolePassword gives the plain role a password, for databases that are reached over a network. ownerURL names a role
// that may change roles. The password goes over the connection as a statement, so that connection should be encrypted.
func SetRolePassword(ctx context.Context, ownerURL, password string) error {
	conn, err := pgx.Connect(ctx, ownerURL)
	if err != nil {
		return fmt.Errorf("connect to the database: %w", err)
	}
	defer func() { _ = conn.Close(context.WithoutCancel(ctx)) }()
	var sql string
	// ALTER ROLE takes no parameters; the server itself quotes the literal.
	if err := conn.QueryRow(ctx, `SELECT format('ALTER ROLE %I PASSWORD %L', $1::text, $2::text)`, Role, password).Scan(&sql); err != nil {
		return fmt.Errorf("quote the password: %w", err)
	}
	if _, err := conn.Exec(ctx, sql); err != nil {
		return fmt.Errorf("set the password of the role %s: %w", Role, err)
	}
	return nil
}
