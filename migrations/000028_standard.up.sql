-- A standardisation: the same attempts judged by several people, none of whom sees what the others say before all have, or
-- somebody closes it. seed is that of the interval beside its figures, so that these come out the same whenever they are read.
CREATE TABLE standardisation (
    centre_id          bigint NOT NULL REFERENCES centre,
    standardisation_id uuid NOT NULL,
    title              text NOT NULL CHECK (length(title) BETWEEN 1 AND 200),
    words              text NOT NULL CHECK (length(words) <= 4000),
    brief_id           uuid NOT NULL,
    version            int NOT NULL,
    seed               bigint NOT NULL,
    opened_by          uuid NOT NULL,
    opened_at          timestamptz NOT NULL,
    closed_by          uuid,
    closed_at          timestamptz,
    PRIMARY KEY (centre_id, standardisation_id),
    FOREIGN KEY (centre_id, brief_id, version) REFERENCES brief_version,
    FOREIGN KEY (centre_id, opened_by) REFERENCES person,
    FOREIGN KEY (centre_id, closed_by) REFERENCES person,
    CHECK ((closed_by IS NULL) = (closed_at IS NULL))
);
CREATE INDEX standardisation_opened ON standardisation (centre_id, opened_at);
ALTER TABLE standardisation ENABLE ROW LEVEL SECURITY;
ALTER TABLE standardisation FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON standardisation
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (closed_by, closed_at) ON standardisation TO witnessmark_app;

