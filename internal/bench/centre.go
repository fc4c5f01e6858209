package main

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/brief"
	"witnessmark/internal/store"
)

const (
	centreTasks   = 30
	centreLoads   = 5    // pages in a leg
	centreQueries = 8    // statements that a page may send, besides those that know the session and name the centre
	centreLeast   = 1000 // bytes of the shortest page
)

// centreSizes are the trainees of the centres that are measured, the largest last.
var centreSizes = []int{100, 300, 1000}

// centrePagesBars compares each page of a centre with the same statements through pgx alone, at three sizes, and keeps in grown how long
// each took. The bar's line names how many statements the page sends.
func centrePagesBars(ctx context.Context, c *cluster, grown growths) []rounds.Comparison {
	var all []rounds.Comparison
	for _, size := range centreSizes {
		ready := sync.OnceValues(func() (*largeCentre, error) {
			s, err := c.serve(ctx, fmt.Sprintf("centre%d", size))
			if err != nil {
				return nil, err
			}
			return fillCentre(ctx, s, size, centreTasks)
		})
		for _, p := range centrePages() {
			all = append(all, rounds.Comparison{
				Bar: rounds.Bar{Name: fmt.Sprintf("centre: %s, %d trainees", p.name, size), Unit: "milliseconds", Ours: "page", Theirs: "bare pgx", Kind: rounds.AtMost, Limit: 3},
				Measure: func(theirsFirst bool) (rounds.Round, error) {
					w, err := ready()
					if err != nil {
						return rounds.Round{}, err
					}
					r, err := w.round(ctx, p, theirsFirst)
					grown.add(p.name, size, r)
					return r, err
				},
				Note: func() string {
					w, err := ready()
					if err != nil {
						return ""
					}
					return fmt.Sprintf("%d statements", w.sent[p.name])
				},
			})
		}
	}
	return all
}

// largeCentre is a server with a large centre, and what each of its pages sends to the database.
type largeCentre struct {
	*served
	centre int64
	calls  map[string][]call // by the page's name
	sent   map[string]int    // statements, likewise
}

// round lets page and statements take turns.
func (w *largeCentre) round(ctx context.Context, p centrePage, theirsFirst bool) (rounds.Round, error) {
	path, token := expand(p.path), token(p.who)
	if w.calls[p.name] == nil {
		calls, n, err := w.learn(ctx, path, token, centreLeast, centreQueries)
		w.sent[p.name] = n
		if err != nil {
			return rounds.Round{}, err
		}
		w.calls[p.name] = calls
	}
	return turns(centreLoads, theirsFirst, func() error { return w.page(ctx, path, token, centreLeast) }, func() error { return sendBare(ctx, w.conn, w.calls[p.name]) })
}

// expand puts ids in the places of {words}: the MD5 of each, as the rows have it.
func expand(path string) string {
	for {
		before, rest, found := strings.Cut(path, "{")
		if !found {
			return path
		}
		word, after, _ := strings.Cut(rest, "}")
		path = before + md5ID(word).String() + after
	}
}

// fillCentre makes a centre of so many trainees with so many tasks each, and a server on it. It takes a hundred trainees and ten tasks at least
// for every page to have something.
func fillCentre(ctx context.Context, s *served, trainees, tasks int) (*largeCentre, error) {
	w := &largeCentre{served: s, calls: map[string][]call{}, sent: map[string]int{}}
	row, err := w.db.CreateCentre(ctx, "BENCH", "Centre for measuring", time.Now())
	if err != nil {
		return nil, err
	}
	w.centre = row.ID
	made, err := marked()
	if err != nil {
		return nil, err
	}
	values := map[string]any{"centre": row.ID, "trainees": trainees, "tasks": tasks, "source": source, "digest": brief.Digest([]byte(source)), "result": made, "rules": limits, "limited": brief.Digest([]byte(limits))}
	for _, subject := range [][]string{centreRows, sampledRows, registerRows, alikeRows, standardRows, fileRows, visitRows, keptRows, teachingRows} {
		if err := w.fill(ctx, values, subject...); err != nil {
			return nil, err
		}
	}
	if err := w.people(ctx); err != nil {
		return nil, err
	}
	// The rows went round the decision log: an entry of it, signed.
	ruling := app.NewRuling{Criterion: "H2/1.1", Words: "The label is to be read from the floor.", Doubts: store.DoubtsNone, EffectiveOn: time.Now()}
	if _, err := w.app.MakeRuling(ctx, w.caller(asAssurer), ruling); err != nil {
		return nil, err
	}
	return w, w.app.SignLogs(ctx)
}

// viewers are those who look, by viewer.
var viewers = []struct {
	name  string
	role  account.Role
	visit string // that they are on
	there bool   // among the rows already
}{
	asManager:  {name: "manager", role: account.Manager},
	asAssurer:  {name: "assurer", role: account.QualityAssurer},
	asVerifier: {name: "verifier", role: account.ExternalVerifier, visit: "visit"},
	asTutor:    {name: "tutor1", role: account.Tutor, there: true},
	asTrainee:  {name: "trainee6", role: account.Trainee, there: true},
}

// caller is a viewer as the application knows them.
func (w *largeCentre) caller(who viewer) account.Caller {
	v := viewers[who]
	return account.Caller{Centre: w.centre, Person: md5ID(v.name), Name: v.name, Roles: []account.Role{v.role}, Registrations: awards}
}

// people adds whoever looks and is not there, and gives each a session.
func (w *largeCentre) people(ctx context.Context) error {
	for who, v := range viewers {
		if !v.there {
			err := w.db.Write(ctx, w.centre, func(t *store.Tx) error {
				return t.AddPerson(ctx, store.Person{ID: md5ID(v.name), Name: v.name, SignInName: v.name, Roles: []account.Role{v.role}, Registrations: awards, CreatedAt: time.Now()})
			})
			if err != nil {
				return err
			}
		}
		visit := uuid.Nil
		if v.visit != "" {
			visit = md5ID(v.visit)
		}
		if err := w.signIn(ctx, w.centre, md5ID(v.name), visit, token(who)); err != nil {
			return err
		}
	}
	return nil
}
