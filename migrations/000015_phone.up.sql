-- What a phone without signal has to say of what it captured. offset_ms is by how much the server's clock was ahead of the
-- phone's when the thing was sent, NULL where the phone did not say; clock_steady, that it was the same when it was captured.
ALTER TABLE entry
    ADD COLUMN offset_ms     bigint,
    ADD COLUMN clock_steady  boolean NOT NULL DEFAULT false,
    ADD COLUMN instrument_id uuid;
-- covers are the rectangles that a trainee laid over a photo, [x, y, width, height] in parts of the upright picture;
-- covered_digest names the copy without what they hide. card is what the server read of the code card in the picture.
ALTER TABLE evidence
    ADD COLUMN offset_ms      bigint,
    ADD COLUMN clock_steady   boolean NOT NULL DEFAULT false,
    ADD COLUMN covers         jsonb NOT NULL DEFAULT '[]',
    ADD COLUMN covered_digest bytea CHECK (length(covered_digest) = 32),
    ADD COLUMN withdrawn_at   timestamptz,
    ADD COLUMN card           text NOT NULL DEFAULT '' CHECK (card IN ('', 'read', 'other', 'not_read'));
GRANT UPDATE (covered_digest, withdrawn_at, card) ON evidence TO witnessmark_app;
-- site is the code of a private site, '' at the centre; householder says who told them. card is on the printed code card.
ALTER TABLE attempt
    ADD COLUMN site        text NOT NULL DEFAULT '',
    ADD COLUMN householder text NOT NULL DEFAULT '',
    ADD COLUMN card        uuid NOT NULL DEFAULT gen_random_uuid();
GRANT UPDATE (site, householder) ON attempt TO witnessmark_app;
