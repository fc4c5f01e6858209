DROP FUNCTION bytes_needed;
DROP POLICY lookup ON evidence;
REVOKE SELECT (digest, covered_digest, preview_digest, withdrawn_at) ON evidence FROM witnessmark_lookup;
REVOKE UPDATE (covers) ON evidence FROM witnessmark_app;
