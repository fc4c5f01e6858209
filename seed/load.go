package seed

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/store"
	"witnessmark/seed/picture"
)

// story is the demonstration while it is being told. Its clock is set by hand, event by event.
type story struct {
	app    *app.App
	db     *store.Store
	base   time.Time // midnight before now, UTC
	now    time.Time
	centre int64
	people map[string]account.Caller // by sign-in name
	briefs []published
	photo  func(picture.Shot, time.Time) ([]byte, error)
}

// published is a brief as the centre has it.
type published struct {
	id      uuid.UUID
	version int
	brief   *brief.Brief
}

// Load fills an empty database with the demonstration centre, by the application's own methods. What happened lies in the
// six weeks before the machine's clock. It does the marker's work and the portfolio's where the story needs them; jobs
// that it leaves in the queue have the same effect when they are run.
func Load(ctx context.Context, a *app.App, db *store.Store) error { return load(ctx, a, db, Photo) }

func load(ctx context.Context, a *app.App, db *store.Store, photo func(picture.Shot, time.Time) ([]byte, error)) error {
	now := time.Now().UTC()
	s := &story{db: db, base: now.Truncate(24 * time.Hour), people: map[string]account.Caller{}, photo: photo}
	s.app = a.OnClock(func() time.Time { return s.now })
	s.at(45, 9, 0)
	if err := s.open(ctx); err != nil {
		return err
	}
	if err := s.register(ctx); err != nil {
		return err
	}
	if err := s.instruments(ctx); err != nil {
		return err
	}
	if err := s.rules(ctx); err != nil {
		return err
	}
	if err := s.publish(ctx); err != nil {
		return err
	}
	if err := s.amend(ctx); err != nil {
		return err
	}
	if err := s.tell(ctx); err != nil {
		return err
	}
	if err := s.drift(ctx); err != nil {
		return err
	}
	if err := s.disagree(ctx); err != nil {
		return err
	}
	if err := s.sample(ctx); err != nil {
		return err
	}
	if err := s.standardise(ctx); err != nil {
		return err
	}
	if err := s.leave(ctx); err != nil {
		return err
	}
	return s.visit(ctx)
}

