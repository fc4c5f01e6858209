-- Rows as a program of each schema would have put them in: the rows below "-- at N" go in once migration N has run. Add a section
-- with each migration that makes a table. Invented by hand.

-- at 2
INSERT INTO centre (code, name, created_at) VALUES ('NORTH', 'North Yard Training', '2026-03-02 09:00Z');

-- at 3
INSERT INTO person (centre_id, person_id, name, sign_in_name, email, password_hash, created_at) VALUES
    (1, '00000000-0000-7000-8000-000000000001', 'Tess Tutor', 'tess', 'tess@example.org', 'hash', '2026-03-02 09:00Z'),
    (1, '00000000-0000-7000-8000-000000000002', 'Ann Apprentice', 'ann', '', '', '2026-03-02 09:00Z'),
    (1, '00000000-0000-7000-8000-000000000003', 'Rob Second', 'rob', '', '', '2026-03-02 09:00Z');
INSERT INTO person_role (centre_id, person_id, role) VALUES
    (1, '00000000-0000-7000-8000-000000000001', 'tutor'), (1, '00000000-0000-7000-8000-000000000002', 'trainee');
INSERT INTO registration VALUES (1, '00000000-0000-7000-8000-000000000001', 'gas', 'T-100', '2026-01-01', '2026-12-31');

-- at 4
INSERT INTO session VALUES (1, sha256('s'), '00000000-0000-7000-8000-000000000001', 'data', '2026-03-03 09:00Z');
INSERT INTO link (centre_id, link_id, digest, purpose, person_id, expires_at) VALUES
    (1, '00000000-0000-7000-8000-000000000011', sha256('l'), 'password', '00000000-0000-7000-8000-000000000002', '2026-03-03 09:00Z');

-- at 5
INSERT INTO qualification_unit (centre_id, unit_code, title, edition) VALUES (1, 'H2', 'Heating', '1');
INSERT INTO learning_outcome (centre_id, unit_code, code, title, position) VALUES (1, 'H2', '1', 'Be able to fill', 1);
INSERT INTO criterion (centre_id, unit_code, code, outcome_code, text, position) VALUES (1, 'H2', '1.1', '1', 'fill', 1), (1, 'H2', '1.2', '1', 'vent', 2);

-- at 6
INSERT INTO cohort VALUES (1, '00000000-0000-7000-8000-000000000021', 'Monday evening', '2026-03-02 09:00Z');
INSERT INTO cohort_member (centre_id, cohort_id, person_id, part) VALUES
    (1, '00000000-0000-7000-8000-000000000021', '00000000-0000-7000-8000-000000000001', 'tutor'),
    (1, '00000000-0000-7000-8000-000000000021', '00000000-0000-7000-8000-000000000002', 'trainee');

-- at 7
INSERT INTO brief VALUES (1, '00000000-0000-7000-8000-000000000031', 'fill', '2026-03-02 09:00Z');
INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at) VALUES
    (1, '00000000-0000-7000-8000-000000000031', 1, 'brief: 1', 'Fill', repeat('ab', 32), '{H2}', 'published',
     '00000000-0000-7000-8000-000000000001', '2026-03-02 09:00Z', '00000000-0000-7000-8000-000000000003', '2026-03-02 09:30Z'),
    (1, '00000000-0000-7000-8000-000000000031', 2, 'brief: 2', 'Fill', repeat('cd', 32), '{H2}', 'draft',
     '00000000-0000-7000-8000-000000000001', '2026-03-02 09:00Z', NULL, NULL);

-- at 8
INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at, due_on) VALUES (1, '00000000-0000-7000-8000-000000000041',
    '00000000-0000-7000-8000-000000000031', 1, '00000000-0000-7000-8000-000000000021', '00000000-0000-7000-8000-000000000001', '2026-03-02 10:00Z', '2026-04-01');
INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, seed, given, opened_at, handed_over_at) VALUES
    (1, '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000041', '00000000-0000-7000-8000-000000000002', 1, 'checked', 7,
     '{"flow": "12.4 L/min"}', '2026-03-02 10:00Z', '2026-03-02 11:00Z');

