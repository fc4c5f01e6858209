CREATE OR REPLACE FUNCTION prior_decision_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE p prior_learning;
BEGIN
    SELECT * INTO p FROM prior_learning l WHERE l.centre_id = NEW.centre_id AND l.prior_id = NEW.prior_id;
    IF NEW.decided_by IN (p.claimed_by, p.trainee_id) THEN
        RAISE EXCEPTION 'a person decides on what they claimed' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_apart';
    END IF;
    IF NOT NEW.criterion = ANY (p.criteria) THEN
        RAISE EXCEPTION 'nothing was claimed for this criterion' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_claimed';
    END IF;
    RETURN NEW;
END $$;
