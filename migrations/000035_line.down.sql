-- Who had part in an attempt is asked of that attempt alone again.
DROP TRIGGER second_apart ON record;
DROP FUNCTION second_apart();
CREATE OR REPLACE FUNCTION conflicts_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    trainee uuid;
BEGIN
    IF NEW.kind IN ('safety_stop', 'acknowledge', 'appeal', 'withdraw', 'archived', 'destroyed', 'mark_again', 'corrected') THEN
        RETURN NEW;
    END IF;
    SELECT a.trainee_id INTO trainee FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id;
    IF trainee = NEW.by_id AND NEW.kind IN ('hold_release', 'check_reading', 'criterion_decision', 'override', 'sign_off', 'more_to_do', 'safety_stop_cleared',
            'observation', 'oral_question', 'countersign', 'appeal_outcome', 'sample_outcome', 'cleared_for_claim', 'claimed') THEN
        RAISE EXCEPTION 'a person judges their own work' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_not_ones_own';
    END IF;
    IF EXISTS (SELECT FROM conflict c WHERE c.centre_id = NEW.centre_id AND c.ended_at IS NULL AND (c.person_id = NEW.by_id AND c.other_id = trainee
            OR c.other_id = NEW.by_id AND c.person_id = trainee))
        OR NEW.kind IN ('countersign', 'appeal_outcome', 'sample_outcome', 'cleared_for_claim', 'claimed') AND EXISTS (
            SELECT FROM conflict c JOIN record r ON r.centre_id = c.centre_id AND r.attempt_id = NEW.attempt_id
                AND r.kind IN ('criterion_decision', 'override', 'sign_off') AND r.by_id = CASE c.person_id WHEN NEW.by_id THEN c.other_id ELSE c.person_id END
            WHERE c.centre_id = NEW.centre_id AND c.ended_at IS NULL AND NEW.by_id IN (c.person_id, c.other_id)) THEN
        RAISE EXCEPTION 'a person acts where they declared a conflict of interest' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_conflict_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION sampler_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.kind IN ('sample_outcome', 'cleared_for_claim') THEN
        IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.by_id)
            OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.by_id
                AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
            RAISE EXCEPTION 'a person samples or clears what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_sampler_apart';
        END IF;
    ELSIF EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.by_id
            AND r.kind = 'sample_outcome') THEN
        RAISE EXCEPTION 'a person judges what they sampled' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_judge_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION blind_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM standardisation s WHERE s.centre_id = NEW.centre_id AND s.standardisation_id = NEW.standardisation_id AND s.closed_at IS NOT NULL) THEN
        RAISE EXCEPTION 'this standardisation is closed' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'blind_judgement_closed';
    END IF;
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.person_id)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.person_id
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person judges blind what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'blind_judgement_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION ruling_look_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.looked_by)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.looked_by
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person looks again at what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'ruling_look_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION record_frozen() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.kind NOT IN ('suspended', 'suspension_lifted', 'set_aside') THEN
        IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.state = 'suspended') THEN
            RAISE EXCEPTION 'this attempt is suspended' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_frozen';
        END IF;
    ELSIF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.by_id)
        OR NEW.kind = 'set_aside' AND EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id
            AND r.by_id = NEW.by_id AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person sets aside what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_set_aside_apart';
    END IF;
    RETURN NEW;
END $$;
DROP FUNCTION had_part(bigint, uuid, uuid);
DROP FUNCTION line_of(bigint, uuid);
