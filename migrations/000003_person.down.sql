DROP TABLE registration, person_role, person;
