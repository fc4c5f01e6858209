package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// registerTypes makes every time that is read come out in UTC, so that equal times compare and print alike, and ids go
// over the connection as the sixteen bytes that they are. Left to itself pgx writes an id out as text and reads it back,
// each way, for the sake of database/sql's interfaces: that was an eighth of a hand-over's work.
func registerTypes(_ context.Context, conn *pgx.Conn) error {
	m := conn.TypeMap()
	m.RegisterType(&pgtype.Type{Name: "timestamptz", OID: pgtype.TimestamptzOID, Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC}})
	id := &pgtype.Type{Name: "uuid", OID: pgtype.UUIDOID, Codec: idCodec{}}
	m.RegisterType(id)
	m.RegisterType(&pgtype.Type{Name: "_uuid", OID: pgtype.UUIDArrayOID, Codec: &pgtype.ArrayCodec{ElementType: id}})
	return nil
}

// idCodec is pgx's codec with a short way for uuid.UUID in the binary format.
type idCodec struct{ pgtype.UUIDCodec }

// PlanEncode takes the short way where there is one.
func (c idCodec) PlanEncode(m *pgtype.Map, oid uint32, format int16, value any) pgtype.EncodePlan {
	if _, ok := value.(uuid.UUID); ok && format == pgtype.BinaryFormatCode {
		return encodeID{}
	}
	return c.UUIDCodec.PlanEncode(m, oid, format, value)
}

// PlanScan takes the short way where there is one.
func (c idCodec) PlanScan(m *pgtype.Map, oid uint32, format int16, target any) pgtype.ScanPlan {
	if _, ok := target.(*uuid.UUID); ok && format == pgtype.BinaryFormatCode {
		return scanID{}
	}
	return c.UUIDCodec.PlanScan(m, oid, format, target)
}

type encodeID struct{}

func (encodeID) Encode(value any, buf []byte) ([]byte, error) {
	id, ok := value.(uuid.UUID)
	if !ok {
		return nil, fmt.Errorf("%T is no id", value)
	}
	return append(buf, id[:]...), nil
}

type scanID struct{}

func (scanID) Scan(src []byte, target any) error {
	id, ok := target.(*uuid.UUID)
	if !ok || len(src) != len(id) { // NULL has no bytes
		return fmt.Errorf("%d bytes are no id for %T", len(src), target)
	}
	copy(id[:], src)
	return nil
}
