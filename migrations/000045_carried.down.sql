DROP TRIGGER record_carried ON record;
DROP FUNCTION record_carried;
