package store

import (
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
)

// ErrAway says that the database could not be reached, or went away meanwhile: a moment later the same may work.
var ErrAway = errors.New("the database does not answer")

// condition adds to trouble with the server itself what it means: ErrAway, or syscall.ENOSPC where its disk is full. The
// codes are those of the PostgreSQL manual, appendix A: class 08 connection exception, 53100 disk_full, 53300
// too_many_connections, 57P01 to 57P03 the server is shut down, crashed or starting.
func condition(err error) error {
	var pg *pgconn.PgError
	var connect *pgconn.ConnectError
	var network *net.OpError
	switch {
	case errors.As(err, &pg):
		switch {
		case pg.Code == "53100":
			return fmt.Errorf("%w: %w", syscall.ENOSPC, err)
		case strings.HasPrefix(pg.Code, "08"), pg.Code == "53300", pg.Code == "57P01", pg.Code == "57P02", pg.Code == "57P03":
			return fmt.Errorf("%w: %w", ErrAway, err)
		}
	case errors.As(err, &connect), errors.As(err, &network), errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("%w: %w", ErrAway, err)
	}
	return err
}
