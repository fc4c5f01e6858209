package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// Ask is something to ask the trainee, since what was handed in does not say it by itself. It says what was seen and never
// what it means: people share rigs, phones and cables, and may have been told to.
type Ask struct {
	Item string // its key; "" where it is about the whole attempt
	Text string
	See  Alike // two things to look at side by side; the zero Alike for none
}

// Alike names two things that are alike: photos by their evidence, or the readings of two attempts. The zero Alike names none.
type Alike struct {
	Readings   bool
	One, Other uuid.UUID
}

// asks lists what there is to ask a trainee about where the evidence comes from, in the order of the sheet.
func (a *App) asks(ctx context.Context, centre int64, l loaded) ([]Ask, error) {
	var readings []string
	for i := range l.brief.Stages {
		for j := range l.brief.Stages[i].Items {
			if it := &l.brief.Stages[i].Items[j]; it.Reading != nil {
				readings = append(readings, it.Key)
			}
		}
	}
	alike, err := a.db.Alike(ctx, centre, l.Attempt.ID, readings)
	if err != nil {
		return nil, err
	}
	who, _, _ := strings.Cut(l.Trainee.Name, " ")
	all := slices.Concat(asksOfReadings(who, l.Attempt.ID, alike.Readings), asksOfPictures(who, alike.Pictures), asksOfTwice(who, l), asksOfOrder(who, l), asksOfWorking(who, l))
	place := map[string]int{}
	for i := range l.brief.Stages {
		for j := range l.brief.Stages[i].Items {
			place[l.brief.Stages[i].Items[j].Key] = len(place) + 1
		}
	}
	slices.SortStableFunc(all, func(x, y Ask) int { return place[x.Item] - place[y.Item] })
	return all, nil
}

// asksOfReadings asks about readings that are all the same as somebody else's.
func asksOfReadings(who string, own uuid.UUID, rs []store.ReadingsAlike) []Ask {
	if len(rs) == 0 {
		return nil
	}
	var names []string
	for _, r := range rs {
		names = append(names, r.TraineeName)
	}
	return []Ask{{See: Alike{Readings: true, One: own, Other: rs[0].Attempt}, Text: fmt.Sprintf("Ask %s who took the readings, and with whom: all %d are the same to the last digit as those of %s.", who, rs[0].Same, named(names))}}
}

// named lists names, three of them at most.
func named(names []string) string {
	names = slices.Compact(names)
	if more := len(names) - 3; more > 0 {
		return fmt.Sprintf("%s and %d others", strings.Join(names[:3], ", "), more)
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// asksOfPictures asks about pictures that others have handed in as well. Somebody of another cohort is not named.
func asksOfPictures(who string, ps []store.PictureAlike) []Ask {
	var asks []Ask
	for i := 0; i < len(ps); {
		same, exact, see := []string{}, ps[i].Exact, Alike{}
		j := i
		for ; j < len(ps) && ps[j].Evidence == ps[i].Evidence && ps[j].Exact == exact; j++ {
			name := ps[j].TraineeName
			switch {
			case !ps[j].SameCohort:
				name = "somebody of another cohort"
			case see.One == uuid.Nil:
				see = Alike{One: ps[j].Evidence, Other: ps[j].Other}
			}
			if !slices.Contains(same, name) {
				same = append(same, name)
			}
		}
		what := "the same picture"
		if !exact {
			what = "a picture that looks the same"
		}
		asks = append(asks, Ask{Item: ps[i].Item, See: see, Text: fmt.Sprintf("Ask %s who took this photo, and when: %s is in the work of %s.", who, what, named(same))})
		i = j
	}
	return asks
}

// asksOfTwice asks about one picture at several items.
func asksOfTwice(who string, l loaded) []Ask {
	first := map[string]string{}
	var asks []Ask
	for _, e := range l.Evidence {
		at, again := first[e.Digest]
		if !again {
			first[e.Digest] = e.Item
		} else if it, _, ok := l.brief.Item(at); ok && at != e.Item {
			asks = append(asks, Ask{Item: e.Item, Text: fmt.Sprintf("Ask %s what this photo shows here: the same picture stands under “%s”.", who, it.Title)})
		}
	}
	return asks
}

// asksOfOrder asks about what was captured before its hold point was released, once for each item.
func asksOfOrder(who string, l loaded) []Ask {
	var asks []Ask
	seen := map[string]bool{}
	orders := orderOf(l.JobSheet, l.brief)
	ask := func(item string, captured decision.Moment, received time.Time) {
		o, h := orders.of(item, captured, received)
		if o != decision.Before || seen[item] {
			return
		}
		seen[item] = true
		at, steady := captured.True()
		if !steady {
			at = received
		}
		of := "this stage"
		if h.Earlier {
			of = fmt.Sprintf("stage %d (%s)", h.Number, h.Stage.Title)
		}
		text := fmt.Sprintf("Ask %s how it came about that this was captured at %s, before the hold point of %s was released", who, at.In(London()).Format("15:04 on 2 January"), of)
		if h.Release != nil {
			text += " at " + decision.ReleasedAt(h.Release).In(London()).Format("15:04 on 2 January")
		}
		asks = append(asks, Ask{Item: item, Text: text + "."})
	}
	for _, e := range l.Evidence {
		ask(e.Item, e.Captured(), e.ReceivedAt)
	}
	for _, e := range l.Latest() {
		if e.Text != "" {
			ask(e.Item, e.Captured(), e.ReceivedAt)
		}
	}
	return asks
}

// asksOfWorking asks about answers that are right and do not follow from the trainee's own working.
func asksOfWorking(who string, l loaded) []Ask {
	if l.Marking == nil {
		return nil
	}
	var asks []Ask
	for _, f := range l.Marking.Result.Findings {
		it, _, ok := l.brief.Item(f.Item)
		from := ""
		for _, flag := range f.Flags {
			switch flag.Code {
			case marking.FlagNotFromWorking:
				from = "its working comes to something else"
			case marking.FlagInconsistent:
				from = "it does not follow from the figures before it"
			}
		}
		if ok && from != "" {
			asks = append(asks, Ask{Item: f.Item, Text: fmt.Sprintf("Ask %s how %s was found: it is right, and %s.", who, answered(it, f), from)})
		}
	}
	return asks
}

// answered is what was stated, with its unit, or the item where nothing was.
func answered(it *brief.Item, f marking.Finding) string {
	if f.Stated == "" {
		return "“" + it.Title + "”"
	}
	s := f.Stated
	if f.Unit != "" && !strings.HasSuffix(s, f.Unit) {
		s += "\u202f" + f.Unit
	}
	return s
}
