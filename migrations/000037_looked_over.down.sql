CREATE OR REPLACE FUNCTION bytes_needed(wanted bytea) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT EXISTS (SELECT FROM public.evidence v
                   WHERE v.digest = wanted AND v.withdrawn_at IS NULL OR v.covered_digest = wanted OR v.preview_digest = wanted)
        OR EXISTS (SELECT FROM public.prior_file f WHERE f.digest = wanted)
$$;
DROP POLICY lookup ON portfolio;
REVOKE SELECT (digest) ON portfolio FROM witnessmark_lookup;
ALTER TABLE upload DROP COLUMN looked_over;
ALTER TABLE evidence DROP COLUMN private, DROP COLUMN looked_over, DROP COLUMN undrawn_at;
