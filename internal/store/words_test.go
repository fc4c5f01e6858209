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
	registerChecks := []string{string(decision.Calibration)}
	for _, c := range decision.Checks() {
		registerChecks = append(registerChecks, string(c))
	}
	return []wordCheck{
		{"person_role_role_check", roles},
		{"attempt_state_check", states},
		{"cohort_member_part_check", []string{string(store.PartTrainee), string(store.PartTutor)}},
		{"brief_version_state_check", []string{string(store.Draft), string(store.Published)}},
		{"brief_check_kind_check", []string{string(store.CheckAsked), string(store.SentBack)}},
		{"portfolio_state_check", []string{string(store.PortfolioWaiting), string(store.PortfolioBuilding), string(store.PortfolioReady), string(store.PortfolioFailed), string(store.PortfolioStopped)}},
		{"spot_claim_state_check", spots},
		{"spot_release_state_check", spots},
		{"action_source_check", []string{string(store.ActionFromSample), string(store.ActionFromVisit), string(store.ActionFromStandardisation), string(store.ActionFromRuling), string(store.ActionFromPrior)}},
		{"visit_view_what_check", []string{string(store.LookedOpened), string(store.LookedList), string(store.LookedAttempt), string(store.LookedFile), string(store.LookedPortfolio), string(store.LookedLog)}},
		{"visit_note_finding_check", []string{string(store.VisitConfirmed), string(store.VisitNotConfirmed), string(store.VisitRemark)}},
		{"register_event_what_check", registerChecks},
		{"register_look_outcome_check", []string{"stands", "again", "afresh"}},
		{"alike_look_outcome_check", []string{"same", "different", "talked"}},
		{"sampling_plan_stage_check", []string{string(store.Interim), string(store.Final)}},
		{"sample_outcome_outcome_check", []string{string(decision.Agree), string(decision.AgreeWithAction), string(decision.Disagree)}},
		{"prior_look_outcome_check", []string{string(decision.Agree), string(decision.AgreeWithAction), string(decision.Disagree)}},
		{"registration_kind_check", account.RegistrationKinds()},
	}
}
