-- Everybody who ever changed a version: whoever checks it is none of them, those in the middle included. NULL in versions from before
-- this was kept, of which the first and the last writer are known.
ALTER TABLE brief_version ADD COLUMN writers uuid[];
ALTER TABLE brief_version ADD CONSTRAINT brief_version_no_writer CHECK (published_by <> ALL (writers));
-- The list is the database's own: what a statement says of it counts for nothing.
CREATE FUNCTION brief_writers() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    known uuid[] := '{}';
BEGIN
    IF TG_OP = 'UPDATE' THEN
        known := coalesce(OLD.writers, ARRAY[OLD.begun_by, OLD.written_by]);
    END IF;
    NEW.writers := ARRAY(SELECT DISTINCT w FROM unnest(known || NEW.begun_by || NEW.written_by) w WHERE w IS NOT NULL ORDER BY w);
    RETURN NEW;
END $$;
CREATE TRIGGER brief_writers BEFORE INSERT OR UPDATE ON brief_version FOR EACH ROW EXECUTE FUNCTION brief_writers();
CREATE OR REPLACE FUNCTION brief_comment_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE v brief_version;
BEGIN
    SELECT * INTO v FROM brief_version b WHERE b.centre_id = NEW.centre_id AND b.brief_id = NEW.brief_id AND b.version = NEW.version;
    IF v.state <> 'draft' THEN
        RAISE EXCEPTION 'a published version takes no comments' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_published';
    END IF;
    IF NEW.said_by IN (v.written_by, v.begun_by) OR NEW.said_by = ANY (v.writers) THEN
        RAISE EXCEPTION 'a person comments on what they wrote' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_apart';
    END IF;
    RETURN NEW;
END $$;
