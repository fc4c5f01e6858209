package ui

import (
	"strings"

	"witnessmark/internal/app"
)

// samplePagesOfTheLog adds the pages of the decision log: with nothing, with much, and with names that somebody chose to do harm.
func samplePagesOfTheLog(ps map[string]page) {
	for name, n := range map[string]int{"empty": 0, "many": 50, "hostile": 2} {
		word := "Maximiliana Featherstonehaugh-Cholmondeley"
		if name == "hostile" {
			word = hostile
		}
		l := &LogPage{Frame: Frame{Title: "Decision log", Here: "/centre"}}
		e := &LogEntryPage{Frame: Frame{Title: "Entry 12", Here: "/centre"}, Entry: app.LoggedEntry{LogRow: app.LogRow{Index: 12, Kind: "sign_off", At: when}, Size: 60, Leaf: []byte("{}")}}
		for i := range n {
			l.Log.Rows = append(l.Log.Rows, app.LogRow{Index: int64(900 - i), Kind: []string{"criterion_decision", "key", "portfolio"}[i%3], At: when, ByName: []string{word, ""}[i%2], Role: "tutor"})
			l.Log.Witnesses = append(l.Log.Witnesses, app.LogWitness{Name: word, Key: strings.Repeat("A1", 40), Size: 800, At: when})
			e.Entry.Secrets = append(e.Entry.Secrets, app.LogSecret{Name: "record", Kept: i%2 == 0})
		}
		if n > 0 {
			signed := app.LogCheckpoint{Size: 890, Root: make([]byte, 32), Note: word, CreatedAt: when}
			l.Log.Size, l.Log.Origin, l.Log.Signed, l.Older, l.Log.Refused = 901, word, signed, 851, word
			l.Log.Keys = []app.LogKeyFacts{{Text: word, Fingerprint: strings.Repeat("5e", 32), MadeAt: when, SignsUntil: when}, {Text: word, MadeAt: when}}
			l.Compared = &app.ComparedLog{Newest: signed, Why: word, Continues: name == "many"}
			e.Entry.ByName, e.Entry.Signed, e.Entry.Broken, e.Entry.Said.Facts = word, signed, name == "hostile", map[string]string{"key": word}
		}
		ps["log-"+name], ps["logentry-"+name] = l, e
	}
}
