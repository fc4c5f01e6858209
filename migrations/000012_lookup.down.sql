DROP FUNCTION lookup_sign_in, lookup_session, lookup_link, lookup_job;
DROP SCHEMA IF EXISTS river CASCADE;
DROP POLICY lookup ON person;
DROP POLICY lookup ON session;
DROP POLICY lookup ON link;
REVOKE SELECT (centre_id, person_id, sign_in_name) ON person FROM witnessmark_lookup;
REVOKE SELECT (centre_id, person_id, digest, expires_at) ON session FROM witnessmark_lookup;
REVOKE SELECT (centre_id, link_id, digest) ON link FROM witnessmark_lookup;
