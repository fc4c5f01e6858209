-- A trainee who left a cohort: since which day, and why. A manager may take it back, once; the row stays, as what was decided does.
CREATE TABLE withdrawal (
    centre_id     bigint NOT NULL,
    withdrawal_id uuid NOT NULL,
    cohort_id     uuid NOT NULL,
    trainee_id    uuid NOT NULL,
    left_on       date NOT NULL,
    words         text NOT NULL CHECK (length(words) BETWEEN 1 AND 2000),
    by_id         uuid NOT NULL,
    at            timestamptz NOT NULL,
    back_words    text NOT NULL DEFAULT '' CHECK (length(back_words) <= 2000),
    back_by       uuid,
    back_at       timestamptz,
    PRIMARY KEY (centre_id, withdrawal_id),
    FOREIGN KEY (centre_id, cohort_id) REFERENCES cohort,
    FOREIGN KEY (centre_id, trainee_id) REFERENCES person,
    FOREIGN KEY (centre_id, by_id) REFERENCES person,
    FOREIGN KEY (centre_id, back_by) REFERENCES person,
    CHECK ((back_by IS NULL) = (back_at IS NULL) AND (back_by IS NULL) = (back_words = '')),
    CONSTRAINT withdrawal_apart CHECK (trainee_id <> by_id AND trainee_id <> back_by)
);
CREATE UNIQUE INDEX withdrawal_once ON withdrawal (centre_id, trainee_id, cohort_id) WHERE back_at IS NULL;
CREATE INDEX withdrawal_of ON withdrawal (centre_id, trainee_id, at);
ALTER TABLE withdrawal ENABLE ROW LEVEL SECURITY;
ALTER TABLE withdrawal FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON withdrawal
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (back_words, back_by, back_at) ON withdrawal TO witnessmark_app;
CREATE FUNCTION withdrawal_settled() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RAISE EXCEPTION 'this withdrawal was taken back' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'withdrawal_settled';
END $$;
CREATE TRIGGER withdrawal_settled BEFORE UPDATE OF back_words, back_by, back_at ON withdrawal FOR EACH ROW
    WHEN (OLD.back_at IS NOT NULL AND current_user <> 'witnessmark_erase') EXECUTE FUNCTION withdrawal_settled();

-- An attempt that is withdrawn takes no record but what takes that back, what takes a photo's original away, and what the end of its
-- keeping brings.
CREATE FUNCTION record_withdrawn() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.state = 'withdrawn') THEN
        RAISE EXCEPTION 'this attempt is withdrawn' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_withdrawn';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER record_withdrawn BEFORE INSERT ON record FOR EACH ROW
    WHEN (NEW.kind NOT IN ('withdrawal_taken_back', 'withdraw', 'archived', 'destroyed')) EXECUTE FUNCTION record_withdrawn();

-- Nor does anything of it change, or its state but to the one that the record of taking it back names.
CREATE FUNCTION attempt_withdrawn() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.state <> 'withdrawn' AND EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id
            AND r.kind = 'withdrawal_taken_back' AND r.outcome = NEW.state
            AND r.seq > (SELECT max(l.seq) FROM record l WHERE l.centre_id = NEW.centre_id AND l.attempt_id = NEW.attempt_id AND l.kind = 'trainee_withdrawn')) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'this attempt is withdrawn' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_withdrawn';
END $$;
CREATE TRIGGER attempt_withdrawn BEFORE UPDATE ON attempt FOR EACH ROW
    WHEN (OLD.state = 'withdrawn' AND NEW.state NOT IN ('archived', 'destroyed') AND current_user <> 'witnessmark_erase'
        AND (OLD.state, OLD.opened_at, OLD.handed_over_at, OLD.declaration, OLD.signed_off_at, OLD.due_on, OLD.site, OLD.householder)
            IS DISTINCT FROM (NEW.state, NEW.opened_at, NEW.handed_over_at, NEW.declaration, NEW.signed_off_at, NEW.due_on, NEW.site, NEW.householder))
    EXECUTE FUNCTION attempt_withdrawn();

-- What a phone captured before still comes in, late as it is, and so does what a list that was sealed before names; nothing else. when is
-- a moment by the phone, offset_ms by how much its clock was off.
CREATE FUNCTION came_before_withdrawal(of_centre bigint, of_attempt uuid, thing uuid, captured timestamptz, offset_ms bigint) RETURNS boolean
LANGUAGE plpgsql STABLE SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE closed timestamptz;
BEGIN
    SELECT max(r.at) INTO closed FROM record r WHERE r.centre_id = of_centre AND r.attempt_id = of_attempt AND r.kind = 'trainee_withdrawn';
    RETURN coalesce(captured + make_interval(secs => coalesce(offset_ms, 0) / 1000.0) < closed, false)
        OR EXISTS (SELECT FROM seal_item i WHERE i.centre_id = of_centre AND i.attempt_id = of_attempt AND i.listed_id = thing);
END $$;
CREATE FUNCTION entry_withdrawn() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM came n JOIN attempt a ON a.centre_id = n.centre_id AND a.attempt_id = n.attempt_id
            WHERE a.state = 'withdrawn' AND NOT came_before_withdrawal(n.centre_id, n.attempt_id, n.entry_id, n.captured_at, n.offset_ms)) THEN
        RAISE EXCEPTION 'this attempt is withdrawn' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_withdrawn';
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER entry_withdrawn AFTER INSERT ON entry REFERENCING NEW TABLE AS came FOR EACH STATEMENT EXECUTE FUNCTION entry_withdrawn();
CREATE FUNCTION evidence_withdrawn() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM came n JOIN attempt a ON a.centre_id = n.centre_id AND a.attempt_id = n.attempt_id
            WHERE a.state = 'withdrawn' AND NOT came_before_withdrawal(n.centre_id, n.attempt_id, n.evidence_id, n.device_at, n.offset_ms)) THEN
        RAISE EXCEPTION 'this attempt is withdrawn' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_withdrawn';
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER evidence_withdrawn AFTER INSERT ON evidence REFERENCING NEW TABLE AS came FOR EACH STATEMENT EXECUTE FUNCTION evidence_withdrawn();

-- Whoever was withdrawn from a cohort is set no task of it. This is asked after the keys to the trainee's row, which a withdrawal locks,
-- so that neither of the two misses the other.
CREATE FUNCTION attempt_left() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM planned n JOIN task t ON t.centre_id = n.centre_id AND t.task_id = n.task_id
            JOIN withdrawal w ON w.centre_id = n.centre_id AND w.trainee_id = n.trainee_id AND w.cohort_id = t.cohort_id AND w.back_at IS NULL) THEN
        RAISE EXCEPTION 'a trainee who was withdrawn is set a task' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'attempt_left';
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER attempt_left AFTER INSERT ON attempt REFERENCING NEW TABLE AS planned FOR EACH STATEMENT EXECUTE FUNCTION attempt_left();

-- Why somebody left goes with their details.
GRANT SELECT, UPDATE ON withdrawal TO witnessmark_erase;
CREATE OR REPLACE FUNCTION erase_person_now(wanted uuid) RETURNS void
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
    UPDATE withdrawal SET words = erased(words), back_words = erased(back_words) WHERE trainee_id = wanted;
    UPDATE legal_hold SET words = erased(words), lifted_words = erased(lifted_words) WHERE person_id = wanted;
    UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0 WHERE trainee_id = wanted;
    UPDATE person SET name = 'Erased person', sign_in_name = 'erased-' || person_id, email = '', password_hash = '', disabled_at = coalesce(disabled_at, now())
        WHERE person_id = wanted;
END $$;
