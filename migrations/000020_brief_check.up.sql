-- A second person checks a draft and publishes it: neither who began it nor who changed it last. What they say to one
-- another stands beside the text it was said of, by its digest, so that it lapses when the text changes.
ALTER TABLE brief_version ADD COLUMN begun_by uuid; -- NULL in versions from before this was kept
ALTER TABLE brief_version ADD FOREIGN KEY (centre_id, begun_by) REFERENCES person;
-- Versions that were published before this held stay as they are.
ALTER TABLE brief_version ADD CONSTRAINT brief_version_two_people CHECK (published_by <> written_by AND published_by <> begun_by) NOT VALID;

CREATE TABLE brief_check (
    centre_id bigint NOT NULL,
    check_id  uuid NOT NULL,
    brief_id  uuid NOT NULL,
    version   int NOT NULL,
    digest    text NOT NULL CHECK (digest ~ '^[0-9a-f]{64}$'),
    kind      text NOT NULL CHECK (kind IN ('asked', 'sent_back')),
    words     text NOT NULL CHECK (length(words) <= 2000),
    said_by   uuid NOT NULL,
    said_at   timestamptz NOT NULL,
    PRIMARY KEY (centre_id, check_id),
    FOREIGN KEY (centre_id, brief_id, version) REFERENCES brief_version ON DELETE CASCADE, -- a draft that is thrown away
    FOREIGN KEY (centre_id, said_by) REFERENCES person
);
CREATE INDEX brief_check_of ON brief_check (centre_id, brief_id, version, said_at);
ALTER TABLE brief_check ENABLE ROW LEVEL SECURITY;
ALTER TABLE brief_check FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON brief_check
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON brief_check TO witnessmark_app;
-- A brief whose only draft is thrown away goes with it, so that its key is free again.
GRANT DELETE ON brief TO witnessmark_app;
