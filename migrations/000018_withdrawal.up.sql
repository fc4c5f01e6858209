-- Covers may be added to a photo later, and what was made before from its bytes is then made anew.
GRANT UPDATE (covers) ON evidence TO witnessmark_app;

-- The bytes of a withdrawn original are taken away once no evidence of any centre needs them: bytes are kept once, whoever
-- sent them. Like the functions of the lookup this one sees what it looks up and nothing else, and it tells yes or no.
GRANT SELECT (digest, covered_digest, preview_digest, withdrawn_at) ON evidence TO witnessmark_lookup;
CREATE POLICY lookup ON evidence FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE FUNCTION bytes_needed(wanted bytea) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT EXISTS (SELECT FROM public.evidence v
                   WHERE v.digest = wanted AND v.withdrawn_at IS NULL OR v.covered_digest = wanted OR v.preview_digest = wanted)
$$;
REVOKE EXECUTE ON FUNCTION bytes_needed FROM PUBLIC;
GRANT EXECUTE ON FUNCTION bytes_needed TO witnessmark_app;
GRANT CREATE ON SCHEMA public TO witnessmark_lookup;
ALTER FUNCTION bytes_needed OWNER TO witnessmark_lookup;
REVOKE CREATE ON SCHEMA public FROM witnessmark_lookup;
