package store_test

import (
	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// wordCheck is a CHECK constraint and the words that the program has for it.
type wordCheck struct {
	constraint string
	want       []string
}

func wordChecks() []wordCheck {
	var roles []string
	for _, r := range account.Roles() {
		roles = append(roles, string(r))
	}
	var states []string
	for _, s := range []decision.State{decision.Planned, decision.Open, decision.HandedOver, decision.Checked, decision.Decided, decision.MoreToDo,
		decision.SignedOff, decision.Cleared, decision.Claimed, decision.Archived, decision.Destroyed, decision.SafetyStopped, decision.Suspended,
		decision.UnderAppeal, decision.Withdrawn, decision.SetAside} {
		states = append(states, string(s))
	}
	spots := []string{string(decision.SpotWaiting), string(decision.SpotConfirmed), string(decision.SpotRefused)}
	return []wordCheck{
		{"person_role_role_check", roles},
		{"attempt_state_check", states},
		{"cohort_member_part_check", []string{string(store.PartTrainee), string(store.PartTutor)}},
		{"brief_version_state_check", []string{string(store.Draft), string(store.Published)}},
		{"brief_check_kind_check", []string{string(store.CheckAsked), string(store.SentBack)}},
		{"portfolio_state_check", []string{string(store.PortfolioWaiting), string(store.PortfolioBuilding), string(store.PortfolioReady), string(store.PortfolioFailed)}},
		{"spot_claim_state_check", spots},
		{"spot_release_state_check", spots},
		{"registration_kind_check", []string{"gas", "electrical", "unvented"}},
	}
}
