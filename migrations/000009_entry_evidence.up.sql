-- What a trainee typed. Of the same item, part and phase the latest counts; seq says which that is.
CREATE TABLE entry (
    centre_id   bigint NOT NULL,
    entry_id    uuid NOT NULL,
    attempt_id  uuid NOT NULL,
    item        text NOT NULL,
    part        text NOT NULL,
    phase       text NOT NULL,
    text        text NOT NULL,
    unit        text NOT NULL,
    working     text NOT NULL,
    note        text NOT NULL,
    captured_at timestamptz,
    received_at timestamptz NOT NULL,
    by_id       uuid NOT NULL,
    seq         bigint GENERATED ALWAYS AS IDENTITY,
    PRIMARY KEY (centre_id, entry_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX entry_attempt ON entry (centre_id, attempt_id, seq);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON entry FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE entry ENABLE ROW LEVEL SECURITY;
ALTER TABLE entry FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON entry
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON entry TO witnessmark_app;

-- A file; its bytes lie elsewhere under their digest. Only what is made from the bytes may be filled in later.
CREATE TABLE evidence (
    centre_id      bigint NOT NULL,
    evidence_id    uuid NOT NULL,
    attempt_id     uuid NOT NULL,
    item           text NOT NULL,
    digest         bytea NOT NULL CHECK (length(digest) = 32),
    size           bigint NOT NULL CHECK (size > 0),
    media_type     text NOT NULL,
    width          int NOT NULL,
    height         int NOT NULL,
    orientation    int NOT NULL,
    name           text NOT NULL,
    caption        text NOT NULL,
    taken_at       timestamptz,
    taken_zoned    boolean NOT NULL,
    device_at      timestamptz,
    received_at    timestamptz NOT NULL,
    before_release boolean NOT NULL,
    by_id          uuid NOT NULL,
    preview_digest bytea CHECK (length(preview_digest) = 32),
    phash          bigint,
    dhash          bigint,
    PRIMARY KEY (centre_id, evidence_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX evidence_attempt ON evidence (centre_id, attempt_id, received_at);
CREATE INDEX evidence_digest ON evidence (centre_id, digest);
ALTER TABLE evidence ENABLE ROW LEVEL SECURITY;
ALTER TABLE evidence FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON evidence
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (preview_digest, phash, dhash) ON evidence TO witnessmark_app;
