-- Something that somebody is to do by a day, until somebody else has seen that it is done. source_id names what asked for it.
CREATE TABLE action (
    centre_id    bigint NOT NULL,
    action_id    uuid NOT NULL,
    source       text NOT NULL CHECK (source IN ('sample', 'visit', 'standardisation')),
    source_id    uuid NOT NULL,
    attempt_id   uuid, -- NULL where it is not about one attempt; one that is stands in the way of its claim
    words        text NOT NULL CHECK (words <> '' AND length(words) <= 4000),
    owner_id     uuid NOT NULL,
    due_on       date NOT NULL,
    raised_by    uuid NOT NULL,
    raised_at    timestamptz NOT NULL,
    closed_by    uuid,
    closed_at    timestamptz,
    closed_words text NOT NULL DEFAULT '' CHECK (length(closed_words) <= 4000),
    PRIMARY KEY (centre_id, action_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, owner_id) REFERENCES person,
    FOREIGN KEY (centre_id, raised_by) REFERENCES person,
    FOREIGN KEY (centre_id, closed_by) REFERENCES person,
    CONSTRAINT action_closed_check CHECK ((closed_by IS NULL) = (closed_at IS NULL) AND (closed_by IS NULL OR closed_words <> '')),
    CONSTRAINT action_two_people CHECK (closed_by <> owner_id)
);
CREATE INDEX action_open ON action (centre_id, due_on, action_id) WHERE closed_at IS NULL;
CREATE INDEX action_source ON action (centre_id, source, source_id);
CREATE INDEX action_attempt ON action (centre_id, attempt_id) WHERE closed_at IS NULL;
ALTER TABLE action ENABLE ROW LEVEL SECURITY;
ALTER TABLE action FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON action
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (closed_by, closed_at, closed_words) ON action TO witnessmark_app;

-- How a centre samples: what it draws from, how much of it, and what makes something likelier to be drawn. A plan is never
-- changed, only ended.
CREATE TABLE sampling_plan (
    centre_id bigint NOT NULL REFERENCES centre,
    plan_id   uuid NOT NULL,
    name      text NOT NULL CHECK (name <> '' AND length(name) <= 200),
    stage     text NOT NULL CHECK (stage IN ('interim', 'final')),
    unit_code text NOT NULL, -- '' for every unit
    cohort_id uuid,          -- NULL for every cohort
    share     int NOT NULL CHECK (share BETWEEN 1 AND 100), -- per cent
    weights   jsonb NOT NULL, -- what each reason adds to a risk of 1
    words     text NOT NULL CHECK (words <> '' AND length(words) <= 4000), -- why it is so
    made_by   uuid NOT NULL,
    made_at   timestamptz NOT NULL,
    ended_at  timestamptz,
    PRIMARY KEY (centre_id, plan_id),
    FOREIGN KEY (centre_id, cohort_id) REFERENCES cohort,
    FOREIGN KEY (centre_id, made_by) REFERENCES person
);
ALTER TABLE sampling_plan ENABLE ROW LEVEL SECURITY;
ALTER TABLE sampling_plan FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON sampling_plan
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (ended_at) ON sampling_plan TO witnessmark_app;

-- A draw. With its list and its seed it can be drawn again to the last place: digest is the SHA-256 of the list as it was.
CREATE TABLE sample (
    centre_id  bigint NOT NULL,
    sample_id  uuid NOT NULL,
    plan_id    uuid NOT NULL,
    number     int NOT NULL CHECK (number > 0), -- among the plan's
    seed       text NOT NULL CHECK (seed ~ '^[0-9a-f]{32}$'),
    digest     text NOT NULL CHECK (digest ~ '^[0-9a-f]{64}$'),
    listed     int NOT NULL CHECK (listed > 0),
    size       int NOT NULL CHECK (size BETWEEN 1 AND listed),
    words      text NOT NULL, -- what it would show, as it was said before it was drawn
    drawn_by   uuid NOT NULL,
    drawn_at   timestamptz NOT NULL,
    settled_at timestamptz, -- when the last outcome was there
    PRIMARY KEY (centre_id, sample_id),
    CONSTRAINT sample_number_key UNIQUE (centre_id, plan_id, number),
    FOREIGN KEY (centre_id, plan_id) REFERENCES sampling_plan,
    FOREIGN KEY (centre_id, drawn_by) REFERENCES person
);
ALTER TABLE sample ENABLE ROW LEVEL SECURITY;
ALTER TABLE sample FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON sample
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (settled_at) ON sample TO witnessmark_app;

