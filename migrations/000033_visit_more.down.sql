ALTER TABLE portfolio NO FORCE ROW LEVEL SECURITY;
ALTER TABLE portfolio_set NO FORCE ROW LEVEL SECURITY;
UPDATE portfolio f SET set_id = NULL FROM portfolio_set g WHERE g.centre_id = f.centre_id AND g.set_id = f.set_id AND g.visit_id IS NOT NULL;
DELETE FROM portfolio_set WHERE visit_id IS NOT NULL;
ALTER TABLE portfolio_set FORCE ROW LEVEL SECURITY;
ALTER TABLE portfolio FORCE ROW LEVEL SECURITY;
DROP INDEX portfolio_set_of_visit;
ALTER TABLE portfolio_set DROP COLUMN visit_id, ALTER COLUMN cohort_id SET NOT NULL;

-- What was looked at is never taken away, so that the narrower rule holds for new rows alone.
ALTER TABLE visit_view DROP CONSTRAINT visit_view_what_check,
    ADD CONSTRAINT visit_view_what_check CHECK (what IN ('opened', 'list', 'attempt', 'file', 'portfolio')) NOT VALID;