-- place is the order in which the attempts are shown, which is also all that they are called by.
CREATE TABLE standardisation_attempt (
    centre_id          bigint NOT NULL,
    standardisation_id uuid NOT NULL,
    attempt_id         uuid NOT NULL,
    place              int NOT NULL CHECK (place > 0),
    PRIMARY KEY (centre_id, standardisation_id, attempt_id),
    UNIQUE (centre_id, standardisation_id, place),
    FOREIGN KEY (centre_id, standardisation_id) REFERENCES standardisation,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE INDEX standardisation_attempt_of ON standardisation_attempt (centre_id, attempt_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON standardisation_attempt FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE standardisation_attempt ENABLE ROW LEVEL SECURITY;
ALTER TABLE standardisation_attempt FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON standardisation_attempt
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON standardisation_attempt TO witnessmark_app;

CREATE TABLE standardisation_judge (
    centre_id          bigint NOT NULL,
    standardisation_id uuid NOT NULL,
    person_id          uuid NOT NULL,
    PRIMARY KEY (centre_id, standardisation_id, person_id),
    FOREIGN KEY (centre_id, standardisation_id) REFERENCES standardisation,
    FOREIGN KEY (centre_id, person_id) REFERENCES person
);
CREATE INDEX standardisation_judge_of ON standardisation_judge (centre_id, person_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON standardisation_judge FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE standardisation_judge ENABLE ROW LEVEL SECURITY;
ALTER TABLE standardisation_judge FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON standardisation_judge
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON standardisation_judge TO witnessmark_app;

-- What one person says of one criterion of one attempt, once. It changes nothing of the attempt.
CREATE TABLE blind_judgement (
    centre_id          bigint NOT NULL,
    standardisation_id uuid NOT NULL,
    attempt_id         uuid NOT NULL,
    person_id          uuid NOT NULL,
    criterion          text NOT NULL,
    outcome            text NOT NULL CHECK (outcome IN ('met', 'not_yet_met')),
    reason             text NOT NULL,
    words              text NOT NULL CHECK (length(words) <= 4000),
    judged_at          timestamptz NOT NULL,
    CONSTRAINT blind_judgement_once PRIMARY KEY (centre_id, standardisation_id, attempt_id, person_id, criterion),
    FOREIGN KEY (centre_id, standardisation_id, attempt_id) REFERENCES standardisation_attempt,
    FOREIGN KEY (centre_id, standardisation_id, person_id) REFERENCES standardisation_judge
);
-- Whoever had part in an attempt, or whose it is, knows what was decided: they do not judge it blind. What is closed stays.
CREATE FUNCTION blind_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM standardisation s WHERE s.centre_id = NEW.centre_id AND s.standardisation_id = NEW.standardisation_id AND s.closed_at IS NOT NULL) THEN
        RAISE EXCEPTION 'this standardisation is closed' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'blind_judgement_closed';
    END IF;
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.person_id)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.person_id
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person judges blind what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'blind_judgement_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER blind_apart BEFORE INSERT ON blind_judgement FOR EACH ROW EXECUTE FUNCTION blind_apart();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON blind_judgement FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE blind_judgement ENABLE ROW LEVEL SECURITY;
ALTER TABLE blind_judgement FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON blind_judgement
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON blind_judgement TO witnessmark_app;

-- How a criterion is to be read from a day on. doubts says which earlier decisions it puts in question, since is how far back.
CREATE TABLE ruling (
    centre_id          bigint NOT NULL REFERENCES centre,
    ruling_id          uuid NOT NULL,
    standardisation_id uuid, -- NULL where none led to it
    criterion          text NOT NULL,
    words              text NOT NULL CHECK (length(words) BETWEEN 1 AND 4000),
    doubts             text NOT NULL CHECK (doubts IN ('met', 'not_yet_met', 'both', 'none')),
    effective_on       date NOT NULL,
    since              date CHECK (since < effective_on),
    made_by            uuid NOT NULL,
    made_at            timestamptz NOT NULL,
    PRIMARY KEY (centre_id, ruling_id),
    FOREIGN KEY (centre_id, standardisation_id) REFERENCES standardisation,
    FOREIGN KEY (centre_id, made_by) REFERENCES person
);
CREATE INDEX ruling_criterion ON ruling (centre_id, criterion, effective_on);
CREATE INDEX record_criterion ON record (centre_id, subject, at) WHERE kind = 'criterion_decision';
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON ruling FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE ruling ENABLE ROW LEVEL SECURITY;
ALTER TABLE ruling FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON ruling
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON ruling TO witnessmark_app;

-- That somebody looked at a decision that a ruling puts in question, and what they found. The latest counts.
CREATE TABLE ruling_look (
    centre_id  bigint NOT NULL,
    look_id    uuid NOT NULL,
    ruling_id  uuid NOT NULL,
    attempt_id uuid NOT NULL,
    record_id  uuid NOT NULL,
    outcome    text NOT NULL CHECK (outcome IN ('stands', 'afresh')),
    words      text NOT NULL CHECK (length(words) <= 4000),
    looked_by  uuid NOT NULL,
    looked_at  timestamptz NOT NULL,
    PRIMARY KEY (centre_id, look_id),
    FOREIGN KEY (centre_id, ruling_id) REFERENCES ruling,
    FOREIGN KEY (centre_id, attempt_id, record_id) REFERENCES record (centre_id, attempt_id, record_id),
    FOREIGN KEY (centre_id, looked_by) REFERENCES person
);
CREATE INDEX ruling_look_of ON ruling_look (centre_id, ruling_id, record_id, looked_at);
CREATE FUNCTION ruling_look_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.looked_by)
        OR EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id AND r.by_id = NEW.looked_by
            AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person looks again at what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'ruling_look_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER ruling_look_apart BEFORE INSERT ON ruling_look FOR EACH ROW EXECUTE FUNCTION ruling_look_apart();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON ruling_look FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE ruling_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE ruling_look FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON ruling_look
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON ruling_look TO witnessmark_app;

-- What a second person says of one item of a draft, '' for the whole of it, and the answer of somebody who wrote it. A draft
-- with a comment that has no answer is not published.
CREATE TABLE brief_comment (
    centre_id  bigint NOT NULL,
    comment_id uuid NOT NULL,
    brief_id   uuid NOT NULL,
    version    int NOT NULL,
    item       text NOT NULL,
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 2000),
    said_by    uuid NOT NULL,
    said_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, comment_id),
    FOREIGN KEY (centre_id, brief_id, version) REFERENCES brief_version ON DELETE CASCADE, -- a draft that is thrown away
    FOREIGN KEY (centre_id, said_by) REFERENCES person
);
CREATE INDEX brief_comment_of ON brief_comment (centre_id, brief_id, version, said_at);
ALTER TABLE brief_comment ENABLE ROW LEVEL SECURITY;
ALTER TABLE brief_comment FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON brief_comment
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON brief_comment TO witnessmark_app;

