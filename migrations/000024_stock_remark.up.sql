-- A tutor's own remarks, which a key puts in while marking: a row for each tutor, the remarks in their order.
CREATE TABLE stock_remark (
    centre_id bigint NOT NULL,
    person_id uuid NOT NULL,
    remarks   text[] NOT NULL,
    PRIMARY KEY (centre_id, person_id),
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
ALTER TABLE stock_remark ENABLE ROW LEVEL SECURITY;
ALTER TABLE stock_remark FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON stock_remark
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (remarks) ON stock_remark TO witnessmark_app;
