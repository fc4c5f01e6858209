package main

// limits is an edition of a rule set with one invented limit.
const limits = `rule-set: 1
key: bay
title: Limits of the bays
edition: "1"
valid-from: 2026-01-01
source: Invented for measuring
rules:
  - key: cpc
    is: resistance of the protective conductor
    at-most: 0.5 Ω
`

// teachingRows are what tutors and trainees of the first cohort have before them: of the second task five attempts are marked and five under
// way; an edition of a rule set; and a second version of the first brief, under which a correction marks again.
var teachingRows = []string{
	`DELETE FROM record r USING generate_series(1, 10) i WHERE r.attempt_id = md5('attempt' || i || '-2')::uuid`,
	`UPDATE attempt a SET state = CASE WHEN i <= 5 THEN 'checked' ELSE 'open' END, revision = 1, signed_off_at = NULL, handed_over_at = CASE WHEN i <= 5 THEN a.handed_over_at END
		FROM generate_series(1, 10) i WHERE a.attempt_id = md5('attempt' || i || '-2')::uuid`,
	`INSERT INTO rule_set (centre_id, key, created_at) VALUES (@centre, 'bay', now())`,
	`INSERT INTO rule_edition (centre_id, edition_id, key, edition, title, source, digest, valid_from, demonstration, entered_by, entered_at, checked_by, checked_at)
		VALUES (@centre, md5('edition')::uuid, 'bay', '1', 'Limits of the bays', @rules, @limited, '2026-01-01', false, md5('tutor1')::uuid, now(), md5('tutor2')::uuid, now())`,
	`INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at)
		SELECT v.centre_id, v.brief_id, 2, v.source, v.title, v.digest, v.units, v.state, v.written_by, now(), v.published_by, now() FROM brief_version v WHERE v.brief_id = md5('brief1')::uuid AND v.version = 1`,
	`INSERT INTO remark (centre_id, remark_id, brief_id, from_version, to_version, words, asked_by, asked_at, state, total)
		VALUES (@centre, md5('correction')::uuid, md5('brief1')::uuid, 1, 2, 'It was too narrow.', md5('tutor1')::uuid, now(), 'marked', 0)`,
}
