-- An attempt that goes on from an earlier one takes over what was met there, so that whoever judged the earlier one has part in it too.
-- line_of is an attempt and all those that it goes on from.
CREATE FUNCTION line_of(of_centre bigint, of_attempt uuid) RETURNS uuid[] LANGUAGE plpgsql STABLE SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    line uuid[] := ARRAY[of_attempt];
    earlier uuid;
BEGIN
    LOOP
        SELECT a.carried_from INTO earlier FROM attempt a WHERE a.centre_id = of_centre AND a.attempt_id = line[cardinality(line)];
        EXIT WHEN earlier IS NULL OR earlier = ANY(line);
        line := line || earlier;
    END LOOP;
    RETURN line;
END $$;
-- had_part says whether it is the person's own work, or they decided, overrode, countersigned, signed off or sent back any of it.
CREATE FUNCTION had_part(of_centre bigint, of_attempt uuid, person uuid) RETURNS boolean LANGUAGE plpgsql STABLE SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    RETURN EXISTS (SELECT FROM attempt a WHERE a.centre_id = of_centre AND a.attempt_id = of_attempt AND a.trainee_id = person)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = of_centre AND r.attempt_id = ANY(line_of(of_centre, of_attempt)) AND r.by_id = person
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do'));
END $$;
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
            SELECT FROM conflict c JOIN record r ON r.centre_id = c.centre_id AND r.attempt_id = ANY(line_of(NEW.centre_id, NEW.attempt_id))
                AND r.kind IN ('criterion_decision', 'override', 'sign_off') AND r.by_id = CASE c.person_id WHEN NEW.by_id THEN c.other_id ELSE c.person_id END
            WHERE c.centre_id = NEW.centre_id AND c.ended_at IS NULL AND NEW.by_id IN (c.person_id, c.other_id)) THEN
        RAISE EXCEPTION 'a person acts where they declared a conflict of interest' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_conflict_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION sampler_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.kind IN ('sample_outcome', 'cleared_for_claim') THEN
        IF had_part(NEW.centre_id, NEW.attempt_id, NEW.by_id) THEN
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
    IF had_part(NEW.centre_id, NEW.attempt_id, NEW.person_id) THEN
        RAISE EXCEPTION 'a person judges blind what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'blind_judgement_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE OR REPLACE FUNCTION ruling_look_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF had_part(NEW.centre_id, NEW.attempt_id, NEW.looked_by) THEN
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
        OR NEW.kind = 'set_aside' AND had_part(NEW.centre_id, NEW.attempt_id, NEW.by_id) THEN
        RAISE EXCEPTION 'a person sets aside what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_set_aside_apart';
    END IF;
    RETURN NEW;
END $$;

-- Nobody stands behind their own decision, hears an appeal against what they had part in, or decides afresh, after an appeal was upheld,
-- what they had part in before.
CREATE FUNCTION second_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    upheld bigint;
BEGIN
    IF NEW.kind = 'appeal_outcome' THEN
        IF had_part(NEW.centre_id, NEW.attempt_id, NEW.by_id) THEN
            RAISE EXCEPTION 'a person hears an appeal against what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_hearing_apart';
        END IF;
        RETURN NEW;
    END IF;
    IF NEW.kind = 'countersign' AND EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id
            AND r.record_id::text = NEW.value AND r.by_id = NEW.by_id) THEN
        RAISE EXCEPTION 'a person countersigns their own decision' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_countersign_apart';
    END IF;
    SELECT max(r.seq) INTO upheld FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id
        AND r.kind = 'appeal_outcome' AND r.outcome = 'upheld';
    IF upheld IS NOT NULL
        AND NOT EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.seq > upheld AND r.kind IN ('sign_off', 'more_to_do'))
        AND EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.seq < upheld AND r.by_id = NEW.by_id
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person decides afresh what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_afresh_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER second_apart BEFORE INSERT ON record FOR EACH ROW
    WHEN (NEW.kind IN ('appeal_outcome', 'criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) EXECUTE FUNCTION second_apart();
