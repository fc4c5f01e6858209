-- How a brief is set: from which day, how many attempts each trainee has (NULL: as many as it takes), who observes (NULL: any
-- tutor of the cohort). A trainee's own day to hand over stands with the attempt: extra time that was agreed, or the day
-- by which more is to be done.
ALTER TABLE task ADD COLUMN from_on date;
ALTER TABLE task ADD COLUMN attempts int CHECK (attempts BETWEEN 1 AND 20);
ALTER TABLE task ADD COLUMN observer_id uuid;
ALTER TABLE task ADD FOREIGN KEY (centre_id, observer_id) REFERENCES person;
ALTER TABLE attempt ADD COLUMN due_on date; -- NULL: the task's
GRANT UPDATE (due_on) ON attempt TO witnessmark_app;