// at sets the clock: so many days before today, at a time of day.
func (s *story) at(daysAgo, hour, minute int) time.Time {
	s.now = s.base.AddDate(0, 0, -daysAgo).Add(time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
	return s.now
}

// open makes the centre, its units, its people with their passwords, and its cohorts.
func (s *story) open(ctx context.Context) error {
	d := Demonstration()
	k, err := s.db.CreateCentre(ctx, d.Code, d.Name, s.now)
	if err != nil {
		return fmt.Errorf("open the demonstration centre: %w", err)
	}
	s.centre = k.ID
	for _, u := range d.Units {
		if err := s.db.Write(ctx, k.ID, func(t *store.Tx) error { return t.SaveUnit(ctx, u.stored()) }); err != nil {
			return fmt.Errorf("save the qualification unit %s: %w", u.Code, err)
		}
	}
	if err := s.join(ctx, d.People); err != nil {
		return err
	}
	manager := s.people["farrowby"]
	for _, c := range d.Cohorts {
		id, err := s.app.AddCohort(ctx, manager, c.Name)
		if err != nil {
			return fmt.Errorf("add cohort %s: %w", c.Name, err)
		}
		for _, n := range c.Tutors {
			if err := s.app.AddMember(ctx, manager, id, s.people[n].Person, store.PartTutor); err != nil {
				return fmt.Errorf("make %s a tutor of %s: %w", n, c.Name, err)
			}
		}
		for _, n := range c.Trainees {
			if err := s.app.AddMember(ctx, manager, id, s.people[n].Person, store.PartTrainee); err != nil {
				return fmt.Errorf("put %s into %s: %w", n, c.Name, err)
			}
		}
	}
	return nil
}

// join adds everybody, the manager first, and lets each accept their invitation.
func (s *story) join(ctx context.Context, people []Person) error {
	accept := func(p Person, inv app.Invitation) error {
		c, err := s.app.AcceptInvitation(ctx, inv.Token, Password)
		if err != nil {
			return fmt.Errorf("accept the invitation of %s: %w", p.SignInName, err)
		}
		if regs := p.registrations(s.base); len(regs) > 0 {
			if err := s.db.Write(ctx, s.centre, func(t *store.Tx) error { return t.SetRegistrations(ctx, c.Person, regs) }); err != nil {
				return fmt.Errorf("record the registrations of %s: %w", p.SignInName, err)
			}
			if c, err = s.app.Caller(ctx, s.centre, c.Person); err != nil {
				return err
			}
		}
		s.people[p.SignInName] = c
		return nil
	}
	var manager account.Caller
	for _, p := range people {
		if p.Role != account.Manager {
			continue
		}
		inv, err := s.app.InviteManager(ctx, s.centre, app.NewPerson{Name: p.Name, SignInName: p.SignInName})
		if err != nil {
			return fmt.Errorf("invite the manager: %w", err)
		}
		if err := accept(p, inv); err != nil {
			return err
		}
		manager = s.people[p.SignInName]
	}
	for _, p := range people {
		if p.Role == account.Manager {
			continue
		}
		_, inv, err := s.app.AddPerson(ctx, manager, app.NewPerson{Name: p.Name, SignInName: p.SignInName, Roles: []account.Role{p.Role}})
		if err != nil {
			return fmt.Errorf("add %s: %w", p.SignInName, err)
		}
		if err := accept(p, inv); err != nil {
			return err
		}
	}
	return nil
}

// stored is the unit as the store keeps it.
func (u Unit) stored() store.Unit {
	out := store.Unit{Code: u.Code, Title: u.Title, Edition: u.Edition}
	for _, o := range u.Outcomes {
		so := store.Outcome{Code: o.Code, Title: o.Title}
		for _, c := range o.Criteria {
			so.Criteria = append(so.Criteria, store.Criterion{Code: c.Code, Text: c.Text})
		}
		out.Outcomes = append(out.Outcomes, so)
	}
	return out
}

// rules enters the centre's rule sets, and has each checked by somebody else.
func (s *story) rules(ctx context.Context) error {
	sets, err := RuleSets()
	if err != nil {
		return err
	}
	for i, set := range sets {
		if err := s.enter(ctx, set.Source, 44, 5*i); err != nil {
			return fmt.Errorf("%s: %w", set.File, err)
		}
	}
	return nil
}

// enter has one person enter an edition, so many days ago and minutes after nine, and another check it.
func (s *story) enter(ctx context.Context, source []byte, daysAgo, minute int) error {
	s.at(daysAgo, 9, minute)
	id, err := s.app.SaveRules(ctx, s.people["ellingham"], string(source), "")
	if err != nil {
		return err
	}
	s.at(daysAgo, 9, minute+2)
	return s.app.ConfirmRules(ctx, s.people["rathmell"], id, brief.Digest(source), false)
}

// amend changes one limit for heating in the middle of the year, twelve days ago: whoever hands over from then on is marked
// under the next edition, and the report on it lists what it concerns.
func (s *story) amend(ctx context.Context) error {
	sets, err := RuleSets()
	if err != nil {
		return err
	}
	for _, set := range sets {
		if set.File != "rules/bay7-heating.yaml" {
			continue
		}
		next := strings.NewReplacer(
			`edition: "3, 2026"`, `edition: "4, 2026"`,
			"valid-from: 2026-01-01", "valid-from: "+s.base.AddDate(0, 0, -12).Format(time.DateOnly),
			"its open vent, at-most: 80 °C", "its open vent, at-most: 75 °C",
		).Replace(string(set.Source))
		if err := s.enter(ctx, []byte(next), 14, 0); err != nil {
			return fmt.Errorf("amend %s: %w", set.File, err)
		}
	}
	return nil
}

// publish has one person write the briefs, and another check and publish them.
func (s *story) publish(ctx context.Context) error {
	sources, err := Briefs()
	if err != nil {
		return err
	}
	tutor := s.people["ellingham"]
	for i, src := range sources {
		s.at(44, 10, 15*i)
		b, err := brief.Read(src.Source)
		if err != nil {
			return fmt.Errorf("%s: %w", src.File, err)
		}
		id, version, err := s.app.SaveBrief(ctx, tutor, string(src.Source), "")
		if err != nil {
			return fmt.Errorf("%s: %w", src.File, err)
		}
		t, err := s.app.Brief(ctx, tutor, id, version)
		if err != nil {
			return fmt.Errorf("%s: %w", src.File, err)
		}
		if err := s.app.AskForCheck(ctx, tutor, id, version, t.Digest, ""); err != nil {
			return fmt.Errorf("ask for %s to be checked: %w", src.File, err)
		}
		s.at(43, 15, 10*i)
		if err := s.app.PublishBrief(ctx, s.people["rathmell"], id, version, t.Digest); err != nil {
			return fmt.Errorf("publish %s: %w", src.File, err)
		}
		s.briefs = append(s.briefs, published{id, version, b})
	}
	return nil
}
