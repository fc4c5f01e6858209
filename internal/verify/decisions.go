package verify

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/portfolio"
)

// said is a decision as somebody reads it who has its bytes; the form is decision.Record's.
type said struct {
	ID         string   `json:"id"`
	Attempt    string   `json:"attempt"`
	Kind       string   `json:"kind"`
	Subject    string   `json:"subject"`
	Outcome    string   `json:"outcome"`
	ByName     string   `json:"by_name"`
	At         string   `json:"at"`
	Supersedes string   `json:"supersedes"`
	Evidence   []string `json:"evidence"`
}

// words name the decision.
func (s said) words() string {
	parts := []string{decision.Kind(s.Kind).Words()}
	for _, p := range []string{s.Subject, s.Outcome} {
		if p != "" {
			parts = append(parts, strings.ReplaceAll(p, "_", " "))
		}
	}
	return fmt.Sprintf("%s, by %s on %s", strings.Join(parts, " "), s.ByName, s.At)
}

// moment is the decision's kind and time, as its entry has them for everybody to read.
func (s said) moment() string {
	at, err := time.Parse(time.RFC3339Nano, s.At)
	if err != nil {
		return ""
	}
	return s.Kind + " " + at.Format(time.RFC3339Nano)
}

func readSaid(raw []byte) said {
	var s said
	if err := json.Unmarshal(raw, &s); err != nil {
		return said{Kind: "what is no decision", ByName: "nobody", At: "no day"}
	}
	return s
}

// basis is what a decision rests on, as store commits to it.
type basis struct {
	Files []string `json:"files"` // "ITEM DIGEST"
}

// decisions holds each decision of the record against the log, and the other way about.
func (p *Portfolio) decisions() {
	if p.State.Size == 0 {
		return
	}
	logged := map[string]ledger.Entry{} // by the decision's bytes
	byID := map[string]string{}
	closed := map[string]int{} // entries of decisions that nothing opens, by kind and time
	for _, e := range p.Log.Entries {
		leaf, err := ledger.ReadLeaf(e.Leaf)
		if err != nil || leaf.Kind == ledger.KindPortfolio {
			continue
		}
		if raw, ok := e.Opened(ledger.SecretRecord); ok {
			logged[string(raw)] = e
			byID[readSaid(raw).ID] = string(raw)
		} else if _, ok := leaf.Commits[ledger.SecretRecord]; ok {
			closed[leaf.Kind+" "+leaf.At.Format(time.RFC3339Nano)]++
		}
	}
	wrong, late, gone := 0, 0, 0
	ids := map[string]bool{}
	var stand []said
	for _, t := range p.Record.Tasks {
		for _, at := range t.Attempts {
			for _, raw := range at.Records {
				s := readSaid(raw)
				stand = append(stand, s)
				ids[s.ID] = true
				e, ok := logged[string(raw)]
				if !ok && at.State == string(decision.Destroyed) && closed[s.moment()] > 0 {
					closed[s.moment()]--
					gone++
					continue
				}
				if !ok {
					wrong++
					p.notLogged(t, at, s, raw, byID[s.ID])
					continue
				}
				if leaf, err := ledger.ReadLeaf(e.Leaf); err == nil && leaf.Backfilled {
					late++
				}
				wrong += p.rests(t, at, s, e)
			}
		}
	}
	for _, raw := range slices.Sorted(maps.Keys(logged)) {
		if s := readSaid([]byte(raw)); !ids[s.ID] {
			wrong++
			p.broken("decisions", "A decision was taken out of the record: %s (entry %d of the log).", s.words(), logged[raw].Index)
		}
	}
	for _, s := range stand {
		if s.Supersedes != "" && !ids[s.Supersedes] {
			wrong++
			p.broken("decisions", "The decision that was superseded by another is missing from the record: %s.", s.words())
		}
	}
	if all := "All"; wrong == 0 {
		if gone > 0 {
			all = "All other"
		}
		p.holds("decisions", "%s %s of the record are entries of the log, word for word, and none of these entries is missing from it.",
			all, counted(len(stand)-gone, "decision", "decisions"))
	}
	if gone > 0 {
		p.add("decisions", NotChecked, "%s of an attempt that was erased, so nobody can read any more what the log has of it. That it has as many entries, of that kind and time, is checked.",
			counted(gone, "decision is", "decisions are"))
	}
	if late > 0 {
		p.add("decisions", NotChecked, "%s made before there was a log and entered afterwards, which says nothing of when.", was(late))
	}
}

func was(n int) string {
	if n == 1 {
		return "1 of them was"
	}
	return fmt.Sprintf("%d of them were", n)
}

// notLogged says how a decision of the record differs from what was logged under its id.
func (p *Portfolio) notLogged(t portfolio.RecordTask, at portfolio.RecordAttempt, s said, raw []byte, logged string) {
	where := fmt.Sprintf("Task %d, attempt %d", t.Number, at.Number)
	if logged == "" {
		p.broken("decisions", "%s: a decision that the log does not have was put into the record: %s.", where, s.words())
		return
	}
	var now, then map[string]any
	if json.Unmarshal(raw, &now) != nil || json.Unmarshal([]byte(logged), &then) != nil {
		p.broken("decisions", "%s: a decision was changed in the record, and cannot be read: %s.", where, s.words())
		return
	}
	var how []string
	for _, name := range slices.Sorted(maps.Keys(then)) {
		if a, b := fmt.Sprint(then[name]), fmt.Sprint(now[name]); a != b {
			how = append(how, fmt.Sprintf("%s was logged as %q and stands there as %q", name, a, b))
		}
	}
	p.broken("decisions", "%s: the decision %s was changed in the record: %s.", where, s.words(), strings.Join(how, "; "))
}

// rests says how many files that a decision rested on are not in the attempt any more, or are others.
func (p *Portfolio) rests(t portfolio.RecordTask, at portfolio.RecordAttempt, s said, e ledger.Entry) int {
	text, ok := e.Opened(ledger.SecretBasis)
	var b basis
	if !ok || json.Unmarshal(text, &b) != nil {
		return 0
	}
	have := map[string]bool{}
	for _, n := range at.Files {
		if n >= 1 && n <= len(p.Record.Files) {
			f := p.Record.Files[n-1]
			have[f.Item+" "+f.SHA256] = true
		}
	}
	wrong := 0
	for _, f := range b.Files {
		if !have[f] {
			wrong++
			item, digest, _ := strings.Cut(f, " ")
			p.broken("decisions", "Task %d, attempt %d: a file that a decision rested on is missing or another: %s of item %s (%s).", t.Number, at.Number, short(digest), item, s.words())
		}
	}
	return wrong
}