CREATE TABLE brief_answer (
    centre_id  bigint NOT NULL,
    comment_id uuid NOT NULL,
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 2000),
    said_by    uuid NOT NULL,
    said_at    timestamptz NOT NULL,
    CONSTRAINT brief_answer_once PRIMARY KEY (centre_id, comment_id),
    FOREIGN KEY (centre_id, comment_id) REFERENCES brief_comment ON DELETE CASCADE,
    FOREIGN KEY (centre_id, said_by) REFERENCES person
);
CREATE FUNCTION brief_comment_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE v brief_version;
BEGIN
    SELECT * INTO v FROM brief_version b WHERE b.centre_id = NEW.centre_id AND b.brief_id = NEW.brief_id AND b.version = NEW.version;
    IF v.state <> 'draft' THEN
        RAISE EXCEPTION 'a published version takes no comments' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_published';
    END IF;
    IF NEW.said_by IN (v.written_by, v.begun_by) THEN
        RAISE EXCEPTION 'a person comments on what they wrote' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_comment_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER brief_comment_apart BEFORE INSERT ON brief_comment FOR EACH ROW EXECUTE FUNCTION brief_comment_apart();
CREATE FUNCTION brief_answer_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM brief_comment c WHERE c.centre_id = NEW.centre_id AND c.comment_id = NEW.comment_id AND c.said_by = NEW.said_by) THEN
        RAISE EXCEPTION 'a person answers their own comment' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_answer_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER brief_answer_apart BEFORE INSERT ON brief_answer FOR EACH ROW EXECUTE FUNCTION brief_answer_apart();
CREATE FUNCTION brief_comments_answered() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM brief_comment c LEFT JOIN brief_answer a USING (centre_id, comment_id)
        WHERE c.centre_id = NEW.centre_id AND c.brief_id = NEW.brief_id AND c.version = NEW.version AND a.comment_id IS NULL) THEN
        RAISE EXCEPTION 'a comment has no answer' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'brief_version_comments_open';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER brief_comments_answered BEFORE UPDATE ON brief_version FOR EACH ROW
    WHEN (NEW.state = 'published' AND OLD.state = 'draft') EXECUTE FUNCTION brief_comments_answered();
ALTER TABLE brief_answer ENABLE ROW LEVEL SECURITY;
ALTER TABLE brief_answer FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON brief_answer
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON brief_answer TO witnessmark_app;

-- What somebody learned and showed elsewhere, claimed for criteria of one unit, with what proves it.
CREATE TABLE prior_learning (
    centre_id  bigint NOT NULL,
    prior_id   uuid NOT NULL,
    trainee_id uuid NOT NULL,
    unit_code  text NOT NULL,
    criteria   text[] NOT NULL CHECK (cardinality(criteria) BETWEEN 1 AND 200), -- UNIT/code
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 4000),
    claimed_by uuid NOT NULL,
    claimed_at timestamptz NOT NULL,
    PRIMARY KEY (centre_id, prior_id),
    FOREIGN KEY (centre_id, trainee_id) REFERENCES person,
    FOREIGN KEY (centre_id, unit_code) REFERENCES qualification_unit,
    FOREIGN KEY (centre_id, claimed_by) REFERENCES person
);
CREATE INDEX prior_learning_trainee ON prior_learning (centre_id, trainee_id);
CREATE INDEX prior_learning_claimed ON prior_learning (centre_id, claimed_at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON prior_learning FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE prior_learning ENABLE ROW LEVEL SECURITY;
ALTER TABLE prior_learning FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON prior_learning
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON prior_learning TO witnessmark_app;

CREATE TABLE prior_file (
    centre_id  bigint NOT NULL,
    file_id    uuid NOT NULL,
    prior_id   uuid NOT NULL,
    name       text NOT NULL,
    media_type text NOT NULL,
    size       bigint NOT NULL,
    digest     bytea NOT NULL CHECK (length(digest) = 32),
    added_by   uuid NOT NULL,
    added_at   timestamptz NOT NULL,
    PRIMARY KEY (centre_id, file_id),
    FOREIGN KEY (centre_id, prior_id) REFERENCES prior_learning,
    FOREIGN KEY (centre_id, added_by) REFERENCES person
);
CREATE INDEX prior_file_of ON prior_file (centre_id, prior_id, added_at);
CREATE INDEX prior_file_digest ON prior_file (centre_id, digest);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON prior_file FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE prior_file ENABLE ROW LEVEL SECURITY;
ALTER TABLE prior_file FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON prior_file
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON prior_file TO witnessmark_app;

-- What a tutor decided of one criterion that prior learning was claimed for. A decision of its own: no attempt has it.
CREATE TABLE prior_decision (
    centre_id  bigint NOT NULL,
    prior_id   uuid NOT NULL,
    criterion  text NOT NULL,
    outcome    text NOT NULL CHECK (outcome IN ('met', 'not_yet_met')),
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 4000),
    decided_by uuid NOT NULL,
    decided_at timestamptz NOT NULL,
    CONSTRAINT prior_decision_once PRIMARY KEY (centre_id, prior_id, criterion),
    FOREIGN KEY (centre_id, prior_id) REFERENCES prior_learning,
    FOREIGN KEY (centre_id, decided_by) REFERENCES person
);
CREATE FUNCTION prior_decision_apart() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE p prior_learning;
BEGIN
    SELECT * INTO p FROM prior_learning l WHERE l.centre_id = NEW.centre_id AND l.prior_id = NEW.prior_id;
    IF NEW.decided_by IN (p.claimed_by, p.trainee_id) THEN
        RAISE EXCEPTION 'a person decides on what they claimed' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_apart';
    END IF;
    IF NOT NEW.criterion = ANY (p.criteria) THEN
        RAISE EXCEPTION 'nothing was claimed for this criterion' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'prior_decision_claimed';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER prior_decision_apart BEFORE INSERT ON prior_decision FOR EACH ROW EXECUTE FUNCTION prior_decision_apart();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON prior_decision FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE prior_decision ENABLE ROW LEVEL SECURITY;
