-- What people decided. canonical is the record's RFC 8785 form, the bytes that a log keeps the digest of.
CREATE TABLE record (
    centre_id  bigint NOT NULL,
    record_id  uuid NOT NULL,
    attempt_id uuid NOT NULL,
    kind       text NOT NULL,
    subject    text NOT NULL,
    outcome    text NOT NULL,
    reason     text NOT NULL,
    words      text NOT NULL,
    value      text NOT NULL,
    evidence   text[] NOT NULL,
    by_id      uuid NOT NULL,
    by_name    text NOT NULL,
    role       text NOT NULL,
    at         timestamptz NOT NULL,
    supersedes uuid,
    canonical  bytea NOT NULL,
    seq        bigint GENERATED ALWAYS AS IDENTITY,
    PRIMARY KEY (centre_id, record_id),
    -- A record supersedes only one of its own attempt, and is superseded only once.
    UNIQUE (centre_id, attempt_id, record_id),
    CONSTRAINT record_supersedes_key UNIQUE (centre_id, supersedes),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, attempt_id, supersedes) REFERENCES record (centre_id, attempt_id, record_id),
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX record_attempt ON record (centre_id, attempt_id, seq);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON record FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE record ENABLE ROW LEVEL SECURITY;
ALTER TABLE record FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON record
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON record TO witnessmark_app;

-- What the marker said; every run is kept.
CREATE TABLE marking (
    centre_id    bigint NOT NULL,
    marking_id   uuid NOT NULL,
    attempt_id   uuid NOT NULL,
    at           timestamptz NOT NULL,
    engine       text NOT NULL,
    brief_digest text NOT NULL,
    result       jsonb NOT NULL,
    seq          bigint GENERATED ALWAYS AS IDENTITY,
    PRIMARY KEY (centre_id, marking_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE INDEX marking_attempt ON marking (centre_id, attempt_id, seq);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON marking FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE marking ENABLE ROW LEVEL SECURITY;
ALTER TABLE marking FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON marking
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON marking TO witnessmark_app;
