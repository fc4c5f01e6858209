DROP TABLE cohort_member, cohort;
