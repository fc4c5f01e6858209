-- What a trainee handed over: a list, made on the phone, of ids and digests. made_at is by the phone's clock; offset_ms and
-- clock_steady say how far that can be trusted, as they do for an entry.
CREATE TABLE seal (
    centre_id    bigint NOT NULL,
    attempt_id   uuid NOT NULL,
    seal_id      uuid NOT NULL,
    made_at      timestamptz NOT NULL,
    offset_ms    bigint,
    clock_steady boolean NOT NULL,
    received_at  timestamptz NOT NULL,
    PRIMARY KEY (centre_id, attempt_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON seal FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE seal ENABLE ROW LEVEL SECURITY;
ALTER TABLE seal FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON seal
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON seal TO witnessmark_app;

-- One thing on such a list. Its bytes may not have come yet, so listed_id refers to nothing.
CREATE TABLE seal_item (
    centre_id  bigint NOT NULL,
    attempt_id uuid NOT NULL,
    listed_id  uuid NOT NULL,
    kind       text NOT NULL CHECK (kind IN ('entry', 'file')),
    digest     bytea NOT NULL CHECK (length(digest) = 32),
    PRIMARY KEY (centre_id, attempt_id, listed_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES seal
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON seal_item FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE seal_item ENABLE ROW LEVEL SECURITY;
ALTER TABLE seal_item FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON seal_item
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON seal_item TO witnessmark_app;

-- The one-use code with which the hold point before a stage of an attempt may be released without signal on one day (of
-- London). proof is what a phone checks it with, PBKDF2 of the code; NULL until a trainee's page asked for it.
CREATE TABLE hold_code (
    centre_id  bigint NOT NULL,
    attempt_id uuid NOT NULL,
    stage      text NOT NULL,
    day        date NOT NULL,
    code       text NOT NULL CHECK (code ~ '^[0-9]{12}$'),
    salt       bytea NOT NULL CHECK (length(salt) = 16),
    proof      bytea CHECK (length(proof) = 32),
    PRIMARY KEY (centre_id, attempt_id, stage, day),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
ALTER TABLE hold_code ENABLE ROW LEVEL SECURITY;
ALTER TABLE hold_code FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON hold_code
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (proof) ON hold_code TO witnessmark_app;

-- What the two phones tell, in whichever order, of a release on the spot: the trainee's the code with what it was given for,
-- the releaser's that they gave it. state and why are the only things that change.
CREATE TABLE spot_claim (
    centre_id    bigint NOT NULL,
    claim_id     uuid NOT NULL,
    attempt_id   uuid NOT NULL,
    stage        text NOT NULL,
    day          date NOT NULL,
    at           timestamptz NOT NULL,
    offset_ms    bigint,
    clock_steady boolean NOT NULL,
    received_at  timestamptz NOT NULL,
    items        jsonb NOT NULL,
    mac          bytea NOT NULL,
    by_id        uuid NOT NULL,
    state        text NOT NULL CONSTRAINT spot_claim_state_check CHECK (state IN ('waiting', 'confirmed', 'refused')),
    refusal      text NOT NULL DEFAULT '',
    why          text NOT NULL DEFAULT '',
    PRIMARY KEY (centre_id, claim_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX spot_claim_attempt ON spot_claim (centre_id, attempt_id, received_at);
CREATE INDEX spot_claim_mac ON spot_claim (centre_id, mac);
ALTER TABLE spot_claim ENABLE ROW LEVEL SECURITY;
ALTER TABLE spot_claim FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON spot_claim
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (state, refusal, why) ON spot_claim TO witnessmark_app;

CREATE TABLE spot_release (
    centre_id       bigint NOT NULL,
    release_id      uuid NOT NULL,
    attempt_id      uuid NOT NULL,
    stage           text NOT NULL,
    day             date NOT NULL,
    at              timestamptz NOT NULL,
    offset_ms       bigint,
    clock_steady    boolean NOT NULL,
    received_at     timestamptz NOT NULL,
    evidence_number text NOT NULL CHECK (evidence_number ~ '^[0-9]{6}$'),
    words           text NOT NULL,
    by_id           uuid NOT NULL,
    by_name         text NOT NULL,
    state           text NOT NULL CONSTRAINT spot_release_state_check CHECK (state IN ('waiting', 'confirmed', 'refused')),
    refusal         text NOT NULL DEFAULT '',
    why             text NOT NULL DEFAULT '',
    PRIMARY KEY (centre_id, release_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX spot_release_attempt ON spot_release (centre_id, attempt_id, received_at);
ALTER TABLE spot_release ENABLE ROW LEVEL SECURITY;
ALTER TABLE spot_release FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON spot_release
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (state, refusal, why) ON spot_release TO witnessmark_app;

-- The order of evidence and release follows from the clocks, which are kept.
ALTER TABLE evidence DROP COLUMN before_release;
