-- A file that comes in parts, as it was announced. How much of it is here is the length of its part file; whether it was
-- received is whether its evidence is there. Rows live a week: whoever asks again after that announces the file again.
CREATE TABLE upload (
    centre_id    bigint NOT NULL,
    upload_id    uuid NOT NULL,
    evidence_id  uuid NOT NULL,
    attempt_id   uuid NOT NULL,
    item         text NOT NULL,
    name         text NOT NULL,
    caption      text NOT NULL,
    size         bigint NOT NULL CHECK (size > 0),
    digest       bytea NOT NULL CHECK (length(digest) = 32),
    device_at    timestamptz,
    offset_ms    bigint,
    clock_steady boolean NOT NULL,
    covers       jsonb NOT NULL,
    started_at   timestamptz NOT NULL,
    by_id        uuid NOT NULL,
    PRIMARY KEY (centre_id, upload_id),
    CONSTRAINT upload_evidence_key UNIQUE (centre_id, evidence_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX upload_by ON upload (centre_id, by_id);
ALTER TABLE upload ENABLE ROW LEVEL SECURITY;
ALTER TABLE upload FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON upload
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, DELETE ON upload TO witnessmark_app;

-- The sweep belongs to no centre, so it asks which have something to sweep, as the functions of the lookup do.
GRANT SELECT (centre_id, started_at) ON upload TO witnessmark_lookup;
CREATE POLICY lookup ON upload FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE FUNCTION lookup_old_uploads(before timestamptz) RETURNS TABLE (centre_id bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT DISTINCT u.centre_id FROM public.upload u WHERE u.started_at < before
$$;
REVOKE EXECUTE ON FUNCTION lookup_old_uploads FROM PUBLIC;
GRANT EXECUTE ON FUNCTION lookup_old_uploads TO witnessmark_app;
GRANT CREATE ON SCHEMA public TO witnessmark_lookup;
ALTER FUNCTION lookup_old_uploads OWNER TO witnessmark_lookup;
REVOKE CREATE ON SCHEMA public FROM witnessmark_lookup;
