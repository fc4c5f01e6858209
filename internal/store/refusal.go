package store

import (
	"errors"

	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/internal/fault"
)

// refusals says in a person's words what the constraints mean that a person can run into, by constraint name.
var refusals = map[string]error{
	"centre_code_key":           fault.Invalid("centre", "There is already a centre with this code. Choose another."),
	"person_sign_in_name_key":   fault.Invalid("sign_in_name", "Somebody already signs in with this name. Choose another, for example with a number behind it."),
	"cohort_name_key":           fault.Invalid("name", "There is already a cohort of this name. Choose another, for example with the year."),
	"cohort_member_one_part":    fault.Invalid("person", "They belong to this cohort already, in the other part. Nobody is trainee and tutor of one cohort: take them out first."),
	"brief_key_key":             fault.Invalid("key", "There is already a brief with this key. Open that one to write its next version, or choose another key."),
	"rule_edition_edition_key":  fault.Conflict("This rule set has an edition of this name already. Open that one, or give yours another edition."),
	"brief_version_two_people":  fault.Forbidden("You wrote in this draft, so somebody else has to check and publish it."),
	"brief_version_no_writer":   fault.Forbidden("You wrote in this draft, so somebody else has to check and publish it."),
	"rule_edition_two_people":   fault.Forbidden("You entered this edition, so somebody else has to check it."),
	"task_brief_once":           fault.Conflict("This version of the brief is already set to this cohort. Open the cohort's board to see it."),
	"attempt_number_key":        fault.Conflict("This attempt was already started. Load the page again to see it."),
	"remark_one_at_a_time":      fault.Conflict("Another correction of this version is under way. Let that one take effect, or drop it, first."),
	"record_supersedes_key":     fault.Conflict("Somebody else changed this decision first. Load the page again, look at theirs, and decide afresh."),
	"registration_number_key":   fault.Invalid("number", "This registration is already recorded for this person. Change its dates instead."),
	"action_two_people":         fault.Forbidden("This action is yours to do, so somebody else has to look at it and close it."),
	"register_kind_pkey":        fault.Invalid("serial", "The register has an instrument of this kind with this serial number already. Look it up there."),
	"unit_edition_edition_key":  fault.Invalid("edition", "This unit has an edition of that name already, and what was entered stays. Give yours another name."),
	"unit_edition_from_key":     fault.Invalid("valid_from", "This unit has an edition that begins on that day already. Choose another first day."),
	"award_registration_once":   fault.Invalid("number", "This registration is already recorded for this person. End that one, or take it back."),
	"conflict_once":             fault.Conflict("This conflict of interest is already declared, and stands."),
	"conflict_ended_by_another": fault.Forbidden("Whom a conflict of interest concerns does not end it. Ask another manager."),
	"record_not_ones_own":       fault.Forbidden("This is your own work. Somebody else has to judge it."),
	"record_conflict_apart":     fault.Forbidden("A conflict of interest stands between you and somebody who has part in this. Somebody else has to do it."),
	"record_sampler_apart":      fault.Forbidden("You had part in this attempt, so somebody else samples and clears it."),
	"record_countersign_apart":  fault.Forbidden("Nobody countersigns their own decision. Ask another tutor of the cohort or an internal quality assurer."),
	"record_countersign_award":  fault.Forbidden("No assessor’s award of yours is in date today, so you countersign nothing. Ask another tutor of the cohort or an internal quality assurer who holds one."),
	"record_award":              fault.Conflict("No assessor’s award of yours is in date any more. Load the page again: what you decide waits for a countersignature."),
	"record_hearing_apart":      fault.Forbidden("You had part in what this appeal is against, so somebody else hears it."),
	"record_afresh_apart":       fault.Forbidden("An appeal against this attempt was upheld, so somebody who had no part in it before decides it afresh."),
	"record_carried":            fault.Conflict("The attempt before does not show this criterion as met any more. Load the page again."),
	"record_judge_apart":        fault.Forbidden("You sampled this attempt, so somebody else judges it."),
	"sample_number_key":         fault.Conflict("Somebody else drew a sample under this plan first. Load the page again to see theirs."),
	"sample_outcome_once":       fault.Conflict("Somebody else looked at this attempt first. Load the page again to see what they found."),
	"claim_item_once":           fault.Conflict("Somebody else has claimed this unit for one of these trainees. Load the page again to see."),
	// Standardising, comments on drafts, and the small files.
	"blind_judgement_once":        fault.Conflict("You have judged this one already. What you said stands until all have judged."),
	"blind_judgement_closed":      fault.Conflict("This standardisation is closed. Load the page again to see what was said."),
	"blind_judgement_apart":       fault.Forbidden("You had part in what was decided of this one, so you do not judge it blind."),
	"ruling_look_apart":           fault.Forbidden("You had part in this decision, so somebody else looks at it again."),
	"brief_comment_published":     fault.Conflict("This version was published meanwhile. Load the page again to see it."),
	"brief_comment_apart":         fault.Forbidden("You wrote in this draft: comments are for somebody else to make, and for you to answer."),
	"brief_answer_once":           fault.Conflict("Somebody answered this comment first. Load the page again to read it."),
	"brief_answer_apart":          fault.Forbidden("This comment is your own, so whoever wrote the draft answers it."),
	"brief_version_comments_open": fault.Conflict("A comment on this draft has no answer yet. Whoever wrote the draft answers it first."),
	"prior_decision_once":         fault.Conflict("Somebody decided on this criterion first. Load the page again to see it."),
	"prior_decision_apart":        fault.Forbidden("You made this claim, or it is for yourself, so somebody else decides on it."),
	"prior_decision_award":        fault.Forbidden("No assessor’s award of yours is in date today, and a decision on prior learning cannot be countersigned: another tutor decides on it."),
	"prior_decision_looked":       fault.Forbidden("You looked at what was recognised of this claim, so somebody else decides the rest."),
	"prior_look_once":             fault.Conflict("Somebody else looked at this criterion first. Load the page again to see what they found."),
	"prior_look_apart":            fault.Forbidden("You had part in this claim, so somebody else looks at it."),
	"prior_look_role":             fault.Forbidden("An internal quality assurer looks at what was recognised."),
	"prior_look_recognised":       fault.Conflict("This criterion is not recognised, so there is nothing to look at."),
	"prior_look_claimed":          fault.Conflict("The unit is claimed, so there is nothing to look at any more."),
	"claim_prior_looked":          fault.Conflict("What was recognised by prior learning waits to be looked at, or an action on it is open. Load the page again to see."),
	"prior_decision_claimed":      fault.Invalid("criterion", "Nothing was claimed for this criterion."),
	"inquiry_apart":               fault.Forbidden("This concerns you, so somebody else sees to it."),
	"inquiry_person_apart":        fault.Forbidden("Whom an inquiry concerns does not see its file. Choose somebody else."),
	"inquiry_person_once":         fault.Conflict("They are named already."),
	"record_frozen":               fault.Conflict("This attempt is suspended: nothing is written to it until that is lifted."),
	"record_set_aside_apart":      fault.Forbidden("You had part in this attempt, or it is your own, so somebody else sets it aside."),
	"visit_from_outside":          fault.Forbidden("A verifier comes from outside: somebody who has another role here, or has decided something here, cannot be one."),
	"visit_two_people":            fault.Forbidden("You cannot arrange a visit for yourself."),
	"visit_lasts_check":           fault.Invalid("ends_on", "A visit lasts at least a day and at most 30."),
	"visit_over":                  fault.Conflict("This visit is over. Ask the centre for a new link if you need to see more."),
	"legal_hold_two_people":       fault.Forbidden("You cannot hold what is kept of yourself. Ask another manager."),
	"purge_one_at_a_time":         fault.Conflict("Something is proposed to be erased already. Settle that first."),
	"purge_two_people":            fault.Forbidden("You proposed this, so somebody else has to approve it."),
	"purge_waits":                 fault.Conflict("It is too early: what is proposed waits 14 days before somebody else can approve it."),
	"erasure_not_approved":        fault.Conflict("Nobody has approved that this is erased."),
	"erasure_held":                fault.Conflict("This is held, so it is not erased."),
	"erasure_still_here":          fault.Conflict("This person still has work here, or another role, so their details stay."),
	"record_not_by_verifier":      fault.Forbidden("A verifier decides nothing at the centre that they visit."),
	"withdrawal_apart":            fault.Forbidden("This would be your own withdrawal. Ask another manager."),
	"withdrawal_once":             fault.Conflict("They were withdrawn from this cohort already. Load the page again to see it."),
	"withdrawal_settled":          fault.Conflict("This withdrawal was taken back already. Load the page again to see."),
	"record_withdrawn":            fault.Conflict("This attempt was withdrawn: nothing more is written to it. What was captured can still be read."),
	"attempt_left":                fault.Conflict("They were withdrawn from this cohort, so they are set nothing more there. A manager can take that back."),
	"link_digest_key":             fault.Conflict("This link was already made. Make a new one."),
}

// translate turns what a person ran into, a constraint or a character that cannot be kept, into the fault that says what
// to do; other errors stay.
func translate(err error) error {
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		return condition(err)
	}
	if f, ok := refusals[pg.ConstraintName]; ok {
		return f
	}
	// character_not_in_repertoire and untranslatable_character (PostgreSQL manual, appendix A): the character numbered
	// zero, which no keyboard makes, or bytes that are not UTF-8.
	if pg.Code == "22021" || pg.Code == "22P05" {
		return fault.Invalid("text", "Something in this text is no character that can be kept. Type it again by hand in place of pasting it.")
	}
	return condition(err)
}
