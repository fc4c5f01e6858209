-- Whether somebody's decisions stand by themselves follows from the assessor's award on record, in date on the day of the decision, and
-- no longer from a flag. The upgrade changes nobody's standing unseen: of whom the flag and the award say different things, what the flag
-- said holds for three months more, by the day that is kept here and shown on their page, so that the centre can enter the awards from
-- the paper. No award is made up. Entering one of theirs, or ending it, ends this at once.
ALTER TABLE person ADD COLUMN before_alone boolean, ADD COLUMN before_until date, ADD CHECK ((before_alone IS NULL) = (before_until IS NULL));
ALTER TABLE person NO FORCE ROW LEVEL SECURITY;
ALTER TABLE person_role NO FORCE ROW LEVEL SECURITY;
ALTER TABLE registration NO FORCE ROW LEVEL SECURITY;
UPDATE person p SET before_alone = NOT p.countersigned, before_until = (now() AT TIME ZONE 'Europe/London')::date + interval '3 months'
WHERE EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role IN ('tutor', 'internal_quality_assurer'))
    AND p.countersigned = EXISTS (SELECT FROM registration g WHERE g.centre_id = p.centre_id AND g.person_id = p.person_id AND g.kind = 'assessor'
        AND (now() AT TIME ZONE 'Europe/London')::date BETWEEN g.valid_from AND g.valid_to);
ALTER TABLE person FORCE ROW LEVEL SECURITY;
ALTER TABLE person_role FORCE ROW LEVEL SECURITY;
ALTER TABLE registration FORCE ROW LEVEL SECURITY;
ALTER TABLE person DROP COLUMN countersigned;

CREATE FUNCTION award_entered() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    UPDATE person p SET before_alone = NULL, before_until = NULL
    WHERE p.centre_id = NEW.centre_id AND p.person_id = NEW.person_id AND p.before_until IS NOT NULL;
    RETURN NULL;
END $$;
CREATE TRIGGER award_entered AFTER INSERT OR UPDATE ON registration FOR EACH ROW WHEN (NEW.kind = 'assessor') EXECUTE FUNCTION award_entered();

-- decides_alone says whether what the person decides on a day stands by itself.
CREATE FUNCTION decides_alone(of_centre bigint, person uuid, at timestamptz) RETURNS boolean LANGUAGE plpgsql STABLE SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    on_day date := (at AT TIME ZONE 'Europe/London')::date;
BEGIN
    RETURN coalesce((SELECT p.before_alone FROM person p WHERE p.centre_id = of_centre AND p.person_id = person AND on_day <= p.before_until),
        EXISTS (SELECT FROM registration g WHERE g.centre_id = of_centre AND g.person_id = person AND g.kind = 'assessor'
            AND on_day BETWEEN g.valid_from AND g.valid_to));
END $$;

-- Who holds no award in date decides subject to a countersignature, stands behind nobody's decision, and decides no prior learning, which
-- has no countersignature. What is taken back decides nothing, and what is carried over was decided before.
CREATE FUNCTION award_counts() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NOT decides_alone(NEW.centre_id, NEW.by_id, NEW.at) THEN
        IF NEW.kind = 'countersign' THEN
            RAISE EXCEPTION 'a person without an award in date countersigns' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_countersign_award';
        END IF;
        RAISE EXCEPTION 'a person without an award in date decides alone' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_award';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER without_award BEFORE INSERT ON record FOR EACH ROW
    WHEN (NEW.kind = 'countersign' OR NEW.kind = 'criterion_decision' AND NEW.outcome <> 'taken_back' AND NEW.value = ''
        AND NEW.role <> 'tutor, to be countersigned') EXECUTE FUNCTION award_counts();
CREATE FUNCTION prior_award_counts() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NOT decides_alone(NEW.centre_id, NEW.decided_by, NEW.decided_at) THEN
        RAISE EXCEPTION 'a person without an award in date decides on prior learning' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_award';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER without_award BEFORE INSERT ON prior_decision FOR EACH ROW EXECUTE FUNCTION prior_award_counts();
