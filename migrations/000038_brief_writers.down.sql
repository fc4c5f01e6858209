CREATE OR REPLACE FUNCTION brief_comment_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE v brief_version;
BEGIN
    SELECT * INTO v FROM brief_version b WHERE b.centre_id = NEW.centre_id AND b.brief_id = NEW.brief_id AND b.version = NEW.version;
    IF v.state <> 'draft' THEN
        RAISE EXCEPTION 'a published version takes no comments' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_published';
    END IF;
    IF NEW.said_by IN (v.written_by, v.begun_by) THEN
        RAISE EXCEPTION 'a person comments on what they wrote' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_apart';
    END IF;
    RETURN NEW;
END $$;
DROP TRIGGER brief_writers ON brief_version;
DROP FUNCTION brief_writers();
ALTER TABLE brief_version DROP CONSTRAINT brief_version_no_writer;
ALTER TABLE brief_version DROP COLUMN writers;
