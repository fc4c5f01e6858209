ALTER TABLE attempt DROP COLUMN corrected_by;
DROP TABLE remark_result, remark;
