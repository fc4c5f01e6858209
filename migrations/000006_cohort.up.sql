CREATE TABLE cohort (
    centre_id  bigint NOT NULL REFERENCES centre,
    cohort_id  uuid NOT NULL,
    name       text NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, cohort_id),
    CONSTRAINT cohort_name_key UNIQUE (centre_id, name)
);
ALTER TABLE cohort ENABLE ROW LEVEL SECURITY;
ALTER TABLE cohort FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON cohort
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON cohort TO witnessmark_app;

CREATE TABLE cohort_member (
    centre_id bigint NOT NULL,
    cohort_id uuid NOT NULL,
    person_id uuid NOT NULL,
    part      text NOT NULL CHECK (part IN ('trainee', 'tutor')),
    PRIMARY KEY (centre_id, cohort_id, person_id, part),
    FOREIGN KEY (centre_id, cohort_id) REFERENCES cohort,
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
CREATE INDEX cohort_member_person ON cohort_member (centre_id, person_id, part);
ALTER TABLE cohort_member ENABLE ROW LEVEL SECURITY;
ALTER TABLE cohort_member FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON cohort_member
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, DELETE ON cohort_member TO witnessmark_app;
