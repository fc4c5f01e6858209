-- What an internal quality assurer found of a criterion that was recognised by prior learning. No sample is drawn from these, so every one
-- is looked at, once, before a claim rests on it. One that they disagree with is out of use from then on: the decision stays as it was.
CREATE TABLE prior_look (
    centre_id bigint NOT NULL,
    prior_id  uuid NOT NULL,
    criterion text NOT NULL,
    outcome   text NOT NULL CHECK (outcome IN ('agree', 'agree_with_action', 'disagree')),
    words     text NOT NULL CHECK (length(words) <= 4000 AND (outcome = 'agree' OR words <> '')),
    looked_by uuid NOT NULL,
    looked_at timestamptz NOT NULL,
    CONSTRAINT prior_look_once PRIMARY KEY (centre_id, prior_id, criterion),
    FOREIGN KEY (centre_id, prior_id, criterion) REFERENCES prior_decision,
    FOREIGN KEY (centre_id, looked_by) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON prior_look FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE prior_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE prior_look FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON prior_look
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON prior_look TO witnessmark_app;

-- Whoever claimed it, whose it is, who added what proves it, who decided any of it: they had part in it. What was claimed before this was
-- asked stays claimed, and is not looked at any more.
CREATE FUNCTION prior_look_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    p prior_learning;
    d prior_decision;
BEGIN
    SELECT * INTO p FROM prior_learning l WHERE l.centre_id = NEW.centre_id AND l.prior_id = NEW.prior_id;
    SELECT * INTO d FROM prior_decision i WHERE i.centre_id = NEW.centre_id AND i.prior_id = NEW.prior_id AND i.criterion = NEW.criterion;
    IF d.outcome IS DISTINCT FROM 'met' THEN
        RAISE EXCEPTION 'this criterion is not recognised' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_look_recognised';
    END IF;
    IF NEW.looked_by IN (p.claimed_by, p.trainee_id)
        OR EXISTS (SELECT FROM prior_decision i WHERE i.centre_id = NEW.centre_id AND i.prior_id = NEW.prior_id AND i.decided_by = NEW.looked_by)
        OR EXISTS (SELECT FROM prior_file f WHERE f.centre_id = NEW.centre_id AND f.prior_id = NEW.prior_id AND f.added_by = NEW.looked_by) THEN
        RAISE EXCEPTION 'a person looks at what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_look_apart';
    END IF;
    IF EXISTS (SELECT FROM conflict c WHERE c.centre_id = NEW.centre_id AND c.ended_at IS NULL AND NEW.looked_by IN (c.person_id, c.other_id)
            AND CASE c.person_id WHEN NEW.looked_by THEN c.other_id ELSE c.person_id END IN (p.trainee_id, d.decided_by)) THEN
        RAISE EXCEPTION 'a person looks where they declared a conflict of interest' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_conflict_apart';
    END IF;
    IF NOT EXISTS (SELECT FROM person_role r WHERE r.centre_id = NEW.centre_id AND r.person_id = NEW.looked_by AND r.role = 'internal_quality_assurer') THEN
        RAISE EXCEPTION 'a person looks who is no internal quality assurer' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_look_role';
    END IF;
    IF EXISTS (SELECT FROM claim_item i WHERE i.centre_id = NEW.centre_id AND i.trainee_id = p.trainee_id AND i.unit_code = p.unit_code) THEN
        RAISE EXCEPTION 'the unit is claimed' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_look_claimed';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER prior_look_apart BEFORE INSERT ON prior_look FOR EACH ROW EXECUTE FUNCTION prior_look_apart();

-- Nor does whoever looked at some of it decide the rest.
CREATE FUNCTION prior_decision_looked() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM prior_look k WHERE k.centre_id = NEW.centre_id AND k.prior_id = NEW.prior_id AND k.looked_by = NEW.decided_by) THEN
        RAISE EXCEPTION 'a person decides on what they looked at' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_looked';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER prior_decision_looked BEFORE INSERT ON prior_decision FOR EACH ROW EXECUTE FUNCTION prior_decision_looked();

-- A claim rests on no prior learning that nobody looked at, that was disagreed with, or of which an action is open.
ALTER TABLE action DROP CONSTRAINT action_source_check,
    ADD CONSTRAINT action_source_check CHECK (source IN ('sample', 'visit', 'standardisation', 'ruling', 'prior_learning'));
CREATE FUNCTION claim_prior_looked() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM unnest(NEW.prior) AS w (ref) WHERE NOT EXISTS (
            SELECT FROM prior_learning l
            JOIN prior_look k ON k.centre_id = l.centre_id AND k.prior_id = l.prior_id AND k.criterion = w.ref AND k.outcome <> 'disagree'
            WHERE l.centre_id = NEW.centre_id AND l.trainee_id = NEW.trainee_id AND NOT EXISTS (
                SELECT FROM action x WHERE x.centre_id = l.centre_id AND x.source = 'prior_learning' AND x.source_id = l.prior_id AND x.closed_at IS NULL))) THEN
        RAISE EXCEPTION 'a claim rests on prior learning that nobody looked at' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'claim_prior_looked';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER claim_prior_looked BEFORE INSERT ON claim_item FOR EACH ROW WHEN (NEW.prior <> '{}') EXECUTE FUNCTION claim_prior_looked();

-- What was found goes with the person's details, and so does what was to be done about it.
GRANT SELECT, UPDATE ON prior_look TO witnessmark_erase;
CREATE OR REPLACE FUNCTION erase_person_now(wanted uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    DELETE FROM session WHERE person_id = wanted;
    DELETE FROM registration WHERE person_id = wanted;
    UPDATE award_registration SET number = 'erased ' || registration_id WHERE person_id = wanted;
    UPDATE conflict SET words = erased(words), ended_words = erased(ended_words) WHERE person_id = wanted OR other_id = wanted;
    UPDATE claim_item SET number = erased(number) WHERE trainee_id = wanted;
    UPDATE prior_file SET name = erased(name), digest = erased(digest) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE action SET words = erased(words), closed_words = erased(closed_words)
        WHERE source = 'prior_learning' AND source_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE prior_look SET words = erased(words) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
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
