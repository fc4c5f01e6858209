DROP TRIGGER without_award ON prior_decision;
DROP TRIGGER without_award ON record;
DROP TRIGGER award_entered ON registration;
DROP FUNCTION prior_award_counts;
DROP FUNCTION award_counts;
DROP FUNCTION award_entered;
-- The flag says of everybody what holds today.
ALTER TABLE person ADD COLUMN countersigned boolean NOT NULL DEFAULT false;
ALTER TABLE person NO FORCE ROW LEVEL SECURITY;
ALTER TABLE person_role NO FORCE ROW LEVEL SECURITY;
ALTER TABLE registration NO FORCE ROW LEVEL SECURITY;
UPDATE person p SET countersigned = NOT decides_alone(p.centre_id, p.person_id, now())
WHERE EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role = 'tutor');
ALTER TABLE person FORCE ROW LEVEL SECURITY;
ALTER TABLE person_role FORCE ROW LEVEL SECURITY;
ALTER TABLE registration FORCE ROW LEVEL SECURITY;
DROP FUNCTION decides_alone;
ALTER TABLE person DROP COLUMN before_alone, DROP COLUMN before_until;
