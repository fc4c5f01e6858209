ALTER TABLE centre DROP CONSTRAINT centre_code_key;
