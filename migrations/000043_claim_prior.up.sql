-- The criteria that a claimed unit rests on by prior learning, which no attempt shows and nobody sampled; NULL in claims from before this
-- was kept.
ALTER TABLE claim_item ADD COLUMN prior text[];
