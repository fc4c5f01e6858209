DROP INDEX cohort_member_one_part;