-- What a draw was made from, and what was drawn. The four that follow the attempt are its stratum.
CREATE TABLE sample_item (
    centre_id   bigint NOT NULL,
    sample_id   uuid NOT NULL,
    attempt_id  uuid NOT NULL,
    assessor_id uuid NOT NULL,
    units       text NOT NULL,
    method      text NOT NULL,
    site        text NOT NULL,
    risk        int NOT NULL CHECK (risk > 0),
    why         text[] NOT NULL,
    drawn       boolean NOT NULL,
    PRIMARY KEY (centre_id, sample_id, attempt_id),
    FOREIGN KEY (centre_id, sample_id) REFERENCES sample,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, assessor_id) REFERENCES person
);
CREATE INDEX sample_item_attempt ON sample_item (centre_id, attempt_id);
CREATE INDEX sample_item_drawn ON sample_item (centre_id, sample_id) WHERE drawn;
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON sample_item FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE sample_item ENABLE ROW LEVEL SECURITY;
ALTER TABLE sample_item FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON sample_item
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON sample_item TO witnessmark_app;

-- What a sampler found of one attempt; the record says it in full. Whoever comes second finds the row there.
CREATE TABLE sample_outcome (
    centre_id  bigint NOT NULL,
    sample_id  uuid NOT NULL,
    attempt_id uuid NOT NULL,
    outcome    text NOT NULL CHECK (outcome IN ('agree', 'agree_with_action', 'disagree')),
    record_id  uuid NOT NULL,
    CONSTRAINT sample_outcome_once PRIMARY KEY (centre_id, sample_id, attempt_id),
    FOREIGN KEY (centre_id, sample_id, attempt_id) REFERENCES sample_item,
    FOREIGN KEY (centre_id, attempt_id, record_id) REFERENCES record (centre_id, attempt_id, record_id)
);
CREATE INDEX sample_outcome_record ON sample_outcome (centre_id, record_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON sample_outcome FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE sample_outcome ENABLE ROW LEVEL SECURITY;
ALTER TABLE sample_outcome FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON sample_outcome
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON sample_outcome TO witnessmark_app;

-- Certificates that were claimed together.
CREATE TABLE claim (
    centre_id bigint NOT NULL REFERENCES centre,
    claim_id  uuid NOT NULL,
    unit_code text NOT NULL,
    words     text NOT NULL CHECK (length(words) <= 4000),
    made_by   uuid NOT NULL,
    made_at   timestamptz NOT NULL,
    PRIMARY KEY (centre_id, claim_id),
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    FOREIGN KEY (centre_id, made_by) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON claim FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE claim ENABLE ROW LEVEL SECURITY;
ALTER TABLE claim FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON claim
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON claim TO witnessmark_app;

-- One trainee's unit of a claim, as it stood: the number with the awarding organisation, and the attempts that it rests on.
CREATE TABLE claim_item (
    centre_id  bigint NOT NULL,
    claim_id   uuid NOT NULL,
    trainee_id uuid NOT NULL,
    unit_code  text NOT NULL,
    number     text NOT NULL,
    met_on     date NOT NULL,
    attempts   uuid[] NOT NULL,
    PRIMARY KEY (centre_id, claim_id, trainee_id),
    CONSTRAINT claim_item_once UNIQUE (centre_id, trainee_id, unit_code),
    FOREIGN KEY (centre_id, claim_id) REFERENCES claim,
    FOREIGN KEY (centre_id, trainee_id) REFERENCES person
);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON claim_item FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE claim_item ENABLE ROW LEVEL SECURITY;
ALTER TABLE claim_item FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON claim_item
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON claim_item TO witnessmark_app;

-- Whoever had part in an attempt neither samples nor clears it, and whoever sampled it judges none of it afterwards.
CREATE FUNCTION sampler_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.kind IN ('sample_outcome', 'cleared_for_claim') THEN
        IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.by_id)
            OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.by_id
                AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
            RAISE EXCEPTION 'a person samples or clears what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_sampler_apart';
        END IF;
    ELSIF EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.by_id
            AND r.kind = 'sample_outcome') THEN
        RAISE EXCEPTION 'a person judges what they sampled' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_judge_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER sampler_apart BEFORE INSERT ON record FOR EACH ROW
    WHEN (NEW.kind IN ('sample_outcome', 'cleared_for_claim', 'criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do'))
    EXECUTE FUNCTION sampler_apart();
-- What may be sampled, and what may be claimed.
CREATE INDEX attempt_to_sample ON attempt (centre_id, attempt_id) WHERE state IN ('checked', 'decided', 'signed_off');
