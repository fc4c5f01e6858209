-- Tutors of a cohort judge its trainees, so nobody is both. Who was keeps the trainee's part: their work is there. That is for every
-- centre at once: the policies step back from the owner until it is done.
ALTER TABLE cohort_member NO FORCE ROW LEVEL SECURITY;
DELETE FROM cohort_member m USING cohort_member t
WHERE m.part = 'tutor' AND t.part = 'trainee' AND t.centre_id = m.centre_id AND t.cohort_id = m.cohort_id AND t.person_id = m.person_id;
ALTER TABLE cohort_member FORCE ROW LEVEL SECURITY;
CREATE UNIQUE INDEX cohort_member_one_part ON cohort_member (centre_id, cohort_id, person_id);
