DROP TABLE centre;