-- at 9
INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, captured_at, received_at, by_id) VALUES
    (1, '00000000-0000-7000-8000-000000000061', '00000000-0000-7000-8000-000000000051', 'tf', '', '', '70', '°C', '', '', '2026-03-02 10:30Z',
     '2026-03-02 10:31Z', '00000000-0000-7000-8000-000000000002');
INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned,
    received_at, before_release, by_id) VALUES (1, '00000000-0000-7000-8000-000000000062', '00000000-0000-7000-8000-000000000051', 'photo',
    sha256('jpeg'), 4, 'image/jpeg', 640, 480, 1, 'IMG_1.jpg', '', false, '2026-03-02 10:32Z', false, '00000000-0000-7000-8000-000000000002');

-- at 10
INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical) VALUES
    (1, '00000000-0000-7000-8000-000000000071', '00000000-0000-7000-8000-000000000051', 'criterion_decision', 'H2/1.1', 'met', '', '', '', '{photo}',
     '00000000-0000-7000-8000-000000000001', 'Tess Tutor', 'tutor', '2026-03-02 12:00Z', '{}');
INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result) VALUES
    (1, '00000000-0000-7000-8000-000000000072', '00000000-0000-7000-8000-000000000051', '2026-03-02 11:01Z', 'm1', repeat('ab', 32), '{}');

-- at 11
INSERT INTO portfolio (centre_id, portfolio_id, trainee_id, unit_code, requested_by, requested_at, state) VALUES
    (1, '00000000-0000-7000-8000-000000000081', '00000000-0000-7000-8000-000000000002', 'H2', '00000000-0000-7000-8000-000000000001', '2026-03-02 13:00Z', 'waiting');

-- at 14
INSERT INTO rule_set VALUES (1, 'limits', '2026-03-02 09:00Z');
INSERT INTO rule_edition (centre_id, edition_id, key, edition, title, source, digest, valid_from, demonstration, entered_by, entered_at, checked_by, checked_at) VALUES
    (1, '00000000-0000-7000-8000-000000000091', 'limits', '1', 'Limits', 'rules: 1', repeat('ef', 32), '2026-01-01', false,
     '00000000-0000-7000-8000-000000000001', '2026-03-02 09:00Z', '00000000-0000-7000-8000-000000000003', '2026-03-02 09:10Z');
INSERT INTO rule_end VALUES (1, '00000000-0000-7000-8000-000000000091', '00000000-0000-7000-8000-000000000091', '2026-06-30', '2026-03-02 09:20Z');

-- at 16
INSERT INTO upload (centre_id, upload_id, evidence_id, attempt_id, item, name, caption, size, digest, clock_steady, covers, started_at, by_id) VALUES
    (1, '00000000-0000-7000-8000-000000000101', '00000000-0000-7000-8000-000000000102', '00000000-0000-7000-8000-000000000051', 'photo', 'IMG_2.jpg', '', 9,
     sha256('later'), true, '[]', '2026-03-02 10:40Z', '00000000-0000-7000-8000-000000000002');

-- at 17
INSERT INTO seal VALUES (1, '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000111', '2026-03-02 10:59Z', 20, true, '2026-03-02 11:00Z');
INSERT INTO seal_item VALUES (1, '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000062', 'file', sha256('jpeg'));
INSERT INTO hold_code VALUES (1, '00000000-0000-7000-8000-000000000051', 'electrics', '2026-03-02', '123456789012', substr(sha256('salt'), 1, 16), NULL);

-- at 19
INSERT INTO instrument (centre_id, instrument_id, attempt_id, kind, serial, received_at, clock_steady, by_id) VALUES (1, '00000000-0000-7000-8000-000000000121',
    '00000000-0000-7000-8000-000000000051', 'thermometer', 'T-14', '2026-03-02 10:20Z', true, '00000000-0000-7000-8000-000000000002');

-- at 20
INSERT INTO brief_check (centre_id, check_id, brief_id, version, digest, kind, words, said_by, said_at) VALUES (1, '00000000-0000-7000-8000-000000000131',
    '00000000-0000-7000-8000-000000000031', 2, repeat('cd', 32), 'asked', '', '00000000-0000-7000-8000-000000000001', '2026-03-02 14:00Z');

