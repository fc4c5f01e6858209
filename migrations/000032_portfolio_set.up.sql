-- The portfolios of a whole cohort for one qualification unit, asked for at once. How far they have come is counted from the
-- portfolios themselves, so that it is true after a restart too.
CREATE TABLE portfolio_set (
    centre_id    bigint NOT NULL,
    set_id       uuid NOT NULL,
    cohort_id    uuid NOT NULL,
    unit_code    text NOT NULL,
    requested_by uuid NOT NULL,
    requested_at timestamptz NOT NULL,
    stopped_by   uuid,
    stopped_at   timestamptz,
    PRIMARY KEY (centre_id, set_id),
    FOREIGN KEY (centre_id, cohort_id) REFERENCES cohort,
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    FOREIGN KEY (centre_id, requested_by) REFERENCES person,
    FOREIGN KEY (centre_id, stopped_by) REFERENCES person,
    CHECK ((stopped_by IS NULL) = (stopped_at IS NULL))
);
CREATE INDEX portfolio_set_newest ON portfolio_set (centre_id, requested_at);
ALTER TABLE portfolio_set ENABLE ROW LEVEL SECURITY;
ALTER TABLE portfolio_set FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON portfolio_set
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (stopped_by, stopped_at) ON portfolio_set TO witnessmark_app;

-- NULL where it was asked for by itself. One that was stopped before it was ready is never built.
ALTER TABLE portfolio ADD COLUMN set_id uuid, ADD FOREIGN KEY (centre_id, set_id) REFERENCES portfolio_set;
CREATE INDEX portfolio_of_set ON portfolio (centre_id, set_id) WHERE set_id IS NOT NULL;
ALTER TABLE portfolio DROP CONSTRAINT portfolio_state_check, ADD CONSTRAINT portfolio_state_check CHECK (state IN ('waiting', 'building', 'ready', 'failed', 'stopped'));
