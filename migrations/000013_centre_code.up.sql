-- Two centres with one code could not be told apart on paper.
ALTER TABLE centre ADD CONSTRAINT centre_code_key UNIQUE (code);
