CREATE TABLE brief (
    centre_id  bigint NOT NULL REFERENCES centre,
    brief_id   uuid NOT NULL,
    key        text NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, brief_id),
    CONSTRAINT brief_key_key UNIQUE (centre_id, key)
);
ALTER TABLE brief ENABLE ROW LEVEL SECURITY;
ALTER TABLE brief FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON brief
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON brief TO witnessmark_app;

CREATE TABLE brief_version (
    centre_id    bigint NOT NULL,
    brief_id     uuid NOT NULL,
    version      int NOT NULL CHECK (version > 0),
    source       text NOT NULL,
    title        text NOT NULL,
    digest       text NOT NULL CHECK (digest ~ '^[0-9a-f]{64}$'),
    units        text[] NOT NULL,
    state        text NOT NULL CHECK (state IN ('draft', 'published')),
    written_by   uuid NOT NULL,
    written_at   timestamptz NOT NULL,
    published_by uuid,
    published_at timestamptz,
    PRIMARY KEY (centre_id, brief_id, version),
    FOREIGN KEY (centre_id, brief_id) REFERENCES brief,
    FOREIGN KEY (centre_id, written_by) REFERENCES person,
    FOREIGN KEY (centre_id, published_by) REFERENCES person,
    CHECK ((state = 'published') = (published_by IS NOT NULL AND published_at IS NOT NULL))
);
CREATE UNIQUE INDEX brief_version_one_draft ON brief_version (centre_id, brief_id) WHERE state = 'draft';

-- Attempts hold the version they were set with, so a published version stays as it is, whoever asks.
CREATE FUNCTION published_stays() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF TG_OP = 'TRUNCATE' THEN
        RAISE EXCEPTION 'published brief versions stay: TRUNCATE refused' USING ERRCODE = 'restrict_violation';
    END IF;
    IF OLD.state = 'published' THEN
        RAISE EXCEPTION 'version % of a brief is published and stays: % refused', OLD.version, TG_OP USING ERRCODE = 'restrict_violation';
    END IF;
    IF TG_OP = 'DELETE' THEN
        RETURN OLD;
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER published_stays BEFORE UPDATE OR DELETE ON brief_version FOR EACH ROW EXECUTE FUNCTION published_stays();
CREATE TRIGGER published_stays_whole BEFORE TRUNCATE ON brief_version FOR EACH STATEMENT EXECUTE FUNCTION published_stays();
ALTER TABLE brief_version ENABLE ROW LEVEL SECURITY;
ALTER TABLE brief_version FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON brief_version
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE, DELETE ON brief_version TO witnessmark_app;
