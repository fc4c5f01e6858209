-- A person's decisions may wait for a countersignature, until they are qualified.
ALTER TABLE person ADD COLUMN countersigned boolean NOT NULL DEFAULT false;
