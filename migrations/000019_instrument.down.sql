DROP TABLE instrument;
