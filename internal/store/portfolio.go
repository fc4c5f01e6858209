package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// PortfolioState says how far a portfolio has come.
type PortfolioState string

// The states of a portfolio.
const (
	PortfolioWaiting  PortfolioState = "waiting"
	PortfolioBuilding PortfolioState = "building"
	PortfolioReady    PortfolioState = "ready"
	PortfolioFailed   PortfolioState = "failed"
	PortfolioStopped  PortfolioState = "stopped" // by a person, before it was ready
)

// Portfolio is one PDF of one trainee for one qualification unit, asked for or built.
type Portfolio struct {
	ID              uuid.UUID `db:"portfolio_id"`
	Trainee         uuid.UUID `db:"trainee_id"`
	TraineeName     string    // only read
	Unit            string    `db:"unit_code"`
	UnitTitle       string    // only read
	RequestedBy     uuid.UUID
	RequestedByName string // only read
	RequestedAt     time.Time
	State           PortfolioState
	Note            string // why it failed, for people
	Digest          string // SHA-256 of the PDF, hex; "" until it is ready
	Size            int64  // bytes
	BuiltAt         time.Time
}

const portfolioColumns = `f.portfolio_id, f.trainee_id, p.name AS trainee_name, f.unit_code, u.title AS unit_title, f.requested_by, q.name AS requested_by_name,
	f.requested_at, f.state, f.note, coalesce(encode(f.digest, 'hex'), '') AS digest, f.size, coalesce(f.built_at, '0001-01-01 00:00Z') AS built_at`

const portfolioFrom = ` FROM portfolio f
	JOIN person p ON p.centre_id = f.centre_id AND p.person_id = f.trainee_id
	JOIN person q ON q.centre_id = f.centre_id AND q.person_id = f.requested_by
	JOIN qualification_unit u ON u.centre_id = f.centre_id AND u.unit_code = f.unit_code `

// Portfolio reads one portfolio.
func (s *Store) Portfolio(ctx context.Context, centre int64, id uuid.UUID) (Portfolio, error) {
	return one[Portfolio](s.reading(ctx, centre), "portfolio", `SELECT `+portfolioColumns+portfolioFrom+` WHERE f.portfolio_id = @portfolio`,
		args{"portfolio": id})
}

// Portfolios lists the centre's portfolios, the newest request first.
func (s *Store) Portfolios(ctx context.Context, centre int64) ([]Portfolio, error) {
	return all[Portfolio](s.reading(ctx, centre), "portfolios", `
		SELECT `+portfolioColumns+portfolioFrom+` ORDER BY f.requested_at DESC, f.portfolio_id`, args{})
}

// PortfoliosOf lists a trainee's portfolios, the newest request first.
func (s *Store) PortfoliosOf(ctx context.Context, centre int64, trainee uuid.UUID) ([]Portfolio, error) {
	return all[Portfolio](s.reading(ctx, centre), "portfolios", `
		SELECT `+portfolioColumns+portfolioFrom+` WHERE f.trainee_id = @trainee ORDER BY f.requested_at DESC, f.portfolio_id`, args{"trainee": trainee})
}

// AddPortfolio keeps a request in the state waiting; the same id again has no effect. Enqueue the job beside it.
func (t *Tx) AddPortfolio(ctx context.Context, p Portfolio) error {
	_, err := t.exec(ctx, "add portfolio", `
		INSERT INTO portfolio (centre_id, portfolio_id, trainee_id, unit_code, requested_by, requested_at, state)
		VALUES (@centre, @portfolio, @trainee, @unit, @by, @at, 'waiting') ON CONFLICT (centre_id, portfolio_id) DO NOTHING`,
		args{"centre": t.centre, "portfolio": p.ID, "trainee": p.Trainee, "unit": p.Unit, "by": p.RequestedBy, "at": p.RequestedAt})
	return err
}

// LockPortfolio reads one portfolio and holds it until the transaction ends.
func (t *Tx) LockPortfolio(ctx context.Context, id uuid.UUID) (Portfolio, error) {
	return one[Portfolio](t.reading(ctx), "portfolio", `SELECT `+portfolioColumns+portfolioFrom+` WHERE f.portfolio_id = @portfolio FOR UPDATE OF f`,
		args{"portfolio": id})
}

// SavePortfolio keeps State, Note, Digest, Size and BuiltAt.
func (t *Tx) SavePortfolio(ctx context.Context, p Portfolio) error {
	var digest []byte
	if p.Digest != "" {
		var err error
		if digest, err = digestBytes(p.Digest); err != nil {
			return err
		}
	}
	return t.mustFind(ctx, "portfolio", "save portfolio", `
		UPDATE portfolio SET state = @state, note = @note, digest = @digest, size = @size, built_at = @built_at WHERE portfolio_id = @portfolio`,
		args{"portfolio": p.ID, "state": string(p.State), "note": p.Note, "digest": digest, "size": p.Size, "built_at": timeOrNull(p.BuiltAt)})
}
