ALTER TABLE claim_item DROP COLUMN prior;
