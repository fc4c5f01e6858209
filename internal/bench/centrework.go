package main

// registerRows are an instrument for every ten trainees with its calibrations and checks; the first was found wrong since, and two cohorts
// took their flow rates with it. Their attempts have the model answer's lines and what the marker says of them.
var registerRows = []string{
	`INSERT INTO register (centre_id, register_id, name, serial, measures, resolution, accuracy, added_at, by_id)
		SELECT @centre::bigint, md5('instrument' || n)::uuid, 'Flow meter ' || n, 'FM-' || n, 'flow rate', '0.1 L/min', '3 %', now() - interval '1 year', md5('manager')::uuid FROM generate_series(1, @trainees::int / 10) n`,
	`INSERT INTO register_kind (centre_id, kind, serial_key, register_id)
		SELECT @centre::bigint, 'flow meter', serial_key('FM-' || n), md5('instrument' || n)::uuid FROM generate_series(1, @trainees::int / 10) n`,
	`INSERT INTO register_event (centre_id, event_id, register_id, what, done_at, good, certificate, due_on, found, points, words, by_id, entered_at)
		SELECT @centre::bigint, md5('event' || n || '-' || k)::uuid, md5('instrument' || n)::uuid, CASE k WHEN 4 THEN 'gauge_zero' ELSE 'calibration' END, now() - (400 - 90 * k) * interval '1 day', true,
			CASE k WHEN 4 THEN '' ELSE 'C-' || n || '-' || k END, CASE k WHEN 4 THEN NULL ELSE current_date - 400 + 90 * k + 365 END, '', '[]', '', md5('manager')::uuid, now()
		FROM generate_series(1, @trainees::int / 10) n, generate_series(1, 4) k`,
	`INSERT INTO register_event (centre_id, event_id, register_id, what, done_at, good, certificate, due_on, found, points, words, by_id, entered_at)
		VALUES (@centre, md5('failed')::uuid, md5('instrument1')::uuid, 'calibration', now() - interval '1 day', false, 'C-1-5', NULL, 'reads 8 % high', '[]', 'It reads high.', md5('manager')::uuid, now())`,
	`INSERT INTO instrument (centre_id, instrument_id, attempt_id, kind, serial, chosen_at, received_at, clock_steady, by_id)
		SELECT @centre::bigint, md5('in hand' || i || '-' || k)::uuid, md5('attempt' || i || '-' || k)::uuid, 'flow meter', 'FM-1', now() - interval '8 day', now() - interval '8 day', true, md5('trainee' || i)::uuid
		FROM generate_series(1, 50) i, generate_series(1, @tasks::int) k`,
	`INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, captured_at, received_at, by_id, instrument_id)
		SELECT @centre::bigint, md5('entry' || i || '-' || k || '-' || w.item || w.part || w.phase)::uuid, md5('attempt' || i || '-' || k)::uuid, w.item, w.part, w.phase, w.text, '', '', '',
			now() - interval '8 day', now() - interval '8 day', md5('trainee' || i)::uuid, CASE w.item WHEN 'qv' THEN md5('in hand' || i || '-' || k)::uuid END
		FROM generate_series(1, 50) i, generate_series(1, @tasks::int) k, (VALUES ('agreed', '', '', 'yes'), ('continuity', '', '', '0.12 Ω'), ('qv', '1', '', '12.3'), ('qv', '2', '', '12.4'), ('qv', '3', '', '12.5'), ('tf', '', 'as-found', '58.0'),
			('tf', '', 'as-left', '69.8'), ('tr', '', 'as-left', '51.3'), ('dt', '', '', '18.5'), ('heat', '', '', '15.8 kW'), ('share', '', '', '0.28'), ('enough', '', '', 'it gives the load')) w (item, part, phase, text)`,
	`INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result)
		SELECT a.centre_id, a.attempt_id, a.attempt_id, a.handed_over_at, @result::jsonb ->> 'engine', @digest::text, @result::jsonb FROM attempt a WHERE a.state = 'signed_off'`,
}