-- at 23
INSERT INTO remark (centre_id, remark_id, brief_id, from_version, to_version, words, asked_by, asked_at, state, total) VALUES
    (1, '00000000-0000-7000-8000-000000000141', '00000000-0000-7000-8000-000000000031', 1, 2, 'The limit was wrong.',
     '00000000-0000-7000-8000-000000000001', '2026-03-02 15:00Z', 'marked', 1);
INSERT INTO remark_result (centre_id, remark_id, attempt_id, revision, at, shift, was_marks, now_marks, lines, rests, lacking) VALUES
    (1, '00000000-0000-7000-8000-000000000141', '00000000-0000-7000-8000-000000000051', 1, '2026-03-02 15:01Z', 'same', 1, 1, '[]', '{}', '');

-- at 24
INSERT INTO stock_remark VALUES (1, '00000000-0000-7000-8000-000000000001', '{Show the working.}');

-- at 25
INSERT INTO unit_edition VALUES (1, 'H2', '2', 'Heating', '2026-09-01', NULL, '[{"code": "1", "title": "Be able to fill", "criteria": [{"code": "1.1", "text": "fill"}]}]',
    '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');
INSERT INTO award_registration (centre_id, registration_id, person_id, unit_code, number, registered_on, entered_by, entered_at) VALUES
    (1, '00000000-0000-7000-8000-000000000151', '00000000-0000-7000-8000-000000000002', '', 'AO-1', '2026-02-01', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');
INSERT INTO conflict (centre_id, conflict_id, person_id, other_id, words, declared_by, declared_at, ended_by, ended_at, ended_words) VALUES
    (1, '00000000-0000-7000-8000-000000000152', '00000000-0000-7000-8000-000000000003', '00000000-0000-7000-8000-000000000002', 'They shared a house.',
     '00000000-0000-7000-8000-000000000003', '2026-03-02 16:00Z', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:10Z', 'He moved out.');

-- at 26
INSERT INTO person (centre_id, person_id, name, sign_in_name, email, password_hash, created_at) VALUES
    (1, '00000000-0000-7000-8000-000000000004', 'Bob Beginner', 'bob', '', '', '2026-03-02 09:00Z');
INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, seed, given) VALUES
    (1, '00000000-0000-7000-8000-000000000052', '00000000-0000-7000-8000-000000000041', '00000000-0000-7000-8000-000000000004', 1, 'planned', 8, '{}');
INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned, received_at, by_id)
    VALUES (1, '00000000-0000-7000-8000-000000000063', '00000000-0000-7000-8000-000000000052', 'photo', sha256('jpeg'), 4, 'image/jpeg',
    640, 480, 1, 'IMG_1.jpg', '', false, '2026-03-02 10:32Z', '00000000-0000-7000-8000-000000000004');
INSERT INTO register (centre_id, register_id, name, serial, measures, resolution, accuracy, added_at, by_id) VALUES
    (1, '00000000-0000-7000-8000-000000000161', 'Thermometer', 'T-14', '-50 to 300 °C', '0.1 °C', '0.5 °C', '2026-03-02 09:00Z', '00000000-0000-7000-8000-000000000001');
INSERT INTO register_kind VALUES (1, 'thermometer', serial_key('T-14'), '00000000-0000-7000-8000-000000000161');
INSERT INTO register_event (centre_id, event_id, register_id, what, done_at, good, certificate, due_on, found, points, words, by_id, entered_at) VALUES
    (1, '00000000-0000-7000-8000-000000000162', '00000000-0000-7000-8000-000000000161', 'calibration', '2026-01-05 00:00Z', true, 'C-1', '2027-01-05', '',
     '[{"at": "0", "error": "0.1"}]', '', '00000000-0000-7000-8000-000000000001', '2026-03-02 09:00Z'),
    (1, '00000000-0000-7000-8000-000000000163', '00000000-0000-7000-8000-000000000161', 'ice_point', '2026-03-02 09:00Z', false, '', NULL, '2 °C', '[]',
     'It reads high.', '00000000-0000-7000-8000-000000000001', '2026-03-02 09:00Z');
