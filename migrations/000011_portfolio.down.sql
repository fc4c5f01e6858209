DROP TABLE portfolio;
