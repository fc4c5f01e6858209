CREATE TABLE person (
    centre_id     bigint NOT NULL REFERENCES centre,
    person_id     uuid NOT NULL,
    name          text NOT NULL,
    -- People sign in without naming their centre, so this is unique among all of them.
    sign_in_name  text NOT NULL CONSTRAINT person_sign_in_name_key UNIQUE CHECK (sign_in_name = lower(sign_in_name) AND sign_in_name <> ''),
    email         text NOT NULL DEFAULT '',
    password_hash text NOT NULL DEFAULT '',
    failed_count  int NOT NULL DEFAULT 0,
    failed_at     timestamptz,
    disabled_at   timestamptz,
    created_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, person_id)
);
ALTER TABLE person ENABLE ROW LEVEL SECURITY;
ALTER TABLE person FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON person
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON person TO witnessmark_app;

CREATE TABLE person_role (
    centre_id bigint NOT NULL,
    person_id uuid NOT NULL,
    role      text NOT NULL CHECK (role IN
        ('trainee', 'tutor', 'internal_quality_assurer', 'centre_manager', 'external_verifier', 'technician')),
    PRIMARY KEY (centre_id, person_id, role),
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
ALTER TABLE person_role ENABLE ROW LEVEL SECURITY;
ALTER TABLE person_role FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON person_role
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, DELETE ON person_role TO witnessmark_app;

-- An occupational registration or approval; both dates are included.
CREATE TABLE registration (
    centre_id  bigint NOT NULL,
    person_id  uuid NOT NULL,
    kind       text NOT NULL CHECK (kind IN ('gas', 'electrical', 'unvented')),
    number     text NOT NULL,
    valid_from date NOT NULL,
    valid_to   date NOT NULL CHECK (valid_to >= valid_from),
    CONSTRAINT registration_number_key PRIMARY KEY (centre_id, person_id, kind, number),
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
ALTER TABLE registration ENABLE ROW LEVEL SECURITY;
ALTER TABLE registration FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON registration
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, DELETE ON registration TO witnessmark_app;
