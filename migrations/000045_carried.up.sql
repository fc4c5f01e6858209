-- What is carried over is asked for no award, since it was decided before: so it has to have been. A decision that says that it was
-- carried is met, the first on its criterion, and the attempt goes on from one in which that criterion stands as met.
CREATE FUNCTION record_carried() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.outcome <> 'met'
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.kind = 'criterion_decision' AND r.subject = NEW.subject)
        OR NOT EXISTS (SELECT FROM attempt a JOIN record r ON r.centre_id = a.centre_id AND r.attempt_id = a.carried_from
            WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND r.kind = 'criterion_decision' AND r.subject = NEW.subject AND r.outcome = 'met'
                AND NOT EXISTS (SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id)) THEN
        RAISE EXCEPTION 'a decision says that it was carried over, and was not' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_carried';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER record_carried BEFORE INSERT ON record FOR EACH ROW
    WHEN (NEW.kind = 'criterion_decision' AND NEW.value <> '' AND NEW.outcome <> 'taken_back') EXECUTE FUNCTION record_carried();
