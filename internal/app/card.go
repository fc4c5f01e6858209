package app

import (
	"github.com/google/uuid"

	"witnessmark/internal/codecard"
)

// CardName is the short name of an attempt's code card, for people to compare.
func CardName(card uuid.UUID) string { return codecard.Short(card) }

// CardCode draws an attempt's code card as SVG.
func CardCode(card uuid.UUID) ([]byte, error) { return codecard.SVG(card) }
