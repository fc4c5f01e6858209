package ui

import (
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
)

// portfolioSets are two cohorts' portfolios: one under way, one that was stopped.
func portfolioSets() []app.PortfolioSet {
	at := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	return []app.PortfolioSet{
		{ID: uuid.NewSHA1(uuid.NameSpaceOID, []byte("set 1")), CohortName: "Monday evening", Unit: "H2", RequestedByName: "Mina Farrowby", RequestedAt: at, Total: 12, Ready: 5, Building: 2, Failed: 1},
		{ID: uuid.NewSHA1(uuid.NameSpaceOID, []byte("set 2")), CohortName: "Spring block release", Unit: "H2", RequestedByName: "Mina Farrowby", RequestedAt: at, StoppedByName: "Mina Farrowby", StoppedAt: at, Total: 9, Ready: 3, Stopped: 6},
	}
}
