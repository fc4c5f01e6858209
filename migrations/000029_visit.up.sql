-- The verifier's visit: somebody from outside reads, for some days, what is on one list, and writes down nothing but their own
-- record. link_id is the link that opens it; a new one takes its place where the first was lost.
CREATE TABLE visit (
    centre_id   bigint NOT NULL,
    visit_id    uuid NOT NULL,
    verifier_id uuid NOT NULL,
    link_id     uuid NOT NULL,
    unit_code   text NOT NULL,
    words       text NOT NULL CHECK (words <> '' AND length(words) <= 4000), -- what it is for
    arranged_by uuid NOT NULL,
    arranged_at timestamptz NOT NULL,
    ends_at     timestamptz NOT NULL,
    opened_at   timestamptz, -- first
    ended_by    uuid,        -- before its time
    ended_at    timestamptz,
    PRIMARY KEY (centre_id, visit_id),
    CONSTRAINT visit_verifier_key UNIQUE (centre_id, visit_id, verifier_id),
    FOREIGN KEY (centre_id, verifier_id) REFERENCES person,
    FOREIGN KEY (centre_id, link_id) REFERENCES link,
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    FOREIGN KEY (centre_id, arranged_by) REFERENCES person,
    FOREIGN KEY (centre_id, ended_by) REFERENCES person,
    CONSTRAINT visit_lasts_check CHECK (ends_at > arranged_at AND ends_at <= arranged_at + interval '30 days'),
    CONSTRAINT visit_two_people CHECK (verifier_id <> arranged_by),
    CHECK ((ended_by IS NULL) = (ended_at IS NULL))
);
CREATE INDEX visit_of ON visit (centre_id, verifier_id);
CREATE INDEX visit_when ON visit (centre_id, arranged_at);
ALTER TABLE visit ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (link_id, opened_at, ended_by, ended_at) ON visit TO witnessmark_app;