// alikeRows are a photo of each attempt of two cohorts, each of which looks like that of the next trainee at the same task.
var alikeRows = []string{
	`INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned, received_at, by_id, phash, dhash)
		SELECT @centre::bigint, md5('photo' || i || '-' || k)::uuid, md5('attempt' || i || '-' || k)::uuid, 'qv', sha256(('photo' || i || '-' || k)::bytea), 200000, 'image/jpeg', 1600, 1200, 1, 'photo.jpg', '', false,
			now() - interval '8 day', md5('trainee' || i)::uuid, hashint8extended(k, 1), hashint8extended(k, 2)
		FROM generate_series(1, 50) i, generate_series(1, @tasks::int) k`,
	`INSERT INTO picture_pair (centre_id, evidence_id, other_id, exact, pattern, edges, correlation, stage, other_stage, found_at)
		SELECT @centre::bigint, least(md5('photo' || i || '-' || k)::uuid, md5('photo' || i + 1 || '-' || k)::uuid), greatest(md5('photo' || i || '-' || k)::uuid, md5('photo' || i + 1 || '-' || k)::uuid),
			false, 3, 3, 0.97, 'measure', 'measure', now() - k * interval '1 hour'
		FROM generate_series(1, 49) i, generate_series(1, @tasks::int) k`,
}

// standardRows are a standardisation of twelve attempts that five people judged and one that is under way, and a ruling for each criterion.
var standardRows = []string{
	`INSERT INTO standardisation (centre_id, standardisation_id, title, words, brief_id, version, seed, opened_by, opened_at, closed_by, closed_at)
		SELECT @centre::bigint, md5(x.name)::uuid, x.name, '', md5('brief1')::uuid, 1, 7, md5('assurer')::uuid, now() - interval '5 day', x.by, CASE WHEN x.by IS NOT NULL THEN now() - interval '4 day' END
		FROM (VALUES ('standard', md5('assurer')::uuid), ('open standard', NULL::uuid)) x (name, by)`,
	`INSERT INTO standardisation_attempt (centre_id, standardisation_id, attempt_id, place)
		SELECT @centre::bigint, md5(s)::uuid, md5('attempt' || i || '-1')::uuid, i FROM unnest('{standard,open standard}'::text[]) s, generate_series(1, 12) i`,
	`INSERT INTO standardisation_judge (centre_id, standardisation_id, person_id)
		SELECT @centre::bigint, md5(s)::uuid, md5(p)::uuid FROM unnest('{standard,open standard}'::text[]) s, unnest('{assurer,tutor1,tutor2,tutor3,tutor4}'::text[]) p`,
	`INSERT INTO blind_judgement (centre_id, standardisation_id, attempt_id, person_id, criterion, outcome, reason, words, judged_at)
		SELECT @centre::bigint, md5('standard')::uuid, md5('attempt' || i || '-1')::uuid, md5(p.name)::uuid, 'H2/' || c, CASE WHEN (i * 7 + p.n) % 5 = 0 THEN 'not_yet_met' ELSE 'met' END, '', '', now() - interval '4 day'
		FROM generate_series(1, 12) i, unnest('{assurer,tutor1,tutor2,tutor3,tutor4}'::text[]) WITH ORDINALITY p (name, n), unnest('{1.1,1.2,2.1}'::text[]) c`,
	`INSERT INTO ruling (centre_id, ruling_id, standardisation_id, criterion, words, doubts, effective_on, made_by, made_at)
		SELECT @centre::bigint, md5(CASE k WHEN 1 THEN 'ruling' ELSE 'ruling' || k END)::uuid, NULL, CASE k WHEN 12 THEN 'H2/2.1' ELSE 'H2/1.' || k END, 'The label is to be seen.', 'both', current_date - 1, md5('assurer')::uuid, now() FROM generate_series(1, 12) k`,
}

// fileRows are a claim of prior learning for every ten trainees, and an inquiry for every fifty.
var fileRows = []string{
	`INSERT INTO prior_learning (centre_id, prior_id, trainee_id, unit_code, criteria, words, claimed_by, claimed_at)
		SELECT @centre::bigint, md5('prior' || n)::uuid, md5('trainee' || n * 10)::uuid, 'H2', '{H2/1.1,H2/1.2}', 'Two years with a firm.', md5('trainee' || n * 10)::uuid, now() FROM generate_series(1, @trainees::int / 10) n`,
	`INSERT INTO prior_decision (centre_id, prior_id, criterion, outcome, words, decided_by, decided_at)
		SELECT @centre::bigint, md5('prior' || n)::uuid, 'H2/1.1', 'met', 'The letter says so.', md5('tutor1')::uuid, now() FROM generate_series(1, @trainees::int / 10) n`,
	`INSERT INTO prior_look (centre_id, prior_id, criterion, outcome, words, looked_by, looked_at)
		SELECT @centre::bigint, md5('prior' || n)::uuid, 'H2/1.1', 'agree', '', md5('assurer')::uuid, now() FROM generate_series(1, @trainees::int / 10, 2) n`,
	`INSERT INTO inquiry (centre_id, inquiry_id, concerns, words, opened_by, opened_at)
		SELECT @centre::bigint, md5('inquiry' || n)::uuid, md5('trainee' || n * 50)::uuid, 'Two sheets alike.', md5('assurer')::uuid, now() FROM generate_series(1, @trainees::int / 50) n`,
	`INSERT INTO inquiry_person (centre_id, inquiry_id, person_id, concerns, named_by, named_at)
		SELECT @centre::bigint, md5('inquiry' || n)::uuid, md5('assurer')::uuid, md5('trainee' || n * 50)::uuid, md5('assurer')::uuid, now() FROM generate_series(1, @trainees::int / 50) n`,
	`INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		SELECT @centre::bigint, md5('adjusted' || i)::uuid, md5('attempt' || i || '-1')::uuid, 'adjustment', '', '', '', 'Half as much time again.', '', '{}', md5('tutor1')::uuid, 'Tutor', 'tutor', now() - interval '9 day', ''
		FROM generate_series(1, @trainees::int, 5) i`,
}

