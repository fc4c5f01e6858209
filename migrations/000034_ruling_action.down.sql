-- Entries of the decision log commit to actions, so that the narrower rule holds for new rows alone.
ALTER TABLE action DROP CONSTRAINT action_source_check,
    ADD CONSTRAINT action_source_check CHECK (source IN ('sample', 'visit', 'standardisation')) NOT VALID;