INSERT INTO register_strike VALUES (1, '00000000-0000-7000-8000-000000000162', 'Another instrument.', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');
INSERT INTO register_look VALUES (1, '00000000-0000-7000-8000-000000000164', '00000000-0000-7000-8000-000000000163', '00000000-0000-7000-8000-000000000051',
    'stands', 'Read beside another.', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');
INSERT INTO picture_pair VALUES (1, '00000000-0000-7000-8000-000000000062', '00000000-0000-7000-8000-000000000063', true, 0, 0, 1, 'fill', 'fill', '2026-03-02 16:00Z');
INSERT INTO alike_look VALUES (1, '00000000-0000-7000-8000-000000000165', '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000052',
    'readings', 'talked', 'They share a rig.', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');
INSERT INTO alike_setting VALUES (1, '00000000-0000-7000-8000-000000000166', 6, 4, 0.95, 'Bay 7.', '00000000-0000-7000-8000-000000000001', '2026-03-02 16:00Z');

-- at 27
INSERT INTO sampling_plan (centre_id, plan_id, name, stage, unit_code, share, weights, words, made_by, made_at) VALUES
    (1, '00000000-0000-7000-8000-000000000171', 'Spring', 'interim', '', 20, '{}', 'A new tutor.', '00000000-0000-7000-8000-000000000003', '2026-03-02 16:00Z');
INSERT INTO sample (centre_id, sample_id, plan_id, number, seed, digest, listed, size, words, drawn_by, drawn_at) VALUES (1, '00000000-0000-7000-8000-000000000172',
    '00000000-0000-7000-8000-000000000171', 1, repeat('0a', 16), repeat('ab', 32), 1, 1, 'Little.', '00000000-0000-7000-8000-000000000003', '2026-03-02 16:10Z');
INSERT INTO sample_item VALUES (1, '00000000-0000-7000-8000-000000000172', '00000000-0000-7000-8000-000000000051',
    '00000000-0000-7000-8000-000000000001', 'H2', 'from evidence', 'at the centre', 1, '{}', true);
INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical) VALUES
    (1, '00000000-0000-7000-8000-000000000073', '00000000-0000-7000-8000-000000000051', 'sample_outcome', '', 'agree_with_action', '', '',
     '00000000-0000-7000-8000-000000000172', '{}', '00000000-0000-7000-8000-000000000003', 'Rob Second', 'quality_assurer', '2026-03-02 16:20Z', '{}');
INSERT INTO sample_outcome VALUES (1, '00000000-0000-7000-8000-000000000172', '00000000-0000-7000-8000-000000000051', 'agree_with_action', '00000000-0000-7000-8000-000000000073');
INSERT INTO action (centre_id, action_id, source, source_id, attempt_id, words, owner_id, due_on, raised_by, raised_at) VALUES (1, '00000000-0000-7000-8000-000000000173', 'sample',
    '00000000-0000-7000-8000-000000000172', '00000000-0000-7000-8000-000000000051', 'Photograph the label.', '00000000-0000-7000-8000-000000000001', '2026-04-01',
    '00000000-0000-7000-8000-000000000003', '2026-03-02 16:20Z');
INSERT INTO claim VALUES (1, '00000000-0000-7000-8000-000000000174', 'H2', '', '00000000-0000-7000-8000-000000000003', '2026-03-02 16:30Z');
INSERT INTO claim_item VALUES (1, '00000000-0000-7000-8000-000000000174', '00000000-0000-7000-8000-000000000002', 'H2', 'AO-1', '2026-03-02', '{00000000-0000-7000-8000-000000000051}');

-- at 28
INSERT INTO standardisation (centre_id, standardisation_id, title, words, brief_id, version, seed, opened_by, opened_at) VALUES
    (1, '00000000-0000-7000-8000-000000000181', 'Filling', '', '00000000-0000-7000-8000-000000000031', 1, 3, '00000000-0000-7000-8000-000000000003', '2026-03-02 17:00Z');
INSERT INTO standardisation_attempt VALUES (1, '00000000-0000-7000-8000-000000000181', '00000000-0000-7000-8000-000000000051', 1);
INSERT INTO standardisation_judge VALUES (1, '00000000-0000-7000-8000-000000000181', '00000000-0000-7000-8000-000000000003');
INSERT INTO blind_judgement VALUES (1, '00000000-0000-7000-8000-000000000181', '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000003',
    'H2/1.1', 'not_yet_met', 'evidence', 'No label.', '2026-03-02 17:10Z');
INSERT INTO ruling VALUES (1, '00000000-0000-7000-8000-000000000182', '00000000-0000-7000-8000-000000000181', 'H2/1.1', 'The label is to be seen.', 'met', '2026-03-03', NULL,
    '00000000-0000-7000-8000-000000000003', '2026-03-02 17:20Z');
INSERT INTO ruling_look VALUES (1, '00000000-0000-7000-8000-000000000183', '00000000-0000-7000-8000-000000000182', '00000000-0000-7000-8000-000000000051',
    '00000000-0000-7000-8000-000000000071', 'stands', '', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:30Z');
INSERT INTO brief_comment VALUES (1, '00000000-0000-7000-8000-000000000184', '00000000-0000-7000-8000-000000000031', 2, '', 'Which pump?', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:30Z');
INSERT INTO brief_answer VALUES (1, '00000000-0000-7000-8000-000000000184', 'Either.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:40Z');
INSERT INTO prior_learning VALUES (1, '00000000-0000-7000-8000-000000000185', '00000000-0000-7000-8000-000000000002', 'H2', '{H2/1.2}', 'Two years with a firm.',
    '00000000-0000-7000-8000-000000000002', '2026-03-02 17:00Z');
INSERT INTO prior_file VALUES (1, '00000000-0000-7000-8000-000000000186', '00000000-0000-7000-8000-000000000185', 'letter.jpg', 'image/jpeg', 4, sha256('letter'),
    '00000000-0000-7000-8000-000000000002', '2026-03-02 17:00Z');
INSERT INTO prior_decision VALUES (1, '00000000-0000-7000-8000-000000000185', 'H2/1.2', 'met', 'The letter says so.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:30Z');
INSERT INTO inquiry (centre_id, inquiry_id, concerns, words, opened_by, opened_at) VALUES
    (1, '00000000-0000-7000-8000-000000000187', '00000000-0000-7000-8000-000000000004', 'Two sheets alike.', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:00Z');
INSERT INTO inquiry_person VALUES (1, '00000000-0000-7000-8000-000000000187', '00000000-0000-7000-8000-000000000003', '00000000-0000-7000-8000-000000000004',
    '00000000-0000-7000-8000-000000000003', '2026-03-02 17:00Z');
INSERT INTO inquiry_note VALUES (1, '00000000-0000-7000-8000-000000000188', '00000000-0000-7000-8000-000000000187', 'They share a rig.', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:00Z');
INSERT INTO inquiry_attempt VALUES (1, '00000000-0000-7000-8000-000000000187', '00000000-0000-7000-8000-000000000052');

-- at 29
INSERT INTO person (centre_id, person_id, name, sign_in_name, email, password_hash, created_at) VALUES
    (1, '00000000-0000-7000-8000-000000000005', 'Vera Outside', 'vera', '', '', '2026-03-02 09:00Z');
INSERT INTO person_role VALUES (1, '00000000-0000-7000-8000-000000000005', 'external_verifier');
INSERT INTO link (centre_id, link_id, digest, purpose, person_id, expires_at) VALUES (1, '00000000-0000-7000-8000-000000000012', sha256('v'), 'visit', '00000000-0000-7000-8000-000000000005', '2026-03-09 09:00Z');
INSERT INTO visit (centre_id, visit_id, verifier_id, link_id, unit_code, words, arranged_by, arranged_at, ends_at) VALUES (1, '00000000-0000-7000-8000-000000000191',
    '00000000-0000-7000-8000-000000000005', '00000000-0000-7000-8000-000000000012', 'H2', 'The spring visit.', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:00Z', '2026-03-09 00:00Z');
INSERT INTO visit_attempt VALUES (1, '00000000-0000-7000-8000-000000000191', '00000000-0000-7000-8000-000000000051');
INSERT INTO visit_draw VALUES (1, '00000000-0000-7000-8000-000000000191', 1, repeat('0b', 16), repeat('cd', 32), 1, 1, '00000000-0000-7000-8000-000000000005', '2026-03-03 09:00Z');
INSERT INTO visit_pick VALUES (1, '00000000-0000-7000-8000-000000000191', '00000000-0000-7000-8000-000000000051', 1, '00000000-0000-7000-8000-000000000005', '2026-03-03 09:00Z');
INSERT INTO visit_view VALUES (1, '00000000-0000-7000-8000-000000000191', '00000000-0000-7000-8000-000000000192', 'attempt',
    '00000000-0000-7000-8000-000000000051', '00000000-0000-7000-8000-000000000005', '2026-03-03 09:10Z');
INSERT INTO visit_note VALUES (1, '00000000-0000-7000-8000-000000000191', '00000000-0000-7000-8000-000000000193', '00000000-0000-7000-8000-000000000051', 'confirmed', '',
    '00000000-0000-7000-8000-000000000005', '2026-03-03 09:20Z');
INSERT INTO retention_rule VALUES (1, '00000000-0000-7000-8000-000000000194', 'H2', 'decisions', 48, 'A letter.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:00Z');
INSERT INTO legal_hold (centre_id, hold_id, person_id, attempt_id, words, placed_by, placed_at) VALUES (1, '00000000-0000-7000-8000-000000000195',
    '00000000-0000-7000-8000-000000000002', '00000000-0000-7000-8000-000000000051', 'A claim is under way.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:00Z');
INSERT INTO purge (centre_id, purge_id, proposed_by, proposed_at, approved_by, approved_at, done_at) VALUES (1, '00000000-0000-7000-8000-000000000196',
    '00000000-0000-7000-8000-000000000001', '2026-03-02 17:00Z', '00000000-0000-7000-8000-000000000003', '2026-03-17 17:00Z', '2026-03-17 17:10Z');
INSERT INTO purge_item VALUES (1, '00000000-0000-7000-8000-000000000196', '00000000-0000-7000-8000-000000000052', '00000000-0000-7000-8000-000000000004', '00000000-0000-7000-8000-000000000052',
    '2026-03-01', 'decisions: 36 months');
INSERT INTO erasure VALUES (1, '00000000-0000-7000-8000-000000000052', '00000000-0000-7000-8000-000000000004', '00000000-0000-7000-8000-000000000052', '00000000-0000-7000-8000-000000000196',
    'decisions: 36 months', '00000000-0000-7000-8000-000000000003', '2026-03-17 17:10Z');
INSERT INTO person_export VALUES (1, '00000000-0000-7000-8000-000000000197', '00000000-0000-7000-8000-000000000002', true, '00000000-0000-7000-8000-000000000001', '2026-03-02 17:00Z');

-- at 42
INSERT INTO withdrawal (centre_id, withdrawal_id, cohort_id, trainee_id, left_on, words, by_id, at, back_words, back_by, back_at) VALUES
    (1, '00000000-0000-7000-8000-000000000201', '00000000-0000-7000-8000-000000000021', '00000000-0000-7000-8000-000000000004', '2026-03-01', 'A job elsewhere.',
     '00000000-0000-7000-8000-000000000001', '2026-03-02 17:00Z', 'It was another one.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:10Z');

-- at 44
INSERT INTO registration VALUES (1, '00000000-0000-7000-8000-000000000001', 'assessor', 'T-200', '2026-01-01', '2026-12-31');
INSERT INTO person_role VALUES (1, '00000000-0000-7000-8000-000000000003', 'internal_quality_assurer');
INSERT INTO prior_learning VALUES (1, '00000000-0000-7000-8000-000000000211', '00000000-0000-7000-8000-000000000004', 'H2', '{H2/1.1}', 'Two years with a firm.',
    '00000000-0000-7000-8000-000000000004', '2026-03-02 17:00Z');
INSERT INTO prior_decision VALUES (1, '00000000-0000-7000-8000-000000000211', 'H2/1.1', 'met', 'The letter says so.', '00000000-0000-7000-8000-000000000001', '2026-03-02 17:30Z');
INSERT INTO prior_look VALUES (1, '00000000-0000-7000-8000-000000000211', 'H2/1.1', 'agree', 'So it does.', '00000000-0000-7000-8000-000000000003', '2026-03-02 17:40Z');
