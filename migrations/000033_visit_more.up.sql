-- A verifier may look at the decision log on their visit, and that is kept as everything else they look at.
ALTER TABLE visit_view DROP CONSTRAINT visit_view_what_check,
    ADD CONSTRAINT visit_view_what_check CHECK (what IN ('opened', 'list', 'attempt', 'file', 'portfolio', 'log'));

-- Portfolios may be asked for at once for everybody on a visit's list too: of a cohort, or of a visit.
ALTER TABLE portfolio_set ALTER COLUMN cohort_id DROP NOT NULL,
    ADD COLUMN visit_id uuid,
    ADD FOREIGN KEY (centre_id, visit_id) REFERENCES visit,
    ADD CONSTRAINT portfolio_set_of_check CHECK ((cohort_id IS NULL) <> (visit_id IS NULL));
CREATE INDEX portfolio_set_of_visit ON portfolio_set (centre_id, visit_id, requested_at) WHERE visit_id IS NOT NULL;
