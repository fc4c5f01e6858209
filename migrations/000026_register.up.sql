-- The centre's register of instruments. A reading finds its instrument there by the kind that its brief names and by the serial
-- number, as serial_key compares it: capitals, spaces and dashes are typed in many ways.
CREATE FUNCTION serial_key(text) RETURNS text LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT lower(regexp_replace($1, '[[:space:]./_-]+', '', 'g'))
$$;
CREATE TABLE register (
    centre_id     bigint NOT NULL,
    register_id   uuid NOT NULL,
    name          text NOT NULL,
    serial        text NOT NULL,
    measures      text NOT NULL,
    resolution    text NOT NULL,
    accuracy      text NOT NULL,
    added_at      timestamptz NOT NULL,
    by_id         uuid NOT NULL,
    retired_at    timestamptz,
    retired_by    uuid,
    retired_words text NOT NULL DEFAULT '',
    PRIMARY KEY (centre_id, register_id),
    FOREIGN KEY (centre_id, by_id) REFERENCES person,
    FOREIGN KEY (centre_id, retired_by) REFERENCES person,
    CHECK ((retired_at IS NULL) = (retired_by IS NULL))
);
ALTER TABLE register ENABLE ROW LEVEL SECURITY;
ALTER TABLE register FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON register
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (retired_at, retired_by, retired_words) ON register TO witnessmark_app;

