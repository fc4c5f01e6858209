CREATE OR REPLACE FUNCTION erase_person_now(wanted uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    DELETE FROM session WHERE person_id = wanted;
    DELETE FROM registration WHERE person_id = wanted;
    UPDATE award_registration SET number = 'erased ' || registration_id WHERE person_id = wanted;
    UPDATE conflict SET words = erased(words), ended_words = erased(ended_words) WHERE person_id = wanted OR other_id = wanted;
    UPDATE claim_item SET number = erased(number) WHERE trainee_id = wanted;
    UPDATE prior_file SET name = erased(name), digest = erased(digest) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE prior_decision SET words = erased(words) WHERE prior_id IN (SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = wanted);
    UPDATE prior_learning SET words = erased(words) WHERE trainee_id = wanted;
    UPDATE inquiry_note SET words = erased(words) WHERE inquiry_id IN (SELECT i.inquiry_id FROM inquiry i WHERE i.concerns = wanted);
    UPDATE inquiry i SET words = erased(i.words), found = erased(i.found) WHERE i.concerns = wanted;
    UPDATE withdrawal SET words = erased(words), back_words = erased(back_words) WHERE trainee_id = wanted;
    UPDATE legal_hold SET words = erased(words), lifted_words = erased(lifted_words) WHERE person_id = wanted;
    UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0 WHERE trainee_id = wanted;
    UPDATE person SET name = 'Erased person', sign_in_name = 'erased-' || person_id, email = '', password_hash = '', disabled_at = coalesce(disabled_at, now())
        WHERE person_id = wanted;
END $$;
DROP TRIGGER claim_prior_looked ON claim_item;
DROP FUNCTION claim_prior_looked;
DROP TRIGGER prior_decision_looked ON prior_decision;
DROP FUNCTION prior_decision_looked;
-- Entries of the decision log commit to actions, so that the narrower rule holds for new rows alone.
ALTER TABLE action DROP CONSTRAINT action_source_check,
    ADD CONSTRAINT action_source_check CHECK (source IN ('sample', 'visit', 'standardisation', 'ruling')) NOT VALID;
DROP TABLE prior_look;
DROP FUNCTION prior_look_apart;
