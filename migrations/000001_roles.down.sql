-- The roles stay: other databases of the cluster may use them.
DROP FUNCTION append_only();
REVOKE USAGE ON SCHEMA public FROM witnessmark_app, witnessmark_lookup;
