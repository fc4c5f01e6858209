ALTER TABLE person DROP COLUMN countersigned;