-- What a visit can reach: the attempts that the verifier may draw from or choose.
CREATE TABLE visit_attempt (
    centre_id  bigint NOT NULL,
    visit_id   uuid NOT NULL,
    attempt_id uuid NOT NULL,
    PRIMARY KEY (centre_id, visit_id, attempt_id),
    FOREIGN KEY (centre_id, visit_id) REFERENCES visit,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE INDEX visit_attempt_of ON visit_attempt (centre_id, attempt_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON visit_attempt FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE visit_attempt ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_attempt FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit_attempt
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON visit_attempt TO witnessmark_app;

-- A draw of the verifier's own. With the list it was made from and its seed it can be drawn again: digest is the SHA-256 of
-- the ids that it was drawn from, in their order.
CREATE TABLE visit_draw (
    centre_id bigint NOT NULL,
    visit_id  uuid NOT NULL,
    number    int NOT NULL CHECK (number > 0),
    seed      text NOT NULL CHECK (seed ~ '^[0-9a-f]{32}$'),
    digest    text NOT NULL CHECK (digest ~ '^[0-9a-f]{64}$'),
    listed    int NOT NULL CHECK (listed > 0),
    size      int NOT NULL CHECK (size BETWEEN 1 AND listed),
    by_id     uuid NOT NULL,
    at        timestamptz NOT NULL,
    CONSTRAINT visit_draw_number_key PRIMARY KEY (centre_id, visit_id, number),
    FOREIGN KEY (centre_id, visit_id, by_id) REFERENCES visit (centre_id, visit_id, verifier_id)
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON visit_draw FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE visit_draw ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_draw FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit_draw
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON visit_draw TO witnessmark_app;

-- What is on the list: put there by the centre when the visit was arranged, chosen by the verifier, or drawn (number).
CREATE TABLE visit_pick (
    centre_id  bigint NOT NULL,
    visit_id   uuid NOT NULL,
    attempt_id uuid NOT NULL,
    number     int,
    by_id      uuid NOT NULL,
    at         timestamptz NOT NULL,
    CONSTRAINT visit_pick_once PRIMARY KEY (centre_id, visit_id, attempt_id),
    FOREIGN KEY (centre_id, visit_id, attempt_id) REFERENCES visit_attempt,
    FOREIGN KEY (centre_id, visit_id, number) REFERENCES visit_draw,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON visit_pick FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE visit_pick ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_pick FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit_pick
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON visit_pick TO witnessmark_app;

-- What the verifier looked at, and when.
CREATE TABLE visit_view (
    centre_id  bigint NOT NULL,
    visit_id   uuid NOT NULL,
    view_id    uuid NOT NULL,
    what       text NOT NULL CONSTRAINT visit_view_what_check CHECK (what IN ('opened', 'list', 'attempt', 'file', 'portfolio')),
    subject_id uuid, -- the attempt, file or portfolio
    by_id      uuid NOT NULL,
    at         timestamptz NOT NULL,
    PRIMARY KEY (centre_id, visit_id, view_id),
    FOREIGN KEY (centre_id, visit_id, by_id) REFERENCES visit (centre_id, visit_id, verifier_id)
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON visit_view FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE visit_view ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_view FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit_view
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON visit_view TO witnessmark_app;

-- What the verifier noted, about one attempt or about all of it.
CREATE TABLE visit_note (
    centre_id  bigint NOT NULL,
    visit_id   uuid NOT NULL,
    note_id    uuid NOT NULL,
    attempt_id uuid,
    finding    text NOT NULL CONSTRAINT visit_note_finding_check CHECK (finding IN ('confirmed', 'not_confirmed', 'remark')),
    words      text NOT NULL CHECK (length(words) <= 4000),
    by_id      uuid NOT NULL,
    at         timestamptz NOT NULL,
    PRIMARY KEY (centre_id, visit_id, note_id),
    FOREIGN KEY (centre_id, visit_id, attempt_id) REFERENCES visit_pick,
    FOREIGN KEY (centre_id, visit_id, by_id) REFERENCES visit (centre_id, visit_id, verifier_id),
    CHECK (words <> '' OR finding = 'confirmed')
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON visit_note FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE visit_note ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_note FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON visit_note
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON visit_note TO witnessmark_app;

-- A verifier is nothing else at the centre, and has never decided anything there.
CREATE FUNCTION verifier_from_outside() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM person_role r WHERE r.centre_id = NEW.centre_id AND r.person_id = NEW.verifier_id AND r.role <> 'external_verifier')
        OR NOT EXISTS (SELECT FROM person_role r WHERE r.centre_id = NEW.centre_id AND r.person_id = NEW.verifier_id)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.by_id = NEW.verifier_id) THEN
        RAISE EXCEPTION 'a verifier comes from outside the centre' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visit_from_outside';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER verifier_from_outside BEFORE INSERT ON visit FOR EACH ROW EXECUTE FUNCTION verifier_from_outside();

-- And decides nothing there afterwards.
CREATE FUNCTION verifier_decides_nothing() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM visit v WHERE v.centre_id = NEW.centre_id AND v.verifier_id = NEW.by_id) THEN
        RAISE EXCEPTION 'a verifier decides nothing at the centre' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_not_by_verifier';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER verifier_decides_nothing BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION verifier_decides_nothing();

-- What belongs to a visit is written while it runs.
CREATE FUNCTION visit_runs() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NOT EXISTS (SELECT FROM visit v WHERE v.centre_id = NEW.centre_id AND v.visit_id = NEW.visit_id AND v.ended_at IS NULL AND NEW.at < v.ends_at) THEN
        RAISE EXCEPTION 'the visit is over' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'visit_over';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER visit_runs BEFORE INSERT ON visit_draw FOR EACH ROW EXECUTE FUNCTION visit_runs();
CREATE TRIGGER visit_runs BEFORE INSERT ON visit_pick FOR EACH ROW EXECUTE FUNCTION visit_runs();
CREATE TRIGGER visit_runs BEFORE INSERT ON visit_view FOR EACH ROW EXECUTE FUNCTION visit_runs();
CREATE TRIGGER visit_runs BEFORE INSERT ON visit_note FOR EACH ROW EXECUTE FUNCTION visit_runs();

-- How long records are kept: months after the last thing that happened to an attempt, of one qualification unit or, under '', of
-- every one. The newest rule of a unit and kind counts; where several apply the longest does.
CREATE TABLE retention_rule (
    centre_id bigint NOT NULL REFERENCES centre,
    rule_id   uuid NOT NULL,
    unit_code text NOT NULL,
    kind      text NOT NULL CONSTRAINT retention_rule_kind_check CHECK (kind IN ('decisions', 'work', 'details')),
    months    int NOT NULL CHECK (months BETWEEN 1 AND 600),
    words     text NOT NULL CHECK (words <> '' AND length(words) <= 4000),
    by_id     uuid NOT NULL,
    at        timestamptz NOT NULL,
    PRIMARY KEY (centre_id, rule_id),
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON retention_rule FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE retention_rule ENABLE ROW LEVEL SECURITY;
ALTER TABLE retention_rule FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON retention_rule
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON retention_rule TO witnessmark_app;

-- Nothing of a person, or of one attempt, is erased while it is held.
CREATE TABLE legal_hold (
    centre_id    bigint NOT NULL,
    hold_id      uuid NOT NULL,
    person_id    uuid NOT NULL,
    attempt_id   uuid, -- NULL for all of the person's
    words        text NOT NULL CHECK (words <> '' AND length(words) <= 4000),
    placed_by    uuid NOT NULL CONSTRAINT legal_hold_two_people CHECK (placed_by <> person_id),
    placed_at    timestamptz NOT NULL,
    lifted_by    uuid,
    lifted_at    timestamptz,
    lifted_words text NOT NULL DEFAULT '' CHECK (length(lifted_words) <= 4000),
    PRIMARY KEY (centre_id, hold_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, placed_by) REFERENCES person,
    FOREIGN KEY (centre_id, lifted_by) REFERENCES person,
    CHECK ((lifted_by IS NULL) = (lifted_at IS NULL) AND (lifted_by IS NULL) = (lifted_words = ''))
);
CREATE INDEX legal_hold_of ON legal_hold (centre_id, person_id) WHERE lifted_at IS NULL;
ALTER TABLE legal_hold ENABLE ROW LEVEL SECURITY;
ALTER TABLE legal_hold FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON legal_hold
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (lifted_by, lifted_at, lifted_words) ON legal_hold TO witnessmark_app;

-- What one person proposes to erase and another approves, a fortnight later at the earliest.
CREATE TABLE purge (
    centre_id   bigint NOT NULL REFERENCES centre,
    purge_id    uuid NOT NULL,
    proposed_by uuid NOT NULL,
    proposed_at timestamptz NOT NULL,
    approved_by uuid CONSTRAINT purge_two_people CHECK (approved_by <> proposed_by),
    approved_at timestamptz CONSTRAINT purge_waits CHECK (approved_at >= proposed_at + interval '14 days'),
    dropped_by  uuid,
    dropped_at  timestamptz,
    done_at     timestamptz,
    PRIMARY KEY (centre_id, purge_id),
    FOREIGN KEY (centre_id, proposed_by) REFERENCES person,
    FOREIGN KEY (centre_id, approved_by) REFERENCES person,
    FOREIGN KEY (centre_id, dropped_by) REFERENCES person,
    CHECK ((approved_by IS NULL) = (approved_at IS NULL) AND (dropped_by IS NULL) = (dropped_at IS NULL) AND (approved_at IS NULL OR dropped_at IS NULL)),
    CHECK (done_at IS NULL OR approved_at IS NOT NULL)
);
-- One at a time: two would name the same things.
CREATE UNIQUE INDEX purge_one_at_a_time ON purge (centre_id) WHERE dropped_at IS NULL AND done_at IS NULL;
CREATE INDEX purge_when ON purge (centre_id, proposed_at);
ALTER TABLE purge ENABLE ROW LEVEL SECURITY;
ALTER TABLE purge FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON purge
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (approved_by, approved_at, dropped_by, dropped_at, done_at) ON purge TO witnessmark_app;

-- One attempt of it, or (attempt_id NULL) the details of a person whose attempts are all erased; due_on is since when, by rule.
CREATE TABLE purge_item (
    centre_id  bigint NOT NULL,
    purge_id   uuid NOT NULL,
    item_id    uuid NOT NULL, -- the attempt's id, or the person's
    person_id  uuid NOT NULL,
    attempt_id uuid CHECK (attempt_id = item_id),
    due_on     date NOT NULL,
    rule       text NOT NULL,
    PRIMARY KEY (centre_id, purge_id, item_id),
    FOREIGN KEY (centre_id, purge_id) REFERENCES purge,
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE INDEX purge_item_of ON purge_item (centre_id, item_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON purge_item FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE purge_item ENABLE ROW LEVEL SECURITY;
ALTER TABLE purge_item FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON purge_item
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON purge_item TO witnessmark_app;

-- What was erased. After a restore the purge may not be there, and the erasure is done again.
CREATE TABLE erasure (
    centre_id   bigint NOT NULL,
    item_id     uuid NOT NULL,
    person_id   uuid NOT NULL,
    attempt_id  uuid CHECK (attempt_id = item_id),
    purge_id    uuid NOT NULL,
    rule        text NOT NULL,
    approved_by uuid NOT NULL,
    at          timestamptz NOT NULL,
    again       boolean NOT NULL DEFAULT false, -- done again after a restore
    PRIMARY KEY (centre_id, item_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON erasure FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE erasure ENABLE ROW LEVEL SECURITY;
ALTER TABLE erasure FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON erasure
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT ON erasure TO witnessmark_app;

-- That everything kept of a person was given out, and to whom.
CREATE TABLE person_export (
    centre_id      bigint NOT NULL,
    export_id      uuid NOT NULL,
    person_id      uuid NOT NULL,
    before_results boolean NOT NULL,
    by_id          uuid NOT NULL,
    at             timestamptz NOT NULL,
    PRIMARY KEY (centre_id, export_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON person_export FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE person_export ENABLE ROW LEVEL SECURITY;
ALTER TABLE person_export FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON person_export
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON person_export TO witnessmark_app;

-- witnessmark_erase owns the functions that erase; nobody signs in as it. Row-level security holds it as everybody else, so it
-- reaches the centre that is set and no other.
DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'witnessmark_erase') THEN
        CREATE ROLE witnessmark_erase NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
    END IF;
EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
END $$;
DO $$
BEGIN
    IF NOT (SELECT rolsuper FROM pg_roles WHERE rolname = current_user) THEN
        EXECUTE format('GRANT witnessmark_erase TO %I', current_user);
    END IF;
EXCEPTION WHEN insufficient_privilege OR unique_violation THEN NULL;
END $$;
GRANT USAGE ON SCHEMA public TO witnessmark_erase;
GRANT SELECT, UPDATE ON attempt, entry, evidence, seal_item, spot_claim, spot_release, instrument, record, marking, remark_result, portfolio, person,
    award_registration, conflict, register_look, alike_look, action, claim_item, blind_judgement, ruling_look, prior_learning, prior_file, prior_decision,
    inquiry, inquiry_note, visit_note, legal_hold TO witnessmark_erase;
GRANT SELECT, DELETE ON registration, session, upload, picture_pair TO witnessmark_erase;
GRANT SELECT ON purge, purge_item, person_role TO witnessmark_erase;
GRANT SELECT, INSERT ON erasure TO witnessmark_erase;

-- Rows that are only ever added change in one case: what stands in them is erased, by the functions below alone.
CREATE OR REPLACE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND current_user = 'witnessmark_erase' THEN
        RETURN NULL;
    END IF;
    RAISE EXCEPTION 'rows of % are only ever added: % refused', TG_TABLE_NAME, TG_OP USING ERRCODE = 'restrict_violation';
END $$;

-- What stands in place of erased words, and of a digest: one under a salt that is kept nowhere, so that whoever still has the
-- bytes cannot find them by it.
CREATE FUNCTION erased(was text) RETURNS text LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
    SELECT CASE WHEN was = '' THEN '' ELSE 'erased' END
$$;
CREATE FUNCTION erased(was bytea) RETURNS bytea LANGUAGE sql VOLATILE SET search_path = pg_catalog, pg_temp AS $$
    SELECT sha256(uuid_send(gen_random_uuid()) || was)
$$;

-- Takes everything personal out of an attempt. The rows stay, with their times, outcomes and who is referred to by id.
CREATE FUNCTION erase_attempt_now(wanted uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    UPDATE entry SET text = erased(text), unit = erased(unit), working = erased(working), note = erased(note) WHERE attempt_id = wanted;
    DELETE FROM picture_pair WHERE evidence_id IN (SELECT v.evidence_id FROM evidence v WHERE v.attempt_id = wanted)
        OR other_id IN (SELECT v.evidence_id FROM evidence v WHERE v.attempt_id = wanted);
    UPDATE evidence SET name = erased(name), caption = erased(caption), digest = erased(digest), covers = '[]', covered_digest = NULL, preview_digest = NULL,
        phash = NULL, dhash = NULL, taken_at = NULL, device_at = NULL, withdrawn_at = coalesce(withdrawn_at, now()) WHERE attempt_id = wanted;
    UPDATE seal_item SET digest = erased(digest) WHERE attempt_id = wanted;
    UPDATE spot_claim SET items = '[]', mac = erased(mac), why = erased(why) WHERE attempt_id = wanted;
    UPDATE spot_release SET words = erased(words), by_name = erased(by_name), why = erased(why) WHERE attempt_id = wanted;
    UPDATE instrument SET serial = erased(serial) WHERE attempt_id = wanted;
    UPDATE record SET words = erased(words), value = erased(value), by_name = erased(by_name), canonical = erased(canonical) WHERE attempt_id = wanted;
    UPDATE marking SET result = '{}' WHERE attempt_id = wanted;
    UPDATE remark_result SET lines = '[]', lacking = erased(lacking), result = NULL WHERE attempt_id = wanted;
    UPDATE register_look SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE alike_look SET words = erased(words) WHERE attempt_id = wanted OR other_id = wanted;
    UPDATE action SET words = erased(words), closed_words = erased(closed_words) WHERE attempt_id = wanted;
    UPDATE blind_judgement SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE ruling_look SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE visit_note SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE legal_hold SET words = erased(words), lifted_words = erased(lifted_words) WHERE attempt_id = wanted;
    UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0
        WHERE trainee_id = (SELECT a.trainee_id FROM attempt a WHERE a.attempt_id = wanted);
    DELETE FROM upload WHERE attempt_id = wanted;
    UPDATE attempt SET site = erased(site), householder = erased(householder), declaration = erased(declaration), given = '{}' WHERE attempt_id = wanted;
END $$;

-- Takes a person's name and details away. What refers to them goes on doing so by id.
CREATE FUNCTION erase_person_now(wanted uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    DELETE FROM session WHERE person_id = wanted;
    DELETE FROM registration WHERE person_id = wanted;
    UPDATE award_registration SET number = 'erased ' || registration_id WHERE person_id = wanted;
    UPDATE conflict SET words = erased(words), ended_words = erased(ended_words) WHERE person_id = wanted OR other_id = wanted;
    UPDATE claim_item SET number = erased(number) WHERE trainee_id = wanted;
    UPDATE prior_file SET name = erased(name), digest = erased(digest) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE prior_decision SET words = erased(words) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE prior_learning SET words = erased(words) WHERE trainee_id = wanted;
    UPDATE inquiry_note SET words = erased(words) WHERE inquiry_id IN (SELECT i.inquiry_id FROM inquiry i WHERE i.concerns = wanted);
    UPDATE inquiry i SET words = erased(i.words), found = erased(i.found) WHERE i.concerns = wanted;
    UPDATE legal_hold SET words = erased(words), lifted_words = erased(lifted_words) WHERE person_id = wanted;
    UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0 WHERE trainee_id = wanted;
    UPDATE person SET name = 'Erased person', sign_in_name = 'erased-' || person_id, email = '', password_hash = '', disabled_at = coalesce(disabled_at, now())
        WHERE person_id = wanted;
END $$;

-- Erases one thing of a purge that a second person approved, while nothing holds it.
CREATE FUNCTION erase(of_purge uuid, wanted uuid, moment timestamptz) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    it purge_item;
    approver uuid;
BEGIN
    SELECT i.* INTO it FROM purge_item i WHERE i.purge_id = of_purge AND i.item_id = wanted;
    SELECT p.approved_by INTO approver FROM purge p WHERE p.purge_id = of_purge AND p.approved_at IS NOT NULL AND p.dropped_at IS NULL;
    IF it.item_id IS NULL OR approver IS NULL THEN
        RAISE EXCEPTION 'nobody approved that this is erased' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'erasure_not_approved';
    END IF;
    IF EXISTS (SELECT FROM legal_hold h WHERE h.person_id = it.person_id AND h.lifted_at IS NULL AND (h.attempt_id IS NULL OR it.attempt_id IS NULL OR h.attempt_id = it.attempt_id)) THEN
        RAISE EXCEPTION 'this is held' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'erasure_held';
    END IF;
    IF it.attempt_id IS NOT NULL THEN
        PERFORM erase_attempt_now(wanted);
    ELSIF EXISTS (SELECT FROM person_role r WHERE r.person_id = wanted AND r.role <> 'trainee')
        OR EXISTS (SELECT FROM attempt a WHERE a.trainee_id = wanted AND a.state <> 'destroyed') THEN
        RAISE EXCEPTION 'this person is still somebody here' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'erasure_still_here';
    ELSE
        PERFORM erase_person_now(wanted);
    END IF;
    INSERT INTO erasure (centre_id, item_id, person_id, attempt_id, purge_id, rule, approved_by, at)
    VALUES (it.centre_id, it.item_id, it.person_id, it.attempt_id, of_purge, it.rule, approver, moment);
END $$;

REVOKE EXECUTE ON FUNCTION erase_attempt_now, erase_person_now, erase FROM PUBLIC;
GRANT EXECUTE ON FUNCTION erase TO witnessmark_app;
GRANT CREATE ON SCHEMA public TO witnessmark_erase;
ALTER FUNCTION erase_attempt_now OWNER TO witnessmark_erase;
ALTER FUNCTION erase_person_now OWNER TO witnessmark_erase;
ALTER FUNCTION erase OWNER TO witnessmark_erase;
REVOKE CREATE ON SCHEMA public FROM witnessmark_erase;
