package app

import (
	"cmp"
	"context"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/insight"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// insightMost is how many attempts are counted at most, those handed over last.
const insightMost = 2_000

// Insight is how a version of a brief did: figure by figure, over first attempts.
type Insight struct {
	Version  store.BriefVersion
	Versions []store.BriefVersion
	Attempts int
	More     bool // there are more; the latest are counted
	Figures  []FigureInsight
}

// FigureInsight is how one figure or choice did.
type FigureInsight struct {
	insight.Item
	Key, Title string
	Verdicts   map[marking.Verdict]int
	Slips      []SlipCount // the commonest first
}

// SlipCount is a wrong way of working, and how often the marker named it.
type SlipCount struct {
	Is    string
	Times int
}

// Insight says how a published version of a brief did. It names no trainee.
func (a *App) Insight(ctx context.Context, c account.Caller, id uuid.UUID, version int) (Insight, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return Insight{}, err
	}
	v, err := a.db.BriefVersion(ctx, c.Centre, id, version)
	if err != nil {
		return Insight{}, err
	}
	if v.State != store.Published {
		return Insight{}, hidden("published version")
	}
	versions, err := a.db.BriefVersions(ctx, c.Centre, id)
	if err != nil {
		return Insight{}, err
	}
	b, err := a.briefs.brief(v.Digest, func() (string, error) { return v.Source, nil })
	if err != nil {
		return Insight{}, err
	}
	lines, err := a.db.InsightLines(ctx, c.Centre, id, version, insightMost+1)
	if err != nil {
		return Insight{}, err
	}
	out := Insight{Version: v, Versions: versions}
	out.count(b, lines)
	return out, nil
}

// count fills in the figures; lines come by attempt.
func (in *Insight) count(b *brief.Brief, lines []store.InsightLine) {
	places := map[string]int{}
	for i := range b.Stages {
		for k := range b.Stages[i].Items {
			if it := &b.Stages[i].Items[k]; it.Figure != nil || it.Choice != nil {
				places[it.Key] = len(in.Figures)
				in.Figures = append(in.Figures, FigureInsight{Key: it.Key, Title: it.Title, Verdicts: map[marking.Verdict]int{}})
			}
		}
	}
	slips := make([]map[string]int, len(in.Figures))
	var marks [][]insight.Mark
	last := uuid.Nil
	for _, l := range lines {
		if l.Attempt != last {
			if len(marks) == insightMost {
				in.More = true
				break
			}
			marks, last = append(marks, make([]insight.Mark, len(in.Figures))), l.Attempt
		}
		i, ok := places[l.Item]
		if !ok {
			continue
		}
		marks[len(marks)-1][i] = markOf(l.Verdict)
		in.Figures[i].Verdicts[l.Verdict]++
		if l.Slip != "" {
			if slips[i] == nil {
				slips[i] = map[string]int{}
			}
			slips[i][l.Slip]++
		}
	}
	in.Attempts = len(marks)
	for i, it := range insight.Items(marks) {
		f := &in.Figures[i]
		f.Item = it
		for is, n := range slips[i] {
			f.Slips = append(f.Slips, SlipCount{is, n})
		}
		slices.SortFunc(f.Slips, func(a, b SlipCount) int { return cmp.Or(b.Times-a.Times, cmp.Compare(a.Is, b.Is)) })
	}
}

// markOf is a verdict as it is counted.
func markOf(v marking.Verdict) insight.Mark {
	switch {
	case v.Full():
		return insight.Right
	case v == marking.ToRead || v == marking.NotAttempted:
		return insight.Open
	}
	return insight.Wrong
}
