UPDATE portfolio SET state = 'failed', note = 'stopped' WHERE state = 'stopped';
ALTER TABLE portfolio DROP CONSTRAINT portfolio_state_check, ADD CONSTRAINT portfolio_state_check CHECK (state IN ('waiting', 'building', 'ready', 'failed'));
ALTER TABLE portfolio DROP COLUMN set_id;
DROP TABLE portfolio_set;
