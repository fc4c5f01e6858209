DROP TABLE brief_version, brief;
DROP FUNCTION published_stays();
