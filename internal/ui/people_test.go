package ui

import (
	"strings"
	"testing"
)

// People are found by the server, with what was looked for still in the form and in the ways to other pages.
func TestPeopleAreFound(t *testing.T) {
	s := newSite(t)
	manager := s.in(t, "manager")
	cohort := s.cohort.String()
	a := manager.get(t, "/people?find=TRAINEE&cohort="+cohort+"&unit=H2").want(t, 200, "Person trainee", "1 person", `value="TRAINEE"`, `value="`+cohort+`" selected`, `value="H2" selected`, "Show everybody")
	if strings.Contains(a.body, "Person tutor") {
		t.Error("somebody who does not fit is on the page")
	}
	manager.get(t, "/people?find=nobody").want(t, 200, "Nobody fits")
	manager.get(t, "/people?cohort=rubbish&page=-1").want(t, 200, "Person tutor")
	manager.get(t, "/people?page=99").want(t, 200, "4 people", "Person tutor")
	s.in(t, "trainee").get(t, "/people?find=a").want(t, 403)
}

func TestWaysToOtherPages(t *testing.T) {
	for address, want := range map[string]string{"/people": "/people?page=2", "/people?find=a+b": "/people?find=a+b&page=2"} {
		p := Paged{Address: address, Page: 2, Of: 2}
		if got := p.here(); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
		p.Page = 1
		if got := p.here(); got != address {
			t.Errorf("the first page is %s, want %s", got, address)
		}
	}
}