ALTER TABLE prior_decision FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON prior_decision
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON prior_decision TO witnessmark_app;

-- The bytes of such a file are needed as those of evidence are.
GRANT SELECT (digest) ON prior_file TO witnessmark_lookup;
CREATE POLICY lookup ON prior_file FOR SELECT TO witnessmark_lookup USING (current_user = 'witnessmark_lookup');
CREATE OR REPLACE FUNCTION bytes_needed(wanted bytea) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT EXISTS (SELECT FROM public.evidence v
                   WHERE v.digest = wanted AND v.withdrawn_at IS NULL OR v.covered_digest = wanted OR v.preview_digest = wanted)
        OR EXISTS (SELECT FROM public.prior_file f WHERE f.digest = wanted)
$$;

-- An inquiry into suspected malpractice or maladministration: whom it concerns, and what came of it. Only the people who are
-- named may see any of it; whom it concerns is never among them, nor closes it.
CREATE TABLE inquiry (
    centre_id  bigint NOT NULL,
    inquiry_id uuid NOT NULL,
    concerns   uuid NOT NULL,
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 4000),
    opened_by  uuid NOT NULL,
    opened_at  timestamptz NOT NULL,
    outcome    text CHECK (outcome IN ('nothing_found', 'minor', 'upheld')),
    found      text NOT NULL DEFAULT '' CHECK (length(found) <= 4000),
    closed_by  uuid,
    closed_at  timestamptz,
    PRIMARY KEY (centre_id, inquiry_id),
    UNIQUE (centre_id, inquiry_id, concerns),
    FOREIGN KEY (centre_id, concerns) REFERENCES person,
    FOREIGN KEY (centre_id, opened_by) REFERENCES person,
    FOREIGN KEY (centre_id, closed_by) REFERENCES person,
    CHECK ((closed_by IS NULL) = (closed_at IS NULL) AND (closed_by IS NULL) = (outcome IS NULL)),
    CONSTRAINT inquiry_apart CHECK (concerns <> opened_by AND concerns <> closed_by)
);
CREATE INDEX inquiry_opened ON inquiry (centre_id, opened_at);
ALTER TABLE inquiry ENABLE ROW LEVEL SECURITY;
ALTER TABLE inquiry FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON inquiry
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT, UPDATE (outcome, found, closed_by, closed_at) ON inquiry TO witnessmark_app;

