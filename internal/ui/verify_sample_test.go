package ui

import "witnessmark/internal/app"

// verifySample is the page of a portfolio that was checked.
func verifySample(word app.VerifyWord) *VerifyPage {
	p := &VerifyPage{Frame: Frame{Title: "Check a portfolio"}, Name: "H2 Tom Aspin.pdf", Found: &app.Verified{Word: word,
		Subject: []string{"Portfolio of Tom Aspin (tom.aspin), unit H2: Put a heating system right and prove it", "by Northgate Training (NORTHGATE), asked for on 5 May 2026 08:30 UTC"},
		Lines: []app.VerifiedLine{
			{What: "log", State: app.LineHolds, Words: "The state of the log northgate.0badcafe/log at 412 entries is signed by the key of the centre, which keeps its log here."},
			{What: "time", State: "not checked", Words: "Nobody but the centre says when anything was: no witness signed that state of the log."},
		}}}
	if word == app.VerifiedAltered {
		p.Found.Why = "A picture in the file is none of the record's (SHA-256 29785050791b958d, object 41): it was put in or changed."
		p.Found.Lines = append(p.Found.Lines, app.VerifiedLine{What: "pictures", State: app.LineBroken, Words: p.Found.Why})
	}
	return p
}
