DROP FUNCTION lookup_centres();
DROP POLICY lookup ON centre;
REVOKE SELECT (centre_id) ON centre FROM witnessmark_lookup;
DROP TABLE log_cosignature, log_checkpoint, log_key, log_secret, log_hash, log_entry;