CREATE TABLE inquiry_person (
    centre_id  bigint NOT NULL,
    inquiry_id uuid NOT NULL,
    person_id  uuid NOT NULL,
    concerns   uuid NOT NULL CONSTRAINT inquiry_person_apart CHECK (concerns <> person_id),
    named_by   uuid NOT NULL,
    named_at   timestamptz NOT NULL,
    CONSTRAINT inquiry_person_once PRIMARY KEY (centre_id, inquiry_id, person_id),
    FOREIGN KEY (centre_id, inquiry_id, concerns) REFERENCES inquiry (centre_id, inquiry_id, concerns),
    FOREIGN KEY (centre_id, person_id) REFERENCES person,
    FOREIGN KEY (centre_id, named_by) REFERENCES person
);
CREATE INDEX inquiry_person_of ON inquiry_person (centre_id, person_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON inquiry_person FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE inquiry_person ENABLE ROW LEVEL SECURITY;
ALTER TABLE inquiry_person FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON inquiry_person
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON inquiry_person TO witnessmark_app;

CREATE TABLE inquiry_note (
    centre_id  bigint NOT NULL,
    note_id    uuid NOT NULL,
    inquiry_id uuid NOT NULL,
    words      text NOT NULL CHECK (length(words) BETWEEN 1 AND 4000),
    said_by    uuid NOT NULL,
    said_at    timestamptz NOT NULL,
    PRIMARY KEY (centre_id, note_id),
    FOREIGN KEY (centre_id, inquiry_id) REFERENCES inquiry,
    FOREIGN KEY (centre_id, said_by) REFERENCES person
);
CREATE INDEX inquiry_note_of ON inquiry_note (centre_id, inquiry_id, said_at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON inquiry_note FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE inquiry_note ENABLE ROW LEVEL SECURITY;
ALTER TABLE inquiry_note FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON inquiry_note
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON inquiry_note TO witnessmark_app;

-- The attempts that an inquiry froze; the attempt's own records say when, and when it was let go.
CREATE TABLE inquiry_attempt (
    centre_id  bigint NOT NULL,
    inquiry_id uuid NOT NULL,
    attempt_id uuid NOT NULL,
    PRIMARY KEY (centre_id, inquiry_id, attempt_id),
    FOREIGN KEY (centre_id, inquiry_id) REFERENCES inquiry,
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt
);
CREATE INDEX inquiry_attempt_of ON inquiry_attempt (centre_id, attempt_id);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON inquiry_attempt FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE inquiry_attempt ENABLE ROW LEVEL SECURITY;
ALTER TABLE inquiry_attempt FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON inquiry_attempt
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON inquiry_attempt TO witnessmark_app;

-- A suspended attempt is frozen: it takes no record but of what ends that. Nobody sets aside their own work, nor what they had
-- part in.
CREATE FUNCTION record_frozen() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    IF NEW.kind NOT IN ('suspended', 'suspension_lifted', 'set_aside') THEN
        IF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.state = 'suspended') THEN
            RAISE EXCEPTION 'this attempt is suspended' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_frozen';
        END IF;
    ELSIF EXISTS (SELECT FROM attempt a WHERE a.centre_id = NEW.centre_id AND a.attempt_id = NEW.attempt_id AND a.trainee_id = NEW.by_id)
        OR NEW.kind = 'set_aside' AND EXISTS (SELECT FROM record r WHERE r.centre_id = NEW.centre_id AND r.attempt_id = NEW.attempt_id
            AND r.by_id = NEW.by_id AND r.kind IN ('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')) THEN
        RAISE EXCEPTION 'a person sets aside what they had part in' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_set_aside_apart';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER record_frozen BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION record_frozen();
CREATE FUNCTION attempt_frozen() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RAISE EXCEPTION 'this attempt is suspended' USING ERRCODE = 'restrict_violation', CONSTRAINT = 'record_frozen';
END $$;
CREATE TRIGGER attempt_frozen BEFORE UPDATE ON attempt FOR EACH ROW
    WHEN (OLD.state = 'suspended' AND NEW.state = 'suspended') EXECUTE FUNCTION attempt_frozen();
-- What the list of small files has of attempts.
CREATE INDEX record_files ON record (centre_id, at) WHERE kind IN ('adjustment', 'appeal');
