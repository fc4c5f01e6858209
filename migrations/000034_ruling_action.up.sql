-- A ruling asks for actions of its own. Until now those that a look under a ruling asked for were kept as a standardisation's, with the
-- ruling's id; they stay so, since entries of the decision log commit to them.
ALTER TABLE action DROP CONSTRAINT action_source_check,
    ADD CONSTRAINT action_source_check CHECK (source IN ('sample', 'visit', 'standardisation', 'ruling'));
