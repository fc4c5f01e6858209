DROP FUNCTION erase(uuid, uuid, timestamptz);
DROP FUNCTION erase_person_now(uuid);
DROP FUNCTION erase_attempt_now(uuid);
DROP FUNCTION erased(bytea);
DROP FUNCTION erased(text);
CREATE OR REPLACE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are only ever added: % refused', TG_TABLE_NAME, TG_OP USING ERRCODE = 'restrict_violation';
END $$;
DROP TABLE person_export;
DROP TABLE erasure;
DROP TABLE purge_item;
DROP TABLE purge;
DROP TABLE legal_hold;
DROP TABLE retention_rule;
REVOKE ALL ON attempt, entry, evidence, seal_item, spot_claim, spot_release, instrument, record, marking, remark_result, portfolio, person,
    award_registration, conflict, register_look, alike_look, action, claim_item, blind_judgement, ruling_look, prior_learning, prior_file, prior_decision,
    inquiry, inquiry_note, registration, session, upload, picture_pair, person_role FROM witnessmark_erase;
REVOKE USAGE ON SCHEMA public FROM witnessmark_erase;
DROP TRIGGER verifier_decides_nothing ON record;
DROP TABLE visit_note;
DROP TABLE visit_view;
DROP TABLE visit_pick;
DROP TABLE visit_draw;
DROP TABLE visit_attempt;
DROP TABLE visit;
DROP FUNCTION visit_runs();
DROP FUNCTION verifier_decides_nothing();
DROP FUNCTION verifier_from_outside();
