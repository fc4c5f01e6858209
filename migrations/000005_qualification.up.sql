CREATE TABLE qualification_unit (
    centre_id bigint NOT NULL REFERENCES centre,
    unit_code text NOT NULL,
    title     text NOT NULL,
    edition   text NOT NULL,
    PRIMARY KEY (centre_id, unit_code)
);
ALTER TABLE qualification_unit ENABLE ROW LEVEL SECURITY;
ALTER TABLE qualification_unit FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON qualification_unit
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON qualification_unit TO witnessmark_app;

CREATE TABLE learning_outcome (
    centre_id bigint NOT NULL,
    unit_code text NOT NULL,
    code      text NOT NULL,
    title     text NOT NULL,
    position  int NOT NULL,
    PRIMARY KEY (centre_id, unit_code, code),
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit
);
ALTER TABLE learning_outcome ENABLE ROW LEVEL SECURITY;
ALTER TABLE learning_outcome FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON learning_outcome
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON learning_outcome TO witnessmark_app;

CREATE TABLE criterion (
    centre_id    bigint NOT NULL,
    unit_code    text NOT NULL,
    code         text NOT NULL,
    outcome_code text NOT NULL,
    text         text NOT NULL,
    position     int NOT NULL,
    PRIMARY KEY (centre_id, unit_code, code),
    FOREIGN KEY (centre_id, unit_code, outcome_code) REFERENCES learning_outcome
);
ALTER TABLE criterion ENABLE ROW LEVEL SECURITY;
ALTER TABLE criterion FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON criterion
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON criterion TO witnessmark_app;