// visitRows are a visit that reaches all that is claimed or signed off, with thirty attempts on its list, what was looked at, and notes.
var visitRows = []string{
	`INSERT INTO visit (centre_id, visit_id, verifier_id, link_id, unit_code, words, arranged_by, arranged_at, ends_at, opened_at)
		VALUES (@centre, md5('visit')::uuid, md5('verifier')::uuid, md5('link')::uuid, 'H2', 'The spring visit.', md5('manager')::uuid, now(), now() + interval '7 day', now())`,
	`INSERT INTO visit_attempt (centre_id, visit_id, attempt_id) SELECT a.centre_id, md5('visit')::uuid, a.attempt_id FROM attempt a`,
	`INSERT INTO visit_pick (centre_id, visit_id, attempt_id, by_id, at) SELECT @centre::bigint, md5('visit')::uuid, md5('attempt' || i || '-1')::uuid, md5('manager')::uuid, now() FROM generate_series(1, 30) i`,
	`INSERT INTO visit_view (centre_id, visit_id, view_id, what, subject_id, by_id, at)
		SELECT @centre::bigint, md5('visit')::uuid, md5('view' || i)::uuid, 'attempt', md5('attempt' || i || '-1')::uuid, md5('verifier')::uuid, now() FROM generate_series(1, 30) i`,
	`INSERT INTO visit_note (centre_id, visit_id, note_id, attempt_id, finding, words, by_id, at)
		SELECT @centre::bigint, md5('visit')::uuid, md5('note' || i)::uuid, md5('attempt' || i || '-1')::uuid, 'confirmed', '', md5('verifier')::uuid, now() FROM generate_series(1, 30) i`,
	`INSERT INTO portfolio (centre_id, portfolio_id, trainee_id, unit_code, requested_by, requested_at, state, digest, size, built_at)
		SELECT @centre::bigint, md5('portfolio' || i)::uuid, md5('trainee' || i)::uuid, 'H2', md5('manager')::uuid, now(), 'ready', sha256('x'::bytea), 1000000, now() FROM generate_series(1, @trainees::int) i`,
}

// keptRows are rules, holds, and a proposal to erase what is two cohorts back.
var keptRows = []string{
	`INSERT INTO retention_rule (centre_id, rule_id, unit_code, kind, months, words, by_id, at)
		SELECT @centre::bigint, md5('rule ' || k)::uuid, '', k, 36, 'A letter.', md5('manager')::uuid, now() FROM unnest('{decisions,work,details}'::text[]) k`,
	`INSERT INTO legal_hold (centre_id, hold_id, person_id, words, placed_by, placed_at)
		SELECT @centre::bigint, md5('hold' || n)::uuid, md5('trainee' || n * 20)::uuid, 'A claim is under way.', md5('manager')::uuid, now() FROM generate_series(1, @trainees::int / 20) n`,
	`INSERT INTO purge (centre_id, purge_id, proposed_by, proposed_at) VALUES (@centre, md5('purge')::uuid, md5('assurer')::uuid, now() - interval '20 day')`,
	`INSERT INTO purge_item (centre_id, purge_id, item_id, person_id, attempt_id, due_on, rule)
		SELECT a.centre_id, md5('purge')::uuid, a.attempt_id, a.trainee_id, a.attempt_id, current_date - 30, 'decisions: 36 months' FROM attempt a WHERE a.state = 'claimed'`,
}
