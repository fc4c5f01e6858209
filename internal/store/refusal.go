package store

import (
	"errors"

	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/internal/fault"
)

// refusals says in a person's words what the constraints mean that a person can run into, by constraint name.
var refusals = map[string]error{
	"centre_code_key":          fault.Invalid("centre", "There is already a centre with this code. Choose another."),
	"person_sign_in_name_key":  fault.Invalid("sign_in_name", "Somebody already signs in with this name. Choose another, for example with a number behind it."),
	"cohort_name_key":          fault.Invalid("name", "There is already a cohort of this name. Choose another, for example with the year."),
	"brief_key_key":            fault.Invalid("key", "There is already a brief with this key. Open that one to write its next version, or choose another key."),
	"rule_edition_edition_key": fault.Conflict("This rule set has an edition of this name already. Open that one, or give yours another edition."),
	"brief_version_two_people": fault.Forbidden("You wrote in this draft, so somebody else has to check and publish it."),
	"rule_edition_two_people":  fault.Forbidden("You entered this edition, so somebody else has to check it."),
	"task_brief_once":          fault.Conflict("This version of the brief is already set to this cohort. Open the cohort's board to see it."),
	"attempt_number_key":       fault.Conflict("This attempt was already started. Load the page again to see it."),
	"remark_one_at_a_time":     fault.Conflict("Another correction of this version is under way. Let that one take effect, or drop it, first."),
	"record_supersedes_key":    fault.Conflict("Somebody else changed this decision first. Load the page again, look at theirs, and decide afresh."),
	"registration_number_key":  fault.Invalid("number", "This registration is already recorded for this person. Change its dates instead."),
	"link_digest_key":          fault.Conflict("This link was already made. Make a new one."),
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
