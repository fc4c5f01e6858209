package main

import (
	"crypto/md5" // names rows, and keeps nothing secret
	"encoding/json"
	"fmt"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// The rows of a centre name each other by the MD5 of a word: 'trainee1', 'attempt1-30' for their thirtieth task.

// md5ID is the id that md5(word)::uuid gives in SQL.
func md5ID(word string) uuid.UUID { return uuid.UUID(md5.Sum([]byte(word))) }

// marked is what the marker says of the brief's model answer, as it is stored.
func marked() (string, error) {
	b, err := brief.Read([]byte(source))
	if err != nil {
		return "", fmt.Errorf("read the brief: %w", err)
	}
	compiled, problems := brief.Compile(b, app.Functions())
	if err := problems.Err(); err != nil {
		return "", fmt.Errorf("compile the brief: %w", err)
	}
	result := marking.Mark(compiled, marking.ModelSheet(compiled))
	result.BriefDigest = brief.Digest([]byte(source))
	text, err := json.Marshal(result)
	if err != nil {
		return "", fmt.Errorf("write a result: %w", err)
	}
	return string(text), nil
}

// centreRows are cohorts of 25 with a tutor each, and tasks of which every trainee has each signed off with 12 decisions: with 30 of them 390,000
// records of a thousand trainees. What lies two cohorts back is claimed.
var centreRows = []string{
	`INSERT INTO qualification_unit (centre_id, unit_code, title, edition) VALUES (@centre, 'H2', 'Heat', '1')`,
	`INSERT INTO unit_edition (centre_id, unit_code, edition, title, valid_from, outcomes, entered_at)
		SELECT @centre::bigint, 'H2', '1', 'Heat', '2020-01-01', jsonb_build_array(jsonb_build_object('code', '1', 'title', 'Measure', 'criteria',
			(SELECT jsonb_agg(jsonb_build_object('code', CASE k WHEN 12 THEN '2.1' ELSE '1.' || k END, 'text', 'criterion ' || k) ORDER BY k) FROM generate_series(1, 12) k))), now()`,
	`INSERT INTO person (centre_id, person_id, name, sign_in_name, created_at)
		SELECT @centre::bigint, md5('trainee' || i)::uuid, 'Trainee ' || lpad(i::text, 4, '0'), 'trainee-' || i, now() - interval '1 year' FROM generate_series(1, @trainees::int) i
		UNION ALL SELECT @centre, md5('tutor' || k)::uuid, 'Tutor ' || lpad(k::text, 2, '0'), 'tutor-' || k, now() - interval '1 year' FROM generate_series(1, @trainees / 25) k`,
	`INSERT INTO person_role (centre_id, person_id, role) SELECT p.centre_id, p.person_id, CASE WHEN p.sign_in_name LIKE 'tutor-%' THEN 'tutor' ELSE 'trainee' END
		FROM person p WHERE p.sign_in_name LIKE 'tutor-%' OR p.sign_in_name LIKE 'trainee-%'`,
	`INSERT INTO registration (centre_id, person_id, kind, number, valid_from, valid_to) SELECT p.centre_id, p.person_id, 'assessor', '1', '2020-01-01', '9999-12-31'
		FROM person p WHERE p.sign_in_name LIKE 'tutor-%'`,
	`INSERT INTO cohort (centre_id, cohort_id, name, created_at) SELECT @centre::bigint, md5('cohort' || k)::uuid, 'Cohort ' || lpad(k::text, 2, '0'), now() FROM generate_series(1, @trainees::int / 25) k`,
	`INSERT INTO cohort_member (centre_id, cohort_id, person_id, part)
		SELECT @centre::bigint, md5('cohort' || 1 + (i - 1) / 25)::uuid, md5('trainee' || i)::uuid, 'trainee' FROM generate_series(1, @trainees::int) i
		UNION ALL SELECT @centre, md5('cohort' || k)::uuid, md5('tutor' || k)::uuid, 'tutor' FROM generate_series(1, @trainees / 25) k`,
	`INSERT INTO brief (centre_id, brief_id, key, created_at) SELECT @centre::bigint, md5('brief' || k)::uuid, 'brief-' || k, now() FROM generate_series(1, @tasks::int) k`,
	`INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at)
		SELECT @centre::bigint, md5('brief' || k)::uuid, 1, @source::text, 'Bay ' || k || ': put it right and prove it', @digest::text, '{H2}', 'published', md5('tutor1')::uuid, now(), md5('tutor2')::uuid, now() - interval '1 year'
		FROM generate_series(1, @tasks::int) k`,
	`INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at)
		SELECT @centre::bigint, md5('task' || c || '-' || k)::uuid, md5('brief' || k)::uuid, 1, md5('cohort' || c)::uuid, md5('tutor' || c)::uuid, now() - (60 - k) * interval '1 day'
		FROM generate_series(1, @trainees::int / 25) c, generate_series(1, @tasks::int) k`,
	`INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, revision, seed, given, opened_at, handed_over_at, signed_off_at)
		SELECT @centre::bigint, md5('attempt' || i || '-' || k)::uuid, md5('task' || 1 + (i - 1) / 25 || '-' || k)::uuid, md5('trainee' || i)::uuid, 1,
			CASE WHEN i <= 50 THEN 'signed_off' ELSE 'claimed' END, 14, 1, '{"load": "14.5 kW", "pr": "45 W"}', now() - interval '9 day', now() - interval '8 day', now() - interval '7 day'
		FROM generate_series(1, @trainees::int) i, generate_series(1, @tasks::int) k`,
	`INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		SELECT @centre::bigint, md5('record' || i || '-' || k || '-' || n)::uuid, md5('attempt' || i || '-' || k)::uuid, CASE n WHEN 13 THEN 'sign_off' ELSE 'criterion_decision' END,
			CASE n WHEN 13 THEN '' WHEN 12 THEN 'H2/2.1' ELSE 'H2/1.' || n END, CASE n WHEN 13 THEN 'signed off' ELSE 'met' END, '', '', '', '{}', md5('tutor' || 1 + (i - 1) / 25)::uuid, 'Tutor', 'tutor', now() - interval '7 day' - (i * 30 + k) * interval '1 minute', ''
		FROM generate_series(1, @trainees::int) i, generate_series(1, @tasks::int) k, generate_series(1, 13) n ORDER BY i, k, n`,
	`INSERT INTO award_registration (centre_id, registration_id, person_id, unit_code, number, registered_on, entered_by, entered_at)
		SELECT @centre::bigint, md5('registration' || i)::uuid, md5('trainee' || i)::uuid, '', 'AO-' || i, '2020-01-01', md5('tutor1')::uuid, now() FROM generate_series(1, @trainees::int) i`,
	`INSERT INTO conflict (centre_id, conflict_id, person_id, other_id, words, declared_by, declared_at)
		SELECT @centre::bigint, md5('conflict' || k)::uuid, md5('tutor' || 1 + (k - 1) / 25)::uuid, md5('trainee' || k)::uuid, 'They are cousins.', md5('manager')::uuid, now()
		FROM generate_series(50, @trainees::int, 50) k`,
}

// sampledRows are a plan for one cohort, a sample of another of which half is looked at, an action for each of those, and the claims of the
// cohorts before.
var sampledRows = []string{
	`INSERT INTO sampling_plan (centre_id, plan_id, name, stage, unit_code, cohort_id, share, weights, words, made_by, made_at)
		SELECT @centre::bigint, md5(x.plan)::uuid, x.plan, 'final', '', md5(x.cohort)::uuid, 10, '{"safety_work": 2}', 'For measuring.', md5('tutor1')::uuid, now()
		FROM (VALUES ('plan', 'cohort1'), ('other plan', 'cohort2')) x (plan, cohort)`,
	`INSERT INTO sample (centre_id, sample_id, plan_id, number, seed, digest, listed, size, words, drawn_by, drawn_at)
		VALUES (@centre, md5('sample')::uuid, md5('other plan')::uuid, 1, repeat('0f', 16), repeat('0f', 32), 750, 75, 'Little.', md5('tutor1')::uuid, now())`,
	`INSERT INTO sample_item (centre_id, sample_id, attempt_id, assessor_id, units, method, site, risk, why, drawn)
		SELECT @centre::bigint, md5('sample')::uuid, md5('attempt' || i || '-' || k)::uuid, md5('tutor2')::uuid, 'H2', 'from evidence', 'at the centre', 3, '{safety_work}', (i * 30 + k) % 10 = 0
		FROM generate_series(26, 50) i, generate_series(1, @tasks::int) k`,
	`INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		SELECT x.centre_id, md5('sampled' || x.attempt_id)::uuid, x.attempt_id, 'sample_outcome', '', 'agree_with_action', '', 'Fine.', '', '{}', md5('tutor1')::uuid, 'Tutor', 'internal_quality_assurer', now(), ''
		FROM sample_item x WHERE x.drawn AND x.attempt_id < 'a0000000-0000-0000-0000-000000000000'`,
	`INSERT INTO sample_outcome (centre_id, sample_id, attempt_id, outcome, record_id)
		SELECT r.centre_id, md5('sample')::uuid, r.attempt_id, r.outcome, r.record_id FROM record r WHERE r.kind = 'sample_outcome'`,
	`INSERT INTO action (centre_id, action_id, source, source_id, attempt_id, words, owner_id, due_on, raised_by, raised_at)
		SELECT r.centre_id, r.record_id, 'sample', md5('sample')::uuid, r.attempt_id, 'Label it.', md5('tutor2')::uuid, current_date, r.by_id, now()
		FROM record r WHERE r.kind = 'sample_outcome'`,
	`INSERT INTO claim (centre_id, claim_id, unit_code, words, made_by, made_at)
		SELECT @centre::bigint, md5('claim' || k)::uuid, 'H2', '', md5('manager')::uuid, now() FROM generate_series(3, @trainees::int / 25) k`,
	`INSERT INTO claim_item (centre_id, claim_id, trainee_id, unit_code, number, met_on, attempts)
		SELECT @centre::bigint, md5('claim' || 1 + (i - 1) / 25)::uuid, md5('trainee' || i)::uuid, 'H2', 'AO-' || i, current_date,
			(SELECT array_agg(md5('attempt' || i || '-' || k)::uuid) FROM generate_series(1, @tasks::int) k)
		FROM generate_series(51, @trainees::int) i`,
}
