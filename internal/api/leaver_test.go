package api_test

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/google/uuid"
)

// leaverFile is what a caller reads of the trainee's withdrawals.
type leaverFile struct {
	Withdrawals []struct {
		ID          uuid.UUID `json:"id"`
		LeftOn      string    `json:"left_on"`
		Words       string    `json:"words"`
		TakenBackAt string    `json:"taken_back_at"`
	} `json:"withdrawals"`
}

func (s *site) leaver(t *testing.T, reader string) leaverFile {
	t.Helper()
	a := s.people[reader].json(t, "GET", "/api/people/"+s.people["own"].id.String(), nil)
	a.want(t, http.StatusOK)
	var f leaverFile
	a.into(t, &f)
	return f
}

// withdrawal is the id of the trainee's withdrawal.
func (s *site) withdrawal(t *testing.T) string {
	t.Helper()
	f := s.leaver(t, "manager")
	if len(f.Withdrawals) != 1 {
		t.Fatalf("%d withdrawals", len(f.Withdrawals))
	}
	return f.Withdrawals[0].ID.String()
}

// A machine withdraws a trainee and takes that back; why is told to managers alone.
func TestWithdrawingATraineeOverTheAPI(t *testing.T) {
	s := newSite(t)
	manager, own := s.people["manager"], s.people["own"]
	s.set(t)
	s.open(t)
	path := "/api/people/" + own.id.String() + "/withdrawals"
	manager.json(t, "POST", path, body{"left_on": "2999-01-01", "words": "A job elsewhere."}).want(t, http.StatusUnprocessableEntity)
	a := manager.json(t, "POST", path, body{"left_on": "2026-01-01", "words": "A job elsewhere."})
	a.want(t, http.StatusCreated)
	var w struct {
		Closed int `json:"closed"`
	}
	if err := json.Unmarshal(a.Body.Bytes(), &w); err != nil || w.Closed != 1 {
		t.Errorf("%d attempts closed (%v), want 1", w.Closed, err)
	}
	manager.json(t, "POST", path, body{"left_on": "2026-01-01", "words": "Once more."}).want(t, http.StatusConflict)
	for reader, words := range map[string]string{"manager": "A job elsewhere.", "teaches": ""} {
		if f := s.leaver(t, reader); len(f.Withdrawals) != 1 || f.Withdrawals[0].Words != words || f.Withdrawals[0].LeftOn != "2026-01-01" {
			t.Errorf("%s reads %+v", reader, f)
		}
	}
	var k struct {
		Trainees  []struct{ Person uuid.UUID } `json:"trainees"`
		Withdrawn []struct {
			Person uuid.UUID `json:"person"`
			LeftOn string    `json:"left_on"`
		} `json:"withdrawn"`
	}
	manager.json(t, "GET", s.path("/api/cohorts/{cohort}"), nil).into(t, &k)
	if len(k.Trainees) != 0 || len(k.Withdrawn) != 1 || k.Withdrawn[0].Person != own.id || k.Withdrawn[0].LeftOn != "2026-01-01" {
		t.Errorf("the cohort has %+v", k)
	}
	var sheet struct {
		State   string                  `json:"state"`
		Records []struct{ Kind string } `json:"records"`
	}
	s.people["teaches"].json(t, "GET", s.at(""), nil).into(t, &sheet)
	if sheet.State != "withdrawn" || len(sheet.Records) == 0 || sheet.Records[len(sheet.Records)-1].Kind != "trainee_withdrawn" {
		t.Errorf("the tutor reads %+v", sheet)
	}
	back := "/api/withdrawals/" + s.withdrawal(t) + "/back"
	manager.json(t, "POST", back, body{"words": "They are here."}).want(t, http.StatusNoContent)
	manager.json(t, "POST", back, body{"words": "They are here."}).want(t, http.StatusConflict)
	if f := s.leaver(t, "manager"); f.Withdrawals[0].TakenBackAt == "" {
		t.Errorf("taken back, it reads %+v", f)
	}
}
