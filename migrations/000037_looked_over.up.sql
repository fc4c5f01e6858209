-- Whether a photo was taken on a private site, and whether somebody looked at it for what has to be covered: nothing of one that was
-- and of which nobody did leaves the centre. Of photos that came before this nobody knows it, save where something was covered.
ALTER TABLE evidence ADD COLUMN private boolean NOT NULL DEFAULT false,
    ADD COLUMN looked_over boolean NOT NULL DEFAULT false,
    -- When drawing a photo was last tried in vain, so that not every portfolio tries again.
    ADD COLUMN undrawn_at timestamptz;
UPDATE evidence SET looked_over = true WHERE covers <> '[]';
-- What was carried over to another attempt has the same bytes.
UPDATE evidence v SET private = true WHERE EXISTS (
    SELECT FROM evidence o JOIN attempt a ON a.centre_id = o.centre_id AND a.attempt_id = o.attempt_id
    WHERE o.centre_id = v.centre_id AND o.digest = v.digest AND a.site <> '');
GRANT UPDATE (looked_over, undrawn_at) ON evidence TO witnessmark_app;
ALTER TABLE upload ADD COLUMN looked_over boolean NOT NULL DEFAULT false;

-- A portfolio's bytes are needed too: the same bytes may have come in as evidence and be withdrawn there.
GRANT SELECT (digest) ON portfolio TO witnessmark_lookup;
CREATE POLICY lookup ON portfolio FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE OR REPLACE FUNCTION bytes_needed(wanted bytea) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT EXISTS (SELECT FROM public.evidence v
                   WHERE v.digest = wanted AND v.withdrawn_at IS NULL OR v.covered_digest = wanted OR v.preview_digest = wanted)
        OR EXISTS (SELECT FROM public.prior_file f WHERE f.digest = wanted)
        OR EXISTS (SELECT FROM public.portfolio f WHERE f.digest = wanted)
$$;
