DROP FUNCTION lookup_old_uploads;
DROP TABLE upload;
