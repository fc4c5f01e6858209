-- The centre's own limits, values and tables. An edition holds one text with the days on which it is in force; once
-- checked, by another person than who entered it, it stays as it is, since attempts name the edition they were marked with.
CREATE TABLE rule_set (
    centre_id  bigint NOT NULL REFERENCES centre,
    key        text NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, key)
);
ALTER TABLE rule_set ENABLE ROW LEVEL SECURITY;
ALTER TABLE rule_set FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON rule_set
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
-- UPDATE lets a row be locked.
GRANT SELECT, INSERT, UPDATE ON rule_set TO witnessmark_app;

CREATE TABLE rule_edition (
    centre_id     bigint NOT NULL,
    edition_id    uuid NOT NULL,
    key           text NOT NULL,
    edition       text NOT NULL,
    title         text NOT NULL,
    source        text NOT NULL,
    digest        text NOT NULL CHECK (digest ~ '^[0-9a-f]{64}$'),
    valid_from    date NOT NULL,
    valid_to      date CHECK (valid_to >= valid_from), -- as the text has it, included; NULL where it names no last day
    demonstration boolean NOT NULL,
    entered_by    uuid NOT NULL,
    entered_at    timestamptz NOT NULL,
    checked_by    uuid CONSTRAINT rule_edition_two_people CHECK (checked_by <> entered_by),
    checked_at    timestamptz,
    PRIMARY KEY (centre_id, edition_id),
    CONSTRAINT rule_edition_edition_key UNIQUE (centre_id, key, edition),
    FOREIGN KEY (centre_id, key) REFERENCES rule_set,
    FOREIGN KEY (centre_id, entered_by) REFERENCES person,
    FOREIGN KEY (centre_id, checked_by) REFERENCES person,
    CHECK ((checked_by IS NULL) = (checked_at IS NULL))
);
CREATE FUNCTION checked_stays() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF TG_OP = 'TRUNCATE' THEN
        RAISE EXCEPTION 'checked editions of rule sets stay: TRUNCATE refused' USING ERRCODE = 'restrict_violation';
    END IF;
    IF OLD.checked_by IS NOT NULL THEN
        RAISE EXCEPTION 'edition % of the rule set % is checked and stays: % refused', OLD.edition, OLD.key, TG_OP USING ERRCODE = 'restrict_violation';
    END IF;
    IF TG_OP = 'DELETE' THEN
        RETURN OLD;
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER checked_stays BEFORE UPDATE OR DELETE ON rule_edition FOR EACH ROW EXECUTE FUNCTION checked_stays();
CREATE TRIGGER checked_stays_whole BEFORE TRUNCATE ON rule_edition FOR EACH STATEMENT EXECUTE FUNCTION checked_stays();
ALTER TABLE rule_edition ENABLE ROW LEVEL SECURITY;
ALTER TABLE rule_edition FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON rule_edition
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE ON rule_edition TO witnessmark_app;

-- An edition's end comes with the one that follows it, often long after it was checked, and may come more than once: when
-- the following one is checked, a row is added here that takes the earlier one out of force from that one's first day. The
-- earliest last day counts. The text of the earlier one stays as it was checked.
CREATE TABLE rule_end (
    centre_id   bigint NOT NULL,
    edition_id  uuid NOT NULL,
    followed_by uuid NOT NULL,
    last_day    date NOT NULL, -- before the edition's own first day where it never came into force
    ended_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, edition_id, followed_by),
    FOREIGN KEY (centre_id, edition_id) REFERENCES rule_edition,
    FOREIGN KEY (centre_id, followed_by) REFERENCES rule_edition
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON rule_end FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE rule_end ENABLE ROW LEVEL SECURITY;
ALTER TABLE rule_end FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON rule_end
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON rule_end TO witnessmark_app;

-- The rules that a version's text names, each as set/rule.
ALTER TABLE brief_version ADD COLUMN rules text[] NOT NULL DEFAULT '{}';
