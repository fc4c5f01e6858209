-- Two roles of the whole cluster. witnessmark_app is what the program connects as: it owns nothing and row-level security
-- holds it. witnessmark_lookup owns the four functions that read before a centre is known, and nobody signs in as it.
-- Another database of the cluster may create them at the same moment, hence the handlers.
DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'witnessmark_app') THEN
        CREATE ROLE witnessmark_app LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
    END IF;
EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
END $$;

DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'witnessmark_lookup') THEN
        CREATE ROLE witnessmark_lookup NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
    END IF;
EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
END $$;

-- An owner that is no superuser must be a member to hand a function over. Where it may not grant that to itself it may be
-- a member already; if not, handing over fails with the server's own words.
DO $$
BEGIN
    IF NOT (SELECT rolsuper FROM pg_roles WHERE rolname = current_user) THEN
        EXECUTE format('GRANT witnessmark_lookup TO %I', current_user);
    END IF;
EXCEPTION WHEN insufficient_privilege OR unique_violation THEN NULL;
END $$;

-- Before PostgreSQL 15 everybody could create things in this schema.
REVOKE CREATE ON SCHEMA public FROM PUBLIC;
GRANT USAGE ON SCHEMA public TO witnessmark_app, witnessmark_lookup;

-- The trigger of tables whose rows are only ever added.
CREATE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are only ever added: % refused', TG_TABLE_NAME, TG_OP USING ERRCODE = 'restrict_violation';
END $$;
