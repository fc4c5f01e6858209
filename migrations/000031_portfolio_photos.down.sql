DROP TRIGGER bare ON evidence;
DROP FUNCTION evidence_bare();
ALTER TABLE evidence DROP COLUMN bare_digest;
ALTER TABLE centre DROP COLUMN portfolio_photos;
