package ui

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// standard is a standardisation of the attempt, judged by two people who had no part in it, and a ruling. It is put in past the
// application, which holds one only on what was marked.
func (s *site) standard(t *testing.T) (standardisation, ruling string) {
	t.Helper()
	id, g := uuid.New(), uuid.New()
	by := s.people["manager"].Person
	briefs, err := s.Briefs(t.Context(), s.people["tutor"])
	must(t, err)
	must(t, s.db.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		row := store.Standardisation{ID: id, Title: "Measuring", Brief: briefs[0].Brief, Version: 1, By: by, At: time.Now()}
		if err := tx.AddStandardisation(t.Context(), row, []uuid.UUID{s.id}, []uuid.UUID{by, s.people["second"].Person}); err != nil {
			return err
		}
		return tx.AddRuling(t.Context(), store.Ruling{ID: g, Criterion: "H2/1.1", Words: "So.", Doubts: store.DoubtsMet, EffectiveOn: time.Now(), By: by, At: time.Now()})
	}))
	return id.String(), g.String()
}

// A quality assurer sets what is judged blind, two judge it, and the differences lead to a ruling.
func TestStandardisingInTheBrowser(t *testing.T) {
	s := newSite(t)
	s.handIn(t)
	ctx := t.Context()
	_, inv, err := s.AddPerson(ctx, s.people["manager"], app.NewPerson{Name: "Iris Vale", SignInName: "iris", Roles: []account.Role{account.QualityAssurer}})
	must(t, err)
	s.people["iris"], err = s.AcceptInvitation(ctx, inv.Token, password)
	must(t, err)
	iris, second := s.in(t, "iris"), s.in(t, "second")
	briefs, err := s.Briefs(ctx, s.people["tutor"])
	must(t, err)
	brief := briefs[0].Brief.String() + " 1"

	iris.get(t, "/standardisations").want(t, 200, "None yet.", "Set one")
	iris.get(t, "/standardisations/new").want(t, 200, "Show its attempts")
	iris.get(t, "/standardisations/new?brief="+url.QueryEscape(brief)).want(t, 200, "Who judges", s.people["trainee"].Name)
	iris.post(t, "/standardisations", url.Values{"brief": {brief}, "title": {"Measuring"}, "attempts": {s.id.String()}, "judges": {s.people["iris"].Person.String()}}).
		want(t, 422, "one alone agrees with nobody")
	a := iris.post(t, "/standardisations", url.Values{"brief": {brief}, "title": {"Measuring"}, "attempts": {s.id.String()},
		"judges": {s.people["iris"].Person.String(), s.people["second"].Person.String()}})
	at := a.header.Get("Location")
	a.sent(t, at)
	iris.get(t, at).want(t, 200, "0 of 2 judged.", "Work 1")
	work := at + s.attempt
	page := second.get(t, work).want(t, 200, "Work 1 of 1", "Keep what I said")
	if strings.Contains(page.body, s.people["trainee"].Name) {
		t.Error("it says whose work it is")
	}
	say := url.Values{}
	for _, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
		say.Add("criterion", ref)
		say.Set("outcome:"+ref, "met")
		say.Set("words:"+ref, "Seen.")
	}
	say.Del("outcome:H2/1.2")
	second.post(t, work, say).want(t, 422, "H2/1.2: Choose met or not yet met.")
	say.Set("outcome:H2/1.2", "met")
	second.post(t, work, say).sent(t, at)
	second.get(t, work).want(t, 200, "You have judged this one.")
	iris.get(t, at).want(t, 200, "1 of 2 judged.", "1 of 1 judged")
	say.Set("outcome:H2/1.2", "not_yet_met")
	say.Set("reason:H2/1.2", "sufficient")
	iris.post(t, work, say).sent(t, at)
	second.get(t, at).want(t, 200, "All have judged.", "you differ", "Of 4 pairs of judgements 3 agree: 75 in 100.", "Too few", s.people["trainee"].Name)
	iris.get(t, at).want(t, 200, "Rule on H2/1.2", "Close it")
	iris.post(t, at+"/close", url.Values{}).sent(t, at)
	iris.get(t, "/rulings?criterion=H2/1.2").want(t, 200, "Make a ruling")
	iris.post(t, "/rulings", url.Values{"criterion": {"H2/1.2"}}).want(t, 422, "Say in plain words how it is to be read.")
	a = iris.post(t, "/rulings", url.Values{"criterion": {"H2/1.2"}, "words": {"Three readings."}, "doubts": {"met"}, "effective_on": {"2099-01-01"}})
	a.sent(t, a.header.Get("Location"))
	second.get(t, a.header.Get("Location")).want(t, 200, "Ruling on H2/1.2", "Three readings.", "Holds from 1 January 2099")
	today := time.Now().In(app.London()).Format(time.DateOnly)
	iris.post(t, "/rulings", url.Values{"criterion": {"H2/1.2"}, "words": {"Two readings."}, "doubts": {"none"}, "effective_on": {today}}).want(t, 303)
	if page := second.get(t, s.attempt).want(t, 200, "“Two readings.”"); strings.Contains(page.body, "Three readings.") {
		t.Error("a ruling stands beside its criterion before its day")
	}
}
