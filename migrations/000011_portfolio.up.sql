-- One PDF of one trainee for one qualification unit, asked for or built.
CREATE TABLE portfolio (
    centre_id    bigint NOT NULL,
    portfolio_id uuid NOT NULL,
    trainee_id   uuid NOT NULL,
    unit_code    text NOT NULL,
    requested_by uuid NOT NULL,
    requested_at timestamptz NOT NULL,
    state        text NOT NULL CHECK (state IN ('waiting', 'building', 'ready', 'failed')),
    note         text NOT NULL DEFAULT '',
    digest       bytea CHECK (length(digest) = 32),
    size         bigint NOT NULL DEFAULT 0,
    built_at     timestamptz,
    PRIMARY KEY (centre_id, portfolio_id),
    FOREIGN KEY (centre_id, trainee_id) REFERENCES person,
    FOREIGN KEY (centre_id, requested_by) REFERENCES person,
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    CHECK (state <> 'ready' OR (digest IS NOT NULL AND built_at IS NOT NULL))
);
CREATE INDEX portfolio_trainee ON portfolio (centre_id, trainee_id, requested_at);
ALTER TABLE portfolio ENABLE ROW LEVEL SECURITY;
ALTER TABLE portfolio FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON portfolio
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (state, note, digest, size, built_at) ON portfolio TO witnessmark_app;
