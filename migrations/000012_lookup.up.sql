-- Before a centre is known four functions may read, and each gives ids alone. Their owner sees what they look up and
-- nothing else: the columns granted here, and rows only while it is itself the acting role, so that a member of it (the
-- owner of the tables) gains nothing.
GRANT SELECT (centre_id, person_id, sign_in_name) ON person TO witnessmark_lookup;
GRANT SELECT (centre_id, person_id, digest, expires_at) ON session TO witnessmark_lookup;
GRANT SELECT (centre_id, link_id, digest) ON link TO witnessmark_lookup;
CREATE POLICY lookup ON person FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE POLICY lookup ON session FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE POLICY lookup ON link FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');

-- The job queue's tables are brought by River into this schema, after this file.
CREATE SCHEMA IF NOT EXISTS river;
GRANT USAGE ON SCHEMA river TO witnessmark_app, witnessmark_lookup;

CREATE FUNCTION lookup_sign_in(wanted text) RETURNS TABLE (centre_id bigint, person_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT p.centre_id, p.person_id FROM public.person p WHERE p.sign_in_name = wanted
$$;

CREATE FUNCTION lookup_session(token_digest bytea) RETURNS TABLE (centre_id bigint, person_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT s.centre_id, s.person_id FROM public.session s WHERE s.digest = token_digest AND s.expires_at > now()
$$;

CREATE FUNCTION lookup_link(token_digest bytea) RETURNS TABLE (centre_id bigint, link_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT l.centre_id, l.link_id FROM public.link l WHERE l.digest = token_digest
$$;

-- Bound when it runs, because the queue's table comes later.
CREATE FUNCTION lookup_job(job bigint) RETURNS TABLE (centre_id bigint)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RETURN QUERY SELECT (j.args ->> 'centre')::bigint FROM river.river_job j WHERE j.id = job;
END $$;

REVOKE EXECUTE ON FUNCTION lookup_sign_in, lookup_session, lookup_link, lookup_job FROM PUBLIC;
GRANT EXECUTE ON FUNCTION lookup_sign_in, lookup_session, lookup_link, lookup_job TO witnessmark_app;

-- A new owner must be allowed to create in the schema at the moment of handing over.
GRANT CREATE ON SCHEMA public TO witnessmark_lookup;
ALTER FUNCTION lookup_sign_in OWNER TO witnessmark_lookup;
ALTER FUNCTION lookup_session OWNER TO witnessmark_lookup;
ALTER FUNCTION lookup_link OWNER TO witnessmark_lookup;
ALTER FUNCTION lookup_job OWNER TO witnessmark_lookup;
REVOKE CREATE ON SCHEMA public FROM witnessmark_lookup;
