REVOKE DELETE ON brief FROM witnessmark_app;
DROP TABLE brief_check;
ALTER TABLE brief_version DROP CONSTRAINT brief_version_two_people, DROP COLUMN begun_by;
