-- A brief version set to a cohort.
CREATE TABLE task (
    centre_id bigint NOT NULL,
    task_id   uuid NOT NULL,
    brief_id  uuid NOT NULL,
    version   int NOT NULL,
    cohort_id uuid NOT NULL,
    set_by    uuid NOT NULL,
    set_at    timestamptz NOT NULL,
    due_on    date,
    PRIMARY KEY (centre_id, task_id),
    CONSTRAINT task_brief_once UNIQUE (centre_id, cohort_id, brief_id, version),
    FOREIGN KEY (centre_id, brief_id, version) REFERENCES brief_version,
    FOREIGN KEY (centre_id, cohort_id) REFERENCES cohort,
    FOREIGN KEY (centre_id, set_by) REFERENCES person
);
CREATE INDEX task_brief ON task (centre_id, brief_id, version);
ALTER TABLE task ENABLE ROW LEVEL SECURITY;
ALTER TABLE task FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON task
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (due_on) ON task TO witnessmark_app;

CREATE TABLE attempt (
    centre_id      bigint NOT NULL,
    attempt_id     uuid NOT NULL,
    task_id        uuid NOT NULL,
    trainee_id     uuid NOT NULL,
    number         int NOT NULL CHECK (number > 0),
    state          text NOT NULL CHECK (state IN
        ('planned', 'open', 'handed_over', 'checked', 'decided', 'more_to_do', 'signed_off', 'cleared', 'claimed', 'archived', 'destroyed',
         'safety_stop', 'suspended', 'under_appeal', 'withdrawn', 'set_aside')),
    revision       int NOT NULL DEFAULT 1,
    seed           bigint NOT NULL,
    given          jsonb NOT NULL,
    opened_at      timestamptz,
    handed_over_at timestamptz,
    declaration    text NOT NULL DEFAULT '',
    signed_off_at  timestamptz,
    carried_from   uuid,
    PRIMARY KEY (centre_id, attempt_id),
    CONSTRAINT attempt_number_key UNIQUE (centre_id, task_id, trainee_id, number),
    FOREIGN KEY (centre_id, task_id) REFERENCES task,
    FOREIGN KEY (centre_id, trainee_id) REFERENCES person,
    FOREIGN KEY (centre_id, carried_from) REFERENCES attempt
);
CREATE INDEX attempt_trainee ON attempt (centre_id, trainee_id);
CREATE INDEX attempt_waiting ON attempt (centre_id, handed_over_at) WHERE state IN ('handed_over', 'checked', 'decided');
ALTER TABLE attempt ENABLE ROW LEVEL SECURITY;
ALTER TABLE attempt FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON attempt
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (state, revision, opened_at, handed_over_at, declaration, signed_off_at) ON attempt TO witnessmark_app;
