DROP INDEX record_files;
DROP TRIGGER attempt_frozen ON attempt;
DROP FUNCTION attempt_frozen;
DROP TRIGGER record_frozen ON record;
DROP FUNCTION record_frozen;
DROP TABLE inquiry_attempt, inquiry_note, inquiry_person, inquiry;
CREATE OR REPLACE FUNCTION bytes_needed(wanted bytea) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT EXISTS (SELECT FROM public.evidence v
                   WHERE v.digest = wanted AND v.withdrawn_at IS NULL OR v.covered_digest = wanted OR v.preview_digest = wanted)
$$;
DROP TABLE prior_decision, prior_file, prior_learning;
DROP FUNCTION prior_decision_apart;
DROP TRIGGER brief_comments_answered ON brief_version;
DROP FUNCTION brief_comments_answered;
DROP TABLE brief_answer, brief_comment;
DROP FUNCTION brief_answer_apart, brief_comment_apart;
DROP INDEX record_criterion;
DROP TABLE ruling_look, ruling, blind_judgement, standardisation_judge, standardisation_attempt, standardisation;
DROP FUNCTION ruling_look_apart, blind_apart;
