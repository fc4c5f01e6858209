-- The instrument that a trainee has in hand for a kind that the brief names, until the centre's own register knows it. The
-- latest of a kind counts; an entry names the one that it was read with. chosen_at is by the phone's clock, NULL where it is
-- not known. A photo of its label is evidence under the item "instrument/<instrument_id>".
CREATE TABLE instrument (
    centre_id       bigint NOT NULL,
    instrument_id   uuid NOT NULL,
    attempt_id      uuid NOT NULL,
    kind            text NOT NULL,
    serial          text NOT NULL,
    calibration_due date,
    chosen_at       timestamptz,
    received_at     timestamptz NOT NULL,
    offset_ms       bigint,
    clock_steady    boolean NOT NULL,
    by_id           uuid NOT NULL,
    PRIMARY KEY (centre_id, instrument_id),
    FOREIGN KEY (centre_id, attempt_id) REFERENCES attempt,
    FOREIGN KEY (centre_id, by_id) REFERENCES person
);
CREATE INDEX instrument_attempt ON instrument (centre_id, attempt_id, received_at);
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON instrument FOR EACH STATEMENT EXECUTE FUNCTION append_only();
ALTER TABLE instrument ENABLE ROW LEVEL SECURITY;
ALTER TABLE instrument FORCE ROW LEVEL SECURITY;
CREATE POLICY centre ON instrument
    USING (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint))
    WITH CHECK (centre_id = (SELECT nullif(current_setting('app.centre_id', true), '')::bigint));
GRANT SELECT, INSERT ON instrument TO witnessmark_app;
