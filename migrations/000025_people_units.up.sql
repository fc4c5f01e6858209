-- A qualification unit is kept by its editions: each is one text with the first day on which it is in force, and stays as it
-- was entered. Outcomes is [{code, title, criteria: [{code, text, range: [words]}]}], in order. Of the unit itself only the
-- title and the name of the newest edition are kept beside its code, for lists.
CREATE TABLE unit_edition (
    centre_id  bigint NOT NULL,
    unit_code  text NOT NULL,
    edition    text NOT NULL CHECK (edition <> ''),
    title      text NOT NULL,
    valid_from date NOT NULL, -- the first day of the year 1 where it has been in force for ever
    valid_to   date CHECK (valid_to >= valid_from), -- included; NULL where it names no last day
    outcomes   jsonb NOT NULL,
    entered_by uuid, -- NULL where the program's keeper brought it
    entered_at timestamptz NOT NULL,
    CONSTRAINT unit_edition_edition_key PRIMARY KEY (centre_id, unit_code, edition),
    CONSTRAINT unit_edition_from_key UNIQUE (centre_id, unit_code, valid_from),
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    FOREIGN KEY (centre_id, entered_by) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON unit_edition FOR EACH STATEMENT EXECUTE FUNCTION append_only();
-- What is there moves over, for every centre at once: the policies step back from the owner until that is done.
ALTER TABLE qualification_unit NO FORCE ROW LEVEL SECURITY;
ALTER TABLE learning_outcome NO FORCE ROW LEVEL SECURITY;
ALTER TABLE criterion NO FORCE ROW LEVEL SECURITY;
INSERT INTO unit_edition (centre_id, unit_code, edition, title, valid_from, outcomes, entered_at)
SELECT u.centre_id, u.unit_code, CASE u.edition WHEN '' THEN '1' ELSE u.edition END, u.title, '0001-01-01',
    coalesce((SELECT jsonb_agg(jsonb_build_object('code', o.code, 'title', o.title, 'criteria', coalesce(
        (SELECT jsonb_agg(jsonb_build_object('code', k.code, 'text', k.text) ORDER BY k.position, k.code) FROM criterion k
         WHERE k.centre_id = o.centre_id AND k.unit_code = o.unit_code AND k.outcome_code = o.code), '[]')) ORDER BY o.position, o.code)
        FROM learning_outcome o WHERE o.centre_id = u.centre_id AND o.unit_code = u.unit_code), '[]'), now()
FROM qualification_unit u;
ALTER TABLE qualification_unit FORCE ROW LEVEL SECURITY;
DROP TABLE criterion, learning_outcome;
ALTER TABLE unit_edition ENABLE ROW LEVEL SECURITY;
ALTER TABLE unit_edition FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON unit_edition
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON unit_edition TO witnessmark_app;

-- A trainee's registration with the awarding organisation; both dates are included. What was entered by mistake is taken back
-- and stays.
CREATE TABLE award_registration (
    centre_id       bigint NOT NULL,
    registration_id uuid NOT NULL,
    person_id       uuid NOT NULL,
    unit_code       text NOT NULL, -- '' for every unit
    number          text NOT NULL CHECK (number <> ''),
    registered_on   date NOT NULL,
    ends_on         date CHECK (ends_on >= registered_on), -- NULL where it does not end
    entered_by      uuid NOT NULL,
    entered_at      timestamptz NOT NULL,
    taken_back_by   uuid,
    taken_back_at   timestamptz,
    PRIMARY KEY (centre_id, registration_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, entered_by) REFERENCES person,
    FOREIGN KEY (centre_id, taken_back_by) REFERENCES person,
    CHECK ((taken_back_by IS NULL) = (taken_back_at IS NULL))
);
CREATE UNIQUE INDEX award_registration_once ON award_registration (centre_id, person_id, unit_code, number) WHERE taken_back_at IS NULL;
ALTER TABLE award_registration ENABLE ROW LEVEL SECURITY;
ALTER TABLE award_registration FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON award_registration
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (ends_on, taken_back_by, taken_back_at) ON award_registration TO witnessmark_app;

-- What qualifies a person to judge or to sample is kept beside occupational registrations. One that does not end has the last
-- day of the year 9999.
ALTER TABLE registration DROP CONSTRAINT registration_kind_check;
ALTER TABLE registration ADD CONSTRAINT registration_kind_check CHECK (kind IN ('gas', 'electrical', 'unvented', 'assessor', 'quality_assurer'));
-- It may be ended before its last day.
GRANT UPDATE (valid_to) ON registration TO witnessmark_app;

-- A conflict of interest between two people: while it stands, neither judges the other's work nor samples the other's
-- decisions. It is ended by a word of somebody else, and stays on record.
CREATE TABLE conflict (
    centre_id   bigint NOT NULL,
    conflict_id uuid NOT NULL,
    person_id   uuid NOT NULL,
    other_id    uuid NOT NULL CHECK (other_id <> person_id),
    words       text NOT NULL CHECK (words <> '' AND length(words) <= 2000),
    declared_by uuid NOT NULL,
    declared_at timestamptz NOT NULL,
    ended_by    uuid CONSTRAINT conflict_ended_by_another CHECK (ended_by NOT IN (person_id, other_id)),
    ended_at    timestamptz,
    ended_words text NOT NULL DEFAULT '' CHECK (length(ended_words) <= 2000),
    PRIMARY KEY (centre_id, conflict_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, other_id) REFERENCES person,
    FOREIGN KEY (centre_id, declared_by) REFERENCES person,
    FOREIGN KEY (centre_id, ended_by) REFERENCES person,
    CHECK ((ended_by IS NULL) = (ended_at IS NULL) AND (ended_by IS NULL) = (ended_words = ''))
);
CREATE UNIQUE INDEX conflict_once ON conflict (centre_id, least(person_id, other_id), greatest(person_id, other_id)) WHERE ended_at IS NULL;
CREATE INDEX conflict_person ON conflict (centre_id, person_id);
CREATE INDEX conflict_other ON conflict (centre_id, other_id);
ALTER TABLE conflict ENABLE ROW LEVEL SECURITY;
ALTER TABLE conflict FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON conflict
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (ended_by, ended_at, ended_words) ON conflict TO witnessmark_app;

-- Nobody judges their own work, nor that of somebody they have a conflict with, nor countersigns, hears an appeal against,
-- samples, clears or claims what such a person decided. A stop for safety is anybody's.
CREATE FUNCTION conflicts_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
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
CREATE TRIGGER conflicts_apart BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION conflicts_apart();
