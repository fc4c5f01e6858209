ALTER TABLE attempt DROP COLUMN site, DROP COLUMN householder, DROP COLUMN card;
ALTER TABLE evidence
    DROP COLUMN offset_ms, DROP COLUMN clock_steady, DROP COLUMN covers, DROP COLUMN covered_digest, DROP COLUMN withdrawn_at, DROP COLUMN card;
ALTER TABLE entry DROP COLUMN offset_ms, DROP COLUMN clock_steady, DROP COLUMN instrument_id;
