DROP TABLE marking, record;
