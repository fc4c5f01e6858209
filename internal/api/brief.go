package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// BriefVersion is one version of a brief, without its text.
type BriefVersion struct {
	Brief       uuid.UUID `json:"brief"`
	Key         string    `json:"key"`
	Version     int       `json:"version"`
	Title       string    `json:"title"`
	Digest      string    `json:"digest" about:"SHA-256 of the text in hexadecimal digits."`
	Units       []string  `json:"units" about:"Codes of the qualification units that it bears on."`
	State       string    `json:"state" about:"draft or published; a published version never changes."`
	WrittenBy   string    `json:"written_by"`
	WrittenAt   time.Time `json:"written_at"`
	PublishedAt time.Time `json:"published_at,omitzero"`
}

// Briefs is every version of every brief: by key, the newest of each first.
type Briefs struct {
	Briefs []BriefVersion `json:"briefs"`
}

func briefVersionOf(v app.BriefVersion) BriefVersion {
	return BriefVersion{
		Brief: v.Brief, Key: v.Key, Version: v.Version, Title: v.Title, Digest: v.Digest, Units: each(v.Units, same),
		State: string(v.State), WrittenBy: v.WriterName, WrittenAt: v.WrittenAt.UTC(), PublishedAt: v.PublishedAt.UTC(),
	}
}

func (s *service) briefs(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Briefs, error) {
	vs, err := s.app.Briefs(ctx, who)
	return Briefs{each(vs, briefVersionOf)}, err
}

type versionPath struct {
	ID      uuid.UUID `path:"id"`
	Version int       `path:"version"`
}

// BriefText is one version of a brief with its text and what the checker says of it.
type BriefText struct {
	BriefVersion BriefVersion   `json:"brief_version"`
	Source       string         `json:"source" about:"The brief file, as YAML."`
	Ready        bool           `json:"ready" about:"Nothing but warnings stands against publishing."`
	Problems     []BriefProblem `json:"problems"`
	Versions     []BriefVersion `json:"versions" about:"All of the same brief, the newest first."`
}

// BriefProblem is one thing to mend in a brief's text, or to think about.
type BriefProblem struct {
	Line    int    `json:"line,omitzero" about:"From 1; left out where the problem has no place in the text."`
	Column  int    `json:"column,omitzero" about:"In characters, from 1."`
	Path    string `json:"path,omitzero" about:"Which member, as stages[0].items[2].title."`
	Detail  string `json:"detail"`
	Hint    string `json:"hint,omitzero"`
	Warning bool   `json:"warning" about:"It may be published as it is."`
}

func briefProblemOf(p brief.Problem) BriefProblem {
	return BriefProblem{Line: p.Line, Column: p.Column, Path: p.Path, Detail: p.Text, Hint: p.Hint, Warning: p.Warning}
}

func (s *service) brief(ctx context.Context, who account.Caller, p versionPath, _ none, _ none) (BriefText, error) {
	t, err := s.app.Brief(ctx, who, p.ID, p.Version)
	return BriefText{
		BriefVersion: briefVersionOf(t.BriefVersion), Source: t.Source, Ready: t.Ready(),
		Problems: each(t.Problems, briefProblemOf), Versions: each(t.Versions, briefVersionOf),
	}, err
}

// BriefSource is a brief file's text.
type BriefSource struct {
	Source string `json:"source" validate:"required,max=900000" about:"The brief file, as YAML."`
}

// BriefCheck is what the checker says of a brief's text.
type BriefCheck struct {
	Readable bool           `json:"readable" about:"The text can be read, so that it can be saved as a draft."`
	Ready    bool           `json:"ready" about:"Nothing but warnings stands against publishing."`
	Problems []BriefProblem `json:"problems"`
}

func (s *service) checkBrief(ctx context.Context, who account.Caller, _ none, _ none, b BriefSource) (BriefCheck, error) {
	read, problems, err := s.app.CheckBrief(ctx, who, b.Source)
	return BriefCheck{Readable: read != nil, Ready: read != nil && problems.Err() == nil, Problems: each(problems, briefProblemOf)}, err
}

// BriefDraft is a brief file's text to be saved as a draft.
type BriefDraft struct {
	Source string `json:"source" validate:"required,max=900000" about:"The brief file, as YAML."`
	Over   string `json:"over" validate:"omitempty,len=64,hexadecimal" about:"The digest of the version that the tutor started from; left out for a new brief: a text under a key that no brief has is refused with one."`
}

// SavedBrief is where a draft was saved.
type SavedBrief struct {
	Brief   uuid.UUID `json:"brief"`
	Version int       `json:"version"`
}

func (s *service) saveBrief(ctx context.Context, who account.Caller, _ none, _ none, b BriefDraft) (SavedBrief, error) {
	id, version, err := s.app.SaveBrief(ctx, who, b.Source, b.Over)
	return SavedBrief{Brief: id, Version: version}, err
}

// NewTask is a published version to be set to a cohort.
type NewTask struct {
	Brief    uuid.UUID   `json:"brief" validate:"required"`
	Version  int         `json:"version" validate:"min=1"`
	Trainees []uuid.UUID `json:"trainees" validate:"omitempty,max=1000" about:"Of the cohort; left out for all of them."`
	FromOn   Date        `json:"from_on" validate:"omitempty" about:"The day before which nobody starts."`
	DueOn    Date        `json:"due_on" validate:"omitempty"`
	Attempts int         `json:"attempts" validate:"omitempty,min=1,max=20" about:"How many each trainee has; left out for as many as it takes."`
	Observer uuid.UUID   `json:"observer" validate:"omitempty" about:"Who watches the work, a tutor of the cohort; left out for any of them."`
}

func (s *service) setBrief(ctx context.Context, who account.Caller, p idPath, _ none, b NewTask) (Created, error) {
	id, err := s.app.SetBrief(ctx, who, app.SetBrief{
		Brief: b.Brief, Version: b.Version, Cohort: p.ID, Trainees: b.Trainees, FromOn: b.FromOn.Time, DueOn: b.DueOn.Time,
		Attempts: b.Attempts, Observer: b.Observer,
	})
	return Created{id}, err
}
