package account

import (
	"slices"

	"witnessmark/internal/fault"
)

// Action is one thing that a person can do; the application layer has a method for each.
type Action string

// The actions.
const (
	SeeOwnTasks    Action = "see_own_tasks"
	SeeAttempt     Action = "see_attempt"
	OpenAttempt    Action = "open_attempt"
	CoverFile      Action = "cover_file"    // lay covers over a photo
	WithdrawFile   Action = "withdraw_file" // take away the original of a file
	SeeOriginal    Action = "see_original"  // without the covers
	Record         Action = "record"        // type values, add evidence, confirm
	HandOver       Action = "hand_over"
	SeeCohorts     Action = "see_cohorts"
	SeeBriefs      Action = "see_briefs"
	WriteBrief     Action = "write_brief"
	SetBrief       Action = "set_brief"
	ReleaseHold    Action = "release_hold"
	EnterCheck     Action = "enter_check_reading"
	Decide         Action = "decide"
	Override       Action = "override"
	SignOff        Action = "sign_off"
	AskForMore     Action = "ask_for_more"
	SafetyStop     Action = "safety_stop"
	ClearStop      Action = "clear_safety_stop"
	SeePeople      Action = "see_people"
	ManagePeople   Action = "manage_people"
	ManageCohorts  Action = "manage_cohorts"
	BuildPortfolio Action = "build_portfolio"
	ReadPortfolio  Action = "read_portfolio"
	SeeRules       Action = "see_rules"
	EnterRules     Action = "enter_rules"
	CheckRules     Action = "check_rules"   // never one's own
	MarkAgain      Action = "mark_again"    // under another edition of a rule set
	TakeIn         Action = "take_in"       // what came after handing over without being on the sealed list
	GoOnWithout    Action = "go_on_without" // what is on the sealed list and has not come

	CheckBrief   Action = "check_brief" // and publish it; never one's own
	Adjust       Action = "adjust"      // agree an adjustment for a trainee, or grant one more attempt
	Observe      Action = "observe"
	AskOrally    Action = "ask_orally"
	Question     Action = "question" // leave a note that the trainee is to be asked
	TakeBack     Action = "take_back"
	Countersign  Action = "countersign"
	Acknowledge  Action = "acknowledge"
	Appeal       Action = "appeal"
	SettleAppeal Action = "settle_appeal" // never against one's own decision
	SeeTerm      Action = "see_term"      // how a cohort and a brief did
	RemarkBrief  Action = "remark_brief"  // put every attempt under a corrected version
)

// Standing is how the caller stands to the thing that the action is about.
type Standing uint8

const (
	// SameCentre is all that anybody of the centre has.
	SameCentre Standing = iota
	// Own means that it is the caller's own: their attempt, their portfolio.
	Own
	// Teaches means that the caller is a tutor of the cohort it belongs to.
	Teaches
	// Afresh means that an appeal against it was upheld, and that the caller had no part in what was decided before.
	Afresh
)

// rule allows an action to a role that has the standing.
type rule struct {
	action   Action
	role     Role
	standing Standing
}

