DROP TABLE criterion, learning_outcome, qualification_unit;
