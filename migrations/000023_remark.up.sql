-- A published version of a brief that corrects an earlier one, and what the marker says under it of the attempts that were
-- handed over under the earlier one. Nothing of it counts before somebody lets it take effect.
CREATE TABLE remark (
    centre_id    bigint NOT NULL,
    remark_id    uuid NOT NULL,
    brief_id     uuid NOT NULL,
    from_version int NOT NULL,
    to_version   int NOT NULL CHECK (to_version > from_version),
    words        text NOT NULL,
    asked_by     uuid NOT NULL,
    asked_at     timestamptz NOT NULL,
    state        text NOT NULL CHECK (state IN ('marking', 'stopped', 'marked', 'taking', 'taken', 'dropped')),
    total        int NOT NULL,
    settled_by   uuid,
    settled_at   timestamptz,
    settled_role text NOT NULL DEFAULT '',
    PRIMARY KEY (centre_id, remark_id),
    FOREIGN KEY (centre_id, brief_id, from_version) REFERENCES brief_version,
    FOREIGN KEY (centre_id, brief_id, to_version) REFERENCES brief_version,
    FOREIGN KEY (centre_id, asked_by) REFERENCES person,
    FOREIGN KEY (centre_id, settled_by) REFERENCES person,
    CHECK ((settled_by IS NULL) = (settled_at IS NULL))
);
-- One at a time: two corrections of one version would not know of each other.
CREATE UNIQUE INDEX remark_one_at_a_time ON remark (centre_id, brief_id, from_version) WHERE state NOT IN ('taken', 'dropped');
ALTER TABLE remark ENABLE ROW LEVEL SECURITY;
ALTER TABLE remark FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON remark
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (state, total, settled_by, settled_at, settled_role) ON remark TO witnessmark_app;

-- One attempt marked again. lines are those that differ, rests the criteria whose decision rests on one of them; result is
-- NULL where it cannot be marked, and lacking says why.
CREATE TABLE remark_result (
    centre_id  bigint NOT NULL,
    remark_id  uuid NOT NULL,
    attempt_id uuid NOT NULL,
    revision   int NOT NULL,
    at         timestamptz NOT NULL,
    shift      text NOT NULL,
    was_marks  int NOT NULL,
    now_marks  int NOT NULL,
    lines      jsonb NOT NULL,
    rests      text[] NOT NULL,
    lacking    text NOT NULL,
    result     jsonb,
    PRIMARY KEY (centre_id, remark_id, attempt_id),
    FOREIGN KEY (centre_id, remark_id) REFERENCES remark,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON remark_result FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE remark_result ENABLE ROW LEVEL SECURITY;
ALTER TABLE remark_result FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON remark_result
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON remark_result TO witnessmark_app;

-- The correction that took effect on an attempt: from then on it is held against that version. NULL for the one it was set with.
ALTER TABLE attempt ADD COLUMN corrected_by uuid;
ALTER TABLE attempt ADD FOREIGN KEY (centre_id, corrected_by) REFERENCES remark;
GRANT UPDATE (corrected_by) ON attempt TO witnessmark_app;
