CREATE OR REPLACE FUNCTION erase_attempt_now(wanted uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
BEGIN
    UPDATE entry SET text = erased(text), unit = erased(unit), working = erased(working), note = erased(note) WHERE attempt_id = wanted;
    DELETE FROM picture_pair WHERE evidence_id IN (SELECT v.evidence_id FROM evidence v WHERE v.attempt_id = wanted)
        OR other_id IN (SELECT v.evidence_id FROM evidence v WHERE v.attempt_id = wanted);
    UPDATE evidence SET name = erased(name), caption = erased(caption), digest = erased(digest), covers = '[]', covered_digest = NULL, preview_digest = NULL,
        phash = NULL, dhash = NULL, taken_at = NULL, device_at = NULL, withdrawn_at = coalesce(withdrawn_at, now()) WHERE attempt_id = wanted;
    UPDATE seal_item SET digest = erased(digest) WHERE attempt_id = wanted;
    UPDATE spot_claim SET items = '[]', mac = erased(mac), why = erased(why) WHERE attempt_id = wanted;
    UPDATE spot_release SET words = erased(words), by_name = erased(by_name), why = erased(why) WHERE attempt_id = wanted;
    UPDATE instrument SET serial = erased(serial) WHERE attempt_id = wanted;
    UPDATE record SET words = erased(words), value = erased(value), by_name = erased(by_name), canonical = erased(canonical) WHERE attempt_id = wanted;
    UPDATE marking SET result = '{}' WHERE attempt_id = wanted;
    UPDATE remark_result SET lines = '[]', lacking = erased(lacking), result = NULL WHERE attempt_id = wanted;
    UPDATE register_look SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE alike_look SET words = erased(words) WHERE attempt_id = wanted OR other_id = wanted;
    UPDATE action SET words = erased(words), closed_words = erased(closed_words) WHERE attempt_id = wanted;
    UPDATE blind_judgement SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE ruling_look SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE visit_note SET words = erased(words) WHERE attempt_id = wanted;
    UPDATE legal_hold SET words = erased(words), lifted_words = erased(lifted_words) WHERE attempt_id = wanted;
    UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0
        WHERE trainee_id = (SELECT a.trainee_id FROM attempt a WHERE a.attempt_id = wanted);
    DELETE FROM upload WHERE attempt_id = wanted;
    UPDATE attempt SET site = erased(site), householder = erased(householder), declaration = erased(declaration), given = '{}' WHERE attempt_id = wanted;
END $$;
REVOKE SELECT ON task, brief_version FROM witnessmark_erase;
DROP FUNCTION holds_attempt;