-- The kinds that it stands for; of a kind there is one of each serial number.
CREATE TABLE register_kind (
    centre_id   bigint NOT NULL,
    kind        text NOT NULL CHECK (kind = lower(kind)),
    serial_key  text NOT NULL CHECK (serial_key <> ''),
    register_id uuid NOT NULL,
    PRIMARY KEY (centre_id, kind, serial_key),
    FOREIGN KEY (centre_id, register_id) REFERENCES register
);
CREATE INDEX register_kind_register ON register_kind (centre_id, register_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON register_kind FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE register_kind ENABLE ROW LEVEL SECURITY;
ALTER TABLE register_kind FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON register_kind
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON register_kind TO witnessmark_app;

CREATE INDEX instrument_serial ON instrument (centre_id, lower(kind), serial_key(serial));

-- What was found when it was calibrated, or checked in house. done_at is a day's first moment for a calibration, for which
-- nobody knows the hour. points are the errors found, as [{"at", "error"}].
CREATE TABLE register_event (
    centre_id   bigint NOT NULL,
    event_id    uuid NOT NULL,
    register_id uuid NOT NULL,
    what        text NOT NULL CHECK (what IN ('calibration', 'ice_point', 'gauge_zero', 'proving_unit', 'fresh_air')),
    done_at     timestamptz NOT NULL,
    good        boolean NOT NULL,
    certificate text NOT NULL CHECK (what <> 'calibration' OR certificate <> ''),
    due_on      date CHECK (what = 'calibration' OR due_on IS NULL),
    found       text NOT NULL,
    points      jsonb NOT NULL,
    words       text NOT NULL CHECK (good OR words <> ''),
    by_id       uuid NOT NULL,
    entered_at  timestamptz NOT NULL,
    PRIMARY KEY (centre_id, event_id),
    FOREIGN KEY (centre_id, register_id) REFERENCES register,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX register_event_register ON register_event (centre_id, register_id, done_at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON register_event FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE register_event ENABLE ROW LEVEL SECURITY;
ALTER TABLE register_event FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON register_event
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON register_event TO witnessmark_app;

-- An event that was entered by mistake counts no more. It stays, with who says so.
CREATE TABLE register_strike (
    centre_id bigint NOT NULL,
    event_id  uuid NOT NULL,
    words     text NOT NULL CHECK (words <> ''),
    by_id     uuid NOT NULL,
    at        timestamptz NOT NULL,
    PRIMARY KEY (centre_id, event_id),
    FOREIGN KEY (centre_id, event_id) REFERENCES register_event,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON register_strike FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE register_strike ENABLE ROW LEVEL SECURITY;
ALTER TABLE register_strike FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON register_strike
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON register_strike TO witnessmark_app;

-- That somebody looked at the readings of an attempt that an event puts in question, and what they found. The latest counts;
-- nothing is undone by it.
CREATE TABLE register_look (
    centre_id  bigint NOT NULL,
    look_id    uuid NOT NULL,
    event_id   uuid NOT NULL,
    attempt_id uuid NOT NULL,
    outcome    text NOT NULL CHECK (outcome IN ('stands', 'again', 'afresh')),
    words      text NOT NULL CHECK (words <> ''),
    by_id      uuid NOT NULL,
    at         timestamptz NOT NULL,
    PRIMARY KEY (centre_id, look_id),
    FOREIGN KEY (centre_id, event_id) REFERENCES register_event,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX register_look_event ON register_look (centre_id, event_id, attempt_id, at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON register_look FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE register_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE register_look FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON register_look
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON register_look TO witnessmark_app;

-- Whether somebody who says who helped names a person, by any of their names.
CREATE FUNCTION names_person(said text, name text) RETURNS boolean LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT regexp_split_to_array(lower($1), '[^[:alnum:]''-]+') && regexp_split_to_array(lower($2), '[[:space:]]+')
$$;
-- Two photos of different trainees that are the same bytes, or look alike: how many bits of each visual hash differ, and how
-- well the small grey pictures correlate (1 for the same bytes); and at which stages of their briefs they stand, for what is
-- said there of who helped. Worked out anew whenever a preview is made.
CREATE TABLE picture_pair (
    centre_id   bigint NOT NULL,
    evidence_id uuid NOT NULL,
    other_id    uuid NOT NULL CHECK (evidence_id < other_id),
    exact       boolean NOT NULL,
    pattern     int NOT NULL,
    edges       int NOT NULL,
    correlation double precision NOT NULL,
    stage       text NOT NULL,
    other_stage text NOT NULL,
    found_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, evidence_id, other_id),
    FOREIGN KEY (centre_id, evidence_id) REFERENCES evidence,
    FOREIGN KEY (centre_id, other_id) REFERENCES evidence
);
CREATE INDEX picture_pair_other ON picture_pair (centre_id, other_id);
ALTER TABLE picture_pair ENABLE ROW LEVEL SECURITY;
ALTER TABLE picture_pair FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON picture_pair
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (exact, pattern, edges, correlation, found_at), DELETE ON picture_pair TO witnessmark_app;

-- What a tutor found out about two attempts that have something in common. thing is the photos' ids, the smaller first, with a
-- space between, or "readings". The latest counts.
CREATE TABLE alike_look (
    centre_id  bigint NOT NULL,
    look_id    uuid NOT NULL,
    attempt_id uuid NOT NULL,
    other_id   uuid NOT NULL CHECK (attempt_id < other_id),
    thing      text NOT NULL,
    outcome    text NOT NULL CHECK (outcome IN ('same', 'different', 'talked')),
    words      text NOT NULL CHECK (words <> ''),
    by_id      uuid NOT NULL,
    at         timestamptz NOT NULL,
    PRIMARY KEY (centre_id, look_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, other_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX alike_look_pair ON alike_look (centre_id, attempt_id, other_id, thing, at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON alike_look FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE alike_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE alike_look FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON alike_look
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON alike_look TO witnessmark_app;

-- From where on two photos are worth a look, where the centre has its own mind about it.
CREATE TABLE alike_setting (
    centre_id   bigint NOT NULL,
    setting_id  uuid NOT NULL,
    pattern     int NOT NULL CHECK (pattern BETWEEN 0 AND 10),
    edges       int NOT NULL CHECK (edges BETWEEN 0 AND 8),
    correlation double precision NOT NULL CHECK (correlation BETWEEN 0.5 AND 1),
    words       text NOT NULL CHECK (words <> ''),
    by_id       uuid NOT NULL,
    at          timestamptz NOT NULL,
    PRIMARY KEY (centre_id, setting_id),
    FOREIGN KEY (centre_id) REFERENCES centre,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON alike_setting FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE alike_setting ENABLE ROW LEVEL SECURITY;
ALTER TABLE alike_setting FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON alike_setting
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON alike_setting TO witnessmark_app;

-- Nobody looks at what is said of their own work.
CREATE FUNCTION look_apart() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.trainee_id = NEW.by_id
        AND a.attempt_id::text IN (to_jsonb(NEW)->>'attempt_id', to_jsonb(NEW)->>'other_id')) THEN
        RAISE EXCEPTION 'nobody looks at their own work' USING ERRCODE = 'check_violation';
    END IF;
    RETURN NEW;
END
$$;
CREATE TRIGGER apart BEFORE INSERT ON register_look FOR EACH ROW EXECUTE FUNCTION look_apart();
CREATE TRIGGER apart BEFORE INSERT ON alike_look FOR EACH ROW EXECUTE FUNCTION look_apart();
