-- Of a session or a link only the SHA-256 of its token is kept.
CREATE TABLE session (
    centre_id  bigint NOT NULL,
    digest     bytea NOT NULL CONSTRAINT session_digest_key UNIQUE CHECK (length(digest) = 32),
    person_id  uuid NOT NULL,
    data       bytea NOT NULL,
    expires_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, digest),
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
CREATE INDEX session_person ON session (centre_id, person_id);
CREATE INDEX session_expires ON session (centre_id, expires_at);
ALTER TABLE session ENABLE ROW LEVEL SECURITY;
ALTER TABLE session FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON session
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE, DELETE ON session TO witnessmark_app;

CREATE TABLE link (
    centre_id  bigint NOT NULL,
    link_id    uuid NOT NULL,
    digest     bytea NOT NULL CONSTRAINT link_digest_key UNIQUE CHECK (length(digest) = 32),
    purpose    text NOT NULL,
    person_id  uuid NOT NULL,
    expires_at timestamptz NOT NULL,
    used_at    timestamptz,
    PRIMARY KEY (centre_id, link_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
CREATE INDEX link_person ON link (centre_id, person_id);
ALTER TABLE link ENABLE ROW LEVEL SECURITY;
ALTER TABLE link FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON link
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (used_at) ON link TO witnessmark_app;
