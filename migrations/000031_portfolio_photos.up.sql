-- How photos stand in a centre's portfolios: as previews, as they were uploaded but for what the camera wrote beside the picture (such
-- as the place), or with that too.
ALTER TABLE centre ADD COLUMN portfolio_photos text NOT NULL DEFAULT 'previews'
    CHECK (portfolio_photos IN ('previews', 'uploaded', 'uploaded_with_place'));
GRANT UPDATE (portfolio_photos) ON centre TO witnessmark_app;

-- The digest of a JPEG without what the camera wrote beside the picture, which a portfolio shows in its place; NULL until one does.
ALTER TABLE evidence ADD COLUMN bare_digest bytea CHECK (octet_length(bare_digest) = 32);
GRANT UPDATE (bare_digest) ON evidence TO witnessmark_app;

-- It belongs to the bytes of its row, so that it is erased with their digest.
CREATE FUNCTION evidence_bare() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.bare_digest := NULL;
    RETURN NEW;
END $$;
CREATE TRIGGER bare BEFORE UPDATE OF digest ON evidence FOR EACH ROW WHEN (NEW.digest IS DISTINCT FROM OLD.digest) EXECUTE FUNCTION evidence_bare();
