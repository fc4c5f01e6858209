DROP TRIGGER conflicts_apart ON record;
DROP FUNCTION conflicts_apart();
DROP TABLE conflict, award_registration;
REVOKE UPDATE (valid_to) ON registration FROM witnessmark_app;
ALTER TABLE registration NO FORCE ROW LEVEL SECURITY;
DELETE FROM registration WHERE kind IN ('assessor', 'quality_assurer');
ALTER TABLE registration FORCE ROW LEVEL SECURITY;
ALTER TABLE registration DROP CONSTRAINT registration_kind_check;
ALTER TABLE registration ADD CONSTRAINT registration_kind_check CHECK (kind IN ('gas', 'electrical', 'unvented'));

CREATE TABLE learning_outcome (
    centre_id bigint NOT NULL,
    unit_code text NOT NULL,
    code      text NOT NULL,
    title     text NOT NULL,
    position  int NOT NULL,
    PRIMARY KEY (centre_id, unit_code, code),
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit
);
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
-- Of each unit the edition that came last goes back to where it was.
ALTER TABLE unit_edition NO FORCE ROW LEVEL SECURITY;
INSERT INTO learning_outcome
SELECT e.centre_id, e.unit_code, o.value ->> 'code', o.value ->> 'title', o.ordinality
FROM (SELECT DISTINCT ON (centre_id, unit_code) * FROM unit_edition ORDER BY centre_id, unit_code, valid_from DESC) e,
    jsonb_array_elements(e.outcomes) WITH ORDINALITY o;
INSERT INTO criterion
SELECT e.centre_id, e.unit_code, k.value ->> 'code', o.value ->> 'code', k.value ->> 'text', o.ordinality * 1000 + k.ordinality
FROM (SELECT DISTINCT ON (centre_id, unit_code) * FROM unit_edition ORDER BY centre_id, unit_code, valid_from DESC) e,
    jsonb_array_elements(e.outcomes) WITH ORDINALITY o, jsonb_array_elements(o.value -> 'criteria') WITH ORDINALITY k;
DROP TABLE unit_edition;
ALTER TABLE learning_outcome ENABLE ROW LEVEL SECURITY;
ALTER TABLE learning_outcome FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON learning_outcome
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON learning_outcome TO witnessmark_app;
ALTER TABLE criterion ENABLE ROW LEVEL SECURITY;
ALTER TABLE criterion FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON criterion
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON criterion TO witnessmark_app;