// rules is the table of who may do what. Nobody decides on their own work: no row gives a judging action to Own.
var rules = []rule{
	{SeeOwnTasks, Trainee, SameCentre},
	{SeeAttempt, Trainee, Own}, {SeeAttempt, Tutor, Teaches}, {SeeAttempt, QualityAssurer, SameCentre}, {SeeAttempt, Manager, SameCentre},
	{OpenAttempt, Trainee, Own},
	{Record, Trainee, Own},
	{CoverFile, Trainee, Own}, {CoverFile, Tutor, Teaches},
	{WithdrawFile, Tutor, Teaches},
	{SeeOriginal, Tutor, Teaches}, {SeeOriginal, QualityAssurer, SameCentre},
	{HandOver, Trainee, Own},
	{SeeCohorts, Tutor, SameCentre}, {SeeCohorts, QualityAssurer, SameCentre}, {SeeCohorts, Manager, SameCentre},
	{SeeBriefs, Tutor, SameCentre}, {SeeBriefs, QualityAssurer, SameCentre}, {SeeBriefs, Manager, SameCentre},
	{WriteBrief, Tutor, SameCentre},
	{SetBrief, Tutor, Teaches},
	{ReleaseHold, Tutor, Teaches},
	{EnterCheck, Tutor, Teaches},
	{Decide, Tutor, Teaches},
	{Override, Tutor, Teaches},
	{SignOff, Tutor, Teaches},
	{AskForMore, Tutor, Teaches},
	{SafetyStop, Trainee, Own}, {SafetyStop, Tutor, SameCentre}, {SafetyStop, QualityAssurer, SameCentre}, {SafetyStop, Manager, SameCentre}, {SafetyStop, Technician, SameCentre},
	{ClearStop, Tutor, Teaches},
	{SeePeople, Manager, SameCentre}, {SeePeople, Tutor, SameCentre}, {SeePeople, QualityAssurer, SameCentre},
	{ManagePeople, Manager, SameCentre},
	{ManageCohorts, Manager, SameCentre},
	{BuildPortfolio, Manager, SameCentre}, {BuildPortfolio, QualityAssurer, SameCentre}, {BuildPortfolio, Tutor, Teaches},
	{ReadPortfolio, Manager, SameCentre}, {ReadPortfolio, QualityAssurer, SameCentre}, {ReadPortfolio, Tutor, Teaches}, {ReadPortfolio, Trainee, Own},
	{SeeRules, Tutor, SameCentre}, {SeeRules, QualityAssurer, SameCentre}, {SeeRules, Manager, SameCentre},
	{EnterRules, Tutor, SameCentre}, {EnterRules, QualityAssurer, SameCentre}, {EnterRules, Manager, SameCentre},
	{CheckRules, Tutor, SameCentre}, {CheckRules, QualityAssurer, SameCentre}, {CheckRules, Manager, SameCentre},
	{MarkAgain, Tutor, Teaches},
	{TakeIn, Tutor, Teaches},
	{GoOnWithout, Tutor, Teaches},
	{CheckBrief, Tutor, SameCentre}, {CheckBrief, QualityAssurer, SameCentre},
	{Adjust, Tutor, Teaches},
	{Observe, Tutor, Teaches},
	{AskOrally, Tutor, Teaches},
	{Question, Tutor, Teaches},
	{TakeBack, Tutor, Teaches},
	{Countersign, Tutor, Teaches}, {Countersign, QualityAssurer, SameCentre},
	{Acknowledge, Trainee, Own},
	{Appeal, Trainee, Own},
	{SettleAppeal, QualityAssurer, SameCentre}, {SettleAppeal, Manager, SameCentre},
	{Decide, QualityAssurer, Afresh}, {TakeBack, QualityAssurer, Afresh}, {Override, QualityAssurer, Afresh}, {Question, QualityAssurer, Afresh},
	{SignOff, QualityAssurer, Afresh}, {AskForMore, QualityAssurer, Afresh},
	{SeeTerm, Tutor, Teaches}, {SeeTerm, QualityAssurer, SameCentre}, {SeeTerm, Manager, SameCentre},
	{RemarkBrief, Tutor, SameCentre}, {RemarkBrief, QualityAssurer, SameCentre},
}

// May says whether the caller may do the action, given how they stand to the thing (any of the standings counts, and
// SameCentre always does). The answer is nil or a fault.Forbidden with a sentence for the caller.
func May(c Caller, a Action, standings ...Standing) error {
	if As(c, a, standings...) == "" {
		return fault.Forbidden("This is for %s.", whoMay(a))
	}
	return nil
}

// As is the role in which the caller may do the action, the first in the table where several allow it; "" where none does.
func As(c Caller, a Action, standings ...Standing) Role {
	for _, r := range rules {
		if r.action == a && c.Has(r.role) && (r.standing == SameCentre || slices.Contains(standings, r.standing)) {
			return r.role
		}
	}
	return ""
}

// whoMay lists in words the roles that may do the action.
func whoMay(a Action) string {
	var who []string
	for _, r := range rules {
		if r.action != a || r.standing == Afresh { // that is said where it comes to it
			continue
		}
		w := "a " + r.role.Words()
		switch {
		case r.role == QualityAssurer || r.role == ExternalVerifier:
			w = "an " + r.role.Words()
		case r.standing == Teaches:
			w = "a tutor of the cohort"
		case r.standing == Own:
			w = "the trainee whose work it is"
		}
		who = append(who, w)
	}
	switch len(who) {
	case 0:
		return "nobody"
	case 1:
		return who[0]
	}
	s := who[0]
	for i, w := range who[1:] {
		if i == len(who)-2 {
			s += " or " + w
		} else {
			s += ", " + w
		}
	}
	return s
}
