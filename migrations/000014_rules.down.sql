ALTER TABLE brief_version DROP COLUMN rules;
DROP TABLE rule_end, rule_edition, rule_set;
DROP FUNCTION checked_stays();
