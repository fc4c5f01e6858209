-- A centre's decision log: an RFC 6962 tree of leaves. leaf is the exact bytes that are hashed. record_id says which record it
-- is of, NULL for what is none; subject_id what it is about: the attempt of a record.
CREATE TABLE log_entry (
    centre_id  bigint NOT NULL,
    idx        bigint NOT NULL CHECK (idx >= 0),
    leaf       bytea NOT NULL,
    kind       text NOT NULL,
    subject_id uuid NOT NULL,
    record_id  uuid,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, idx),
    CONSTRAINT log_entry_record_key UNIQUE (centre_id, record_id),
    FOREIGN KEY (centre_id) REFERENCES centre,
    FOREIGN KEY (centre_id, record_id) REFERENCES record
);
CREATE INDEX log_entry_subject ON log_entry (centre_id, subject_id, idx);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON log_entry FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE log_entry ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_entry FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_entry
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON log_entry TO witnessmark_app;

-- The tree's hashes, about two a leaf, under the numbers that golang.org/x/mod/sumdb/tlog gives them.
CREATE TABLE log_hash (
    centre_id bigint NOT NULL,
    i         bigint NOT NULL CHECK (i >= 0),
    h         bytea NOT NULL CHECK (octet_length(h) = 32),
    PRIMARY KEY (centre_id, i),
    FOREIGN KEY (centre_id) REFERENCES centre
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON log_hash FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE log_hash ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_hash FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_hash
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON log_hash TO witnessmark_app;

-- What opens the commitments of a leaf. A row may be deleted, and nothing else: erasing a person leaves the tree whole. value is
-- NULL where it is the record's canonical bytes, which stand there.
CREATE TABLE log_secret (
    centre_id bigint NOT NULL,
    idx       bigint NOT NULL,
    name      text NOT NULL,
    salt      bytea NOT NULL CHECK (octet_length(salt) = 32),
    value     bytea,
    PRIMARY KEY (centre_id, idx, name),
    FOREIGN KEY (centre_id, idx) REFERENCES log_entry
);
ALTER TABLE log_secret ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_secret FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_secret
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, DELETE ON log_secret TO witnessmark_app;

-- The public keys that a log was signed with. The private ones never come here. signs_until is NULL for the key in use, and
-- the end of the overlap for the one before; last_size is where another took over.
CREATE TABLE log_key (
    centre_id  bigint NOT NULL,
    key_id     text NOT NULL CHECK (key_id ~ '^[0-9a-f]{8}$'),
    vkey       text NOT NULL,
    from_size  bigint NOT NULL,
    last_size  bigint,
    signs_until timestamptz,
    made_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, key_id),
    FOREIGN KEY (centre_id) REFERENCES centre
);
ALTER TABLE log_key ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_key FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_key
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (last_size, signs_until) ON log_key TO witnessmark_app;

-- The states of the log that were signed: note is the checkpoint with its signatures.
CREATE TABLE log_checkpoint (
    centre_id  bigint NOT NULL,
    size       bigint NOT NULL CHECK (size > 0),
    root       bytea NOT NULL CHECK (octet_length(root) = 32),
    note       text NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, size),
    FOREIGN KEY (centre_id) REFERENCES centre
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON log_checkpoint FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE log_checkpoint ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_checkpoint FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_checkpoint
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON log_checkpoint TO witnessmark_app;

-- The signatures that witnesses put under them.
CREATE TABLE log_cosignature (
    centre_id bigint NOT NULL,
    size      bigint NOT NULL,
    name      text NOT NULL,
    vkey      text NOT NULL,
    line      text NOT NULL,
    at        timestamptz NOT NULL,
    PRIMARY KEY (centre_id, size, name),
    FOREIGN KEY (centre_id, size) REFERENCES log_checkpoint
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON log_cosignature FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE log_cosignature ENABLE ROW LEVEL SECURITY;
ALTER TABLE log_cosignature FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON log_cosignature
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON log_cosignature TO witnessmark_app;

-- Signing goes through all centres, so it must know which there are: ids alone.
GRANT SELECT (centre_id) ON centre TO witnessmark_lookup;
CREATE POLICY lookup ON centre FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE FUNCTION lookup_centres() RETURNS TABLE (centre_id bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT c.centre_id FROM public.centre c ORDER BY 1
$$;
REVOKE EXECUTE ON FUNCTION lookup_centres FROM PUBLIC;
GRANT EXECUTE ON FUNCTION lookup_centres TO witnessmark_app;
GRANT CREATE ON SCHEMA public TO witnessmark_lookup;
ALTER FUNCTION lookup_centres OWNER TO witnessmark_lookup;
REVOKE CREATE ON SCHEMA public FROM witnessmark_lookup;
