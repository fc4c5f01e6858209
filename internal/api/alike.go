package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

func (s *service) alikeRoutes() []Route {
	return []Route{
		route("alike", get, "/api/alike", account.SeeAlike, "Lists photos of different trainees that are worth a look, at which nobody has looked yet: questions, and nothing else.", s.alike),
		route("setAlike", put, "/api/alike/setting", account.SetAlike, "Says from where on two photos are worth a look in this centre.", s.setAlike),
		route("lookAtPair", post, "/api/alike/pictures/{one}/{other}", account.LookAgain, "Keeps what somebody found out about two photos.", s.lookAtPair),
		route("alikeReadings", get, "/api/alike/readings/{one}/{other}", account.SeeAlike, "Gives the readings of two attempts side by side.", s.alikeReadings),
		route("lookAtReadings", post, "/api/alike/readings/{one}/{other}", account.LookAgain, "Keeps what somebody found out about the readings of two attempts.", s.lookAtReadings),
	}
}

// AlikeRow is two photos of different trainees.
type AlikeRow struct {
	One         uuid.UUID `json:"one"`
	Other       uuid.UUID `json:"other"`
	Exact       bool      `json:"exact" about:"The same bytes; else they look alike."`
	Trainee     string    `json:"trainee"`
	OtherName   string    `json:"other_trainee"`
	Brief       string    `json:"brief"`
	Correlation float64   `json:"correlation" about:"1 for the same picture."`
	FoundAt     time.Time `json:"found_at"`
}

// Alike is the first thirty, the newest first.
type Alike struct {
	Pairs []AlikeRow `json:"pairs"`
	More  bool       `json:"more"`
}

func (s *service) alike(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Alike, error) {
	l, err := s.app.AlikeRows(ctx, who, 1)
	var a Alike
	a.Pairs, a.More = []AlikeRow{}, l.More
	for _, r := range l.Rows {
		a.Pairs = append(a.Pairs, AlikeRow{One: r.One, Other: r.Other, Exact: r.Exact, Trainee: r.Name, OtherName: r.OtherName, Brief: r.Title, Correlation: r.Correlation, FoundAt: r.FoundAt.UTC()})
	}
	return a, err
}

// AlikeSetting is from where on two photos are worth a look.
type AlikeSetting struct {
	Pattern     int     `json:"pattern" validate:"min=0,max=10" about:"Bits of 64 in which their patterns may differ."`
	Edges       int     `json:"edges" validate:"min=0,max=8" about:"Or their edges."`
	Correlation float64 `json:"correlation" about:"0.5 to 1: how well they lie over each other at least; 1 is the same picture."`
	Words       string  `json:"words" validate:"required,max=4000" about:"Why."`
}

func (s *service) setAlike(ctx context.Context, who account.Caller, _ none, _ none, b AlikeSetting) (none, error) {
	return none{}, s.app.SetAlike(ctx, who, app.AlikeSetting{Pattern: b.Pattern, Edges: b.Edges, Correlation: b.Correlation, Words: b.Words})
}

type twoPath struct {
	One   uuid.UUID `path:"one"`
	Other uuid.UUID `path:"other"`
}

// NewAlikeLook is what somebody found out about two things that are alike.
type NewAlikeLook struct {
	ID      uuid.UUID `json:"id" validate:"required" about:"Made by the sender: the same again has no effect."`
	Outcome string    `json:"outcome" validate:"required,oneof=same different talked"`
	Words   string    `json:"words" validate:"required,max=4000"`
}

func (s *service) lookAtPair(ctx context.Context, who account.Caller, p twoPath, _ none, b NewAlikeLook) (none, error) {
	return none{}, s.app.LookAtPair(ctx, who, p.One, p.Other, app.Look(b))
}

// AlikeReading is one reading of two attempts.
type AlikeReading struct {
	Title string `json:"title"`
	Value string `json:"value"`
	Other string `json:"other"`
	Same  bool   `json:"same"`
}

// AlikeReadings is the readings of two attempts at one brief.
type AlikeReadings struct {
	Trainee  string         `json:"trainee"`
	Other    string         `json:"other_trainee"`
	Readings []AlikeReading `json:"readings"`
}

func (s *service) alikeReadings(ctx context.Context, who account.Caller, p twoPath, _ none, _ none) (AlikeReadings, error) {
	r, err := s.app.AlikeReadings(ctx, who, p.One, p.Other)
	return AlikeReadings{r.Name, r.OtherName, each(r.Rows, func(x app.AlikeReading) AlikeReading { return AlikeReading(x) })}, err
}

func (s *service) lookAtReadings(ctx context.Context, who account.Caller, p twoPath, _ none, b NewAlikeLook) (none, error) {
	return none{}, s.app.LookAtReadings(ctx, who, p.One, p.Other, app.Look(b))
}
