package api

import (
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// Diagnosis is what a functional test's wrong cells point at, by the faults that its brief declares. It is advice: no
// verdict, mark or block comes from it. What only a tutor sees is left out for others.
type Diagnosis struct {
	Sentence string        `json:"sentence"`
	Tutor    string        `json:"tutor,omitzero" about:"The sentence for the tutor."`
	Wrong    int           `json:"wrong,omitzero" about:"How many cells are not as expected."`
	Open     int           `json:"open,omitzero" about:"How many cells are not filled in, or not readable."`
	Likely   []LikelyFault `json:"likely_faults,omitempty" about:"Those that show just what was seen; where none does, the nearest first."`
	Apart    []string      `json:"apart,omitempty" about:"Open cells that tell them apart, row/check."`
	Left     []string      `json:"left,omitempty" about:"Wrong cells that none of them shows, row/check."`
}

// LikelyFault is a declared fault with what speaks for and against it.
type LikelyFault struct {
	Key     string   `json:"key"`
	Is      string   `json:"is"`
	Look    string   `json:"look,omitzero" about:"Where to look for it."`
	Fits    []string `json:"fits" about:"Wrong cells that show what the fault shows, row/check."`
	Against []string `json:"against" about:"Wrong cells that show something else, and right ones that it would change."`
}

// Question is what a tutor asks aloud at the bench.
type Question struct {
	Ask    string `json:"ask"`
	Listen string `json:"listen,omitzero" about:"What a good answer has in it."`
}

func (v viewer) diagnosis(d marking.Diagnosis) Diagnosis {
	if !v.full {
		return Diagnosis{Sentence: d.Trainee}
	}
	return Diagnosis{
		Sentence: d.Trainee, Tutor: d.Tutor, Wrong: d.Wrong, Open: d.Open, Apart: each(d.Apart, same), Left: each(d.Left, same),
		Likely: each(d.Likely, func(f marking.LikelyFault) LikelyFault {
			return LikelyFault{Key: f.Key, Is: f.Is, Look: f.Look, Fits: each(f.Fits, same), Against: each(f.Against, same)}
		}),
	}
}

func questionOf(q brief.Question) Question { return Question(q) }
