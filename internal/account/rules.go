package account

import (
	"slices"

	"github.com/google/uuid"

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
	SafetyStop     Action = "safety_stop" // anybody's, of any work of the centre, whether they may see it or not
	SeeAtWork      Action = "see_at_work" // who is at work now, so that it can be stopped
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
	RemarkBrief  Action = "remark_brief"  // have every attempt marked under a corrected version, and read what changes
	TakeRemark   Action = "take_remark"   // let that take effect; a tutor only where they teach all whom it concerns

	SeeRegister  Action = "see_register"   // the centre's instruments
	KeepRegister Action = "keep_register"  // add, calibrate, retire them
	CheckInHouse Action = "check_in_house" // whether they read true
	SeeTouched   Action = "see_touched"    // which readings a failed calibration puts in question
	LookAgain    Action = "look_again"     // at those of an attempt, or at what two attempts have in common
	SeeAlike     Action = "see_alike"      // what attempts have in common
	SetAlike     Action = "set_alike"      // from where on pictures are worth a look

	DeclareConflict Action = "declare_conflict" // of interest: one's own; a manager anybody's
	EndConflict     Action = "end_conflict"     // of interest; never one that concerns oneself
	ChoosePhotos    Action = "choose_photos"    // how they stand in the centre's portfolios
	EnterUnits      Action = "enter_units"      // an edition of a qualification unit
	SeeCentre       Action = "see_centre"       // the page of what keeps the centre in order, and what waits there

	ArrangeVisit Action = "arrange_visit" // the external verifier's, and end it
	Visit        Action = "visit"         // read what a visit's list has, and note what one found
	KeepRecords  Action = "keep_records"  // say how long records are kept, and hold what must not go
	Erase        Action = "erase"         // propose what is to go, or approve what another person proposed
	ExportPerson Action = "export_person" // everything that is kept of one person
	SeeLog       Action = "see_log"       // the centre's decision log: its entries, what was signed, and proofs

	Standardise     Action = "standardise"       // set attempts for several people to judge blind, and close it
	JudgeBlind      Action = "judge_blind"       // never what one had part in
	SeeStandard     Action = "see_standard"      // rulings, and the standardisations in which one judges
	SeeAllStandard  Action = "see_all_standard"  // every standardisation
	Rule            Action = "rule"              // how a criterion is to be read
	LookUnderRuling Action = "look_under_ruling" // at an earlier decision; never one's own
	CommentBrief    Action = "comment_brief"     // on an item of a draft; never one's own
	AnswerComment   Action = "answer_comment"    // on a draft that one wrote
	SeePrior        Action = "see_prior"         // what was claimed of prior learning
	ClaimPrior      Action = "claim_prior"       // for oneself, or for a trainee of one's cohort
	DecidePrior     Action = "decide_prior"      // never what one claimed
	LookAtPrior     Action = "look_at_prior"     // at what was recognised; never where one had part in it
	SeeFiles        Action = "see_files"         // the list of small files: adjustments, prior learning, appeals
	Inquire         Action = "inquire"           // open an inquiry, and act within one that names the caller
	SetAside        Action = "set_aside"         // never what one had part in
	WithdrawTrainee Action = "withdraw_trainee"  // who leaves a cohort, and take that back; never oneself

	SeeSampling Action = "see_sampling" // plans, samples and what they would show
	PlanSample  Action = "plan_sample"
	DrawSample  Action = "draw_sample"
	SaySample   Action = "say_sample"   // what one found of a sampled attempt; never of what one had part in
	ClearClaim  Action = "clear_claim"  // never what one had part in
	SeeActions  Action = "see_actions"  // what is to be done by a day
	RaiseAction Action = "raise_action" // because of a standardisation or a ruling
	CloseAction Action = "close_action" // never one's own
	SeeClaims   Action = "see_claims"   // what is ready for a certificate, and why the rest is not
	MakeClaim   Action = "make_claim"
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
	{SafetyStop, Trainee, SameCentre}, {SafetyStop, Tutor, SameCentre}, {SafetyStop, QualityAssurer, SameCentre}, {SafetyStop, Manager, SameCentre}, {SafetyStop, Technician, SameCentre},
	{SeeAtWork, Trainee, Own}, {SeeAtWork, Tutor, SameCentre}, {SeeAtWork, QualityAssurer, SameCentre}, {SeeAtWork, Manager, SameCentre}, {SeeAtWork, Technician, SameCentre},
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
	{RemarkBrief, Tutor, SameCentre}, {RemarkBrief, QualityAssurer, SameCentre}, {RemarkBrief, Manager, SameCentre},
	{TakeRemark, Tutor, Teaches}, {TakeRemark, QualityAssurer, SameCentre}, {TakeRemark, Manager, SameCentre},
	{SeeRegister, Technician, SameCentre}, {SeeRegister, Tutor, SameCentre}, {SeeRegister, QualityAssurer, SameCentre}, {SeeRegister, Manager, SameCentre},
	{KeepRegister, Technician, SameCentre}, {KeepRegister, Manager, SameCentre},
	{CheckInHouse, Technician, SameCentre}, {CheckInHouse, Tutor, SameCentre}, {CheckInHouse, Manager, SameCentre},
	{SeeTouched, Tutor, SameCentre}, {SeeTouched, QualityAssurer, SameCentre}, {SeeTouched, Manager, SameCentre},
	{LookAgain, Tutor, Teaches}, {LookAgain, QualityAssurer, SameCentre},
	{SeeAlike, Tutor, SameCentre}, {SeeAlike, QualityAssurer, SameCentre},
	{SetAlike, QualityAssurer, SameCentre}, {SetAlike, Manager, SameCentre},
	{DeclareConflict, Tutor, SameCentre}, {DeclareConflict, QualityAssurer, SameCentre}, {DeclareConflict, Manager, SameCentre},
	{EndConflict, Manager, SameCentre},
	{ChoosePhotos, Manager, SameCentre},
	{EnterUnits, QualityAssurer, SameCentre}, {EnterUnits, Manager, SameCentre},
	{SeeSampling, QualityAssurer, SameCentre}, {SeeSampling, Manager, SameCentre},
	{PlanSample, QualityAssurer, SameCentre}, {DrawSample, QualityAssurer, SameCentre},
	{SaySample, QualityAssurer, SameCentre}, {ClearClaim, QualityAssurer, SameCentre},
	{SeeActions, Tutor, SameCentre}, {SeeActions, QualityAssurer, SameCentre}, {SeeActions, Manager, SameCentre},
	{RaiseAction, QualityAssurer, SameCentre},
	{CloseAction, QualityAssurer, SameCentre}, {CloseAction, Manager, SameCentre},
	{SeeClaims, Manager, SameCentre}, {SeeClaims, QualityAssurer, SameCentre}, {MakeClaim, Manager, SameCentre},
	{SeeCentre, Tutor, SameCentre}, {SeeCentre, QualityAssurer, SameCentre}, {SeeCentre, Manager, SameCentre}, {SeeCentre, Technician, SameCentre},
	{ArrangeVisit, QualityAssurer, SameCentre}, {ArrangeVisit, Manager, SameCentre},
	{Visit, ExternalVerifier, SameCentre},
	{KeepRecords, Manager, SameCentre},
	{Erase, QualityAssurer, SameCentre}, {Erase, Manager, SameCentre},
	{ExportPerson, Manager, SameCentre}, {ExportPerson, Trainee, Own},
	{SeeLog, QualityAssurer, SameCentre}, {SeeLog, Manager, SameCentre},
	{Standardise, QualityAssurer, SameCentre},
	{JudgeBlind, Tutor, SameCentre}, {JudgeBlind, QualityAssurer, SameCentre},
	{SeeStandard, Tutor, SameCentre}, {SeeStandard, QualityAssurer, SameCentre}, {SeeStandard, Manager, SameCentre},
	{SeeAllStandard, QualityAssurer, SameCentre}, {SeeAllStandard, Manager, SameCentre},
	{Rule, QualityAssurer, SameCentre},
	{LookUnderRuling, QualityAssurer, SameCentre},
	{CommentBrief, Tutor, SameCentre}, {CommentBrief, QualityAssurer, SameCentre},
	{AnswerComment, Tutor, SameCentre},
	{SeePrior, Trainee, Own}, {SeePrior, Tutor, Teaches}, {SeePrior, QualityAssurer, SameCentre}, {SeePrior, Manager, SameCentre},
	{ClaimPrior, Trainee, Own}, {ClaimPrior, Tutor, Teaches},
	{DecidePrior, Tutor, Teaches}, {LookAtPrior, QualityAssurer, SameCentre},
	{SeeFiles, Tutor, SameCentre}, {SeeFiles, QualityAssurer, SameCentre}, {SeeFiles, Manager, SameCentre},
	{Inquire, QualityAssurer, SameCentre}, {Inquire, Manager, SameCentre},
	{SetAside, QualityAssurer, SameCentre}, {SetAside, Manager, SameCentre},
	{WithdrawTrainee, Manager, SameCentre},
}

// May says whether the caller may do the action, given how they stand to the thing (any of the standings counts, and
// SameCentre always does). The answer is nil or a fault.Forbidden with a sentence for the caller; for the verifier on a visit it
// is a fault.NotFound, since nothing else is there for them.
func May(c Caller, a Action, standings ...Standing) error {
	if As(c, a, standings...) == "" {
		if c.Visit != uuid.Nil {
			return fault.NotFound("This is not part of your visit. Go back to your list.")
		}
		return fault.Forbidden("This is for %s.", whoMay(a))
	}
	return nil
}

// As is the role in which the caller may do the action, the first in the table where several allow it; "" where none does. Nobody is
// their own tutor: where a thing is the caller's own, that they teach its cohort gives them nothing.
func As(c Caller, a Action, standings ...Standing) Role {
	own := slices.Contains(standings, Own)
	for _, r := range rules {
		if r.standing == Teaches && own {
			continue
		}
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
