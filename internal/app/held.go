package app

import (
	"strings"

	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// sealOf is the list of what was handed over, as the sheet shows it.
func sealOf(j store.JobSheet) *SheetSeal {
	if j.Seal == nil {
		return nil
	}
	return &SheetSeal{
		MadeAt: j.Seal.Made.At, ReceivedAt: j.Seal.ReceivedAt, Listed: len(j.Seal.Items), Awaited: len(j.Awaited),
		Without: decision.Latest(j.Records, decision.KindGoOnWithout, ""),
	}
}

// heldIn lists what is held back, entries before files, each in the order of receipt.
func heldIn(l loaded) []HeldThing {
	var held []HeldThing
	for _, e := range l.Held.Entries {
		held = append(held, HeldThing{
			ID: e.ID, Item: e.Item, Title: titleIn(l, e.Item), Line: decision.Line(e.Item, e.Part, string(e.Phase)), Text: typed(e),
			CapturedAt: e.CapturedAt, ReceivedAt: e.ReceivedAt,
		})
	}
	orders := orderOf(l.JobSheet, l.brief)
	for _, e := range l.Held.Evidence {
		f := sheetFile(evidenceOf(l.JobSheet, orders, e))
		held = append(held, HeldThing{ID: e.ID, Item: e.Item, Title: titleIn(l, e.Item), File: &f, CapturedAt: e.DeviceAt, ReceivedAt: e.ReceivedAt})
	}
	return held
}

// titleIn is the title of an item of the brief, or its key where the brief does not have it.
func titleIn(l loaded, key string) string {
	if it, _, ok := l.brief.Item(key); ok {
		return it.Title
	}
	return key
}

// typed is an entry in one line: what was typed with its unit, else the start of the working.
func typed(e store.Entry) string {
	if e.Text == "" {
		first, _, _ := strings.Cut(e.Working, "\n")
		return first
	}
	return strings.TrimSpace(e.Text + " " + e.Unit)
}

// spotsOf lists what was told of releases on the spot before a stage and is not confirmed, claims first.
func spotsOf(j store.JobSheet, stage string) []SheetSpot {
	var spots []SheetSpot
	for _, c := range j.Claims {
		if c.Stage == stage && c.State != decision.SpotConfirmed {
			spots = append(spots, SheetSpot{ID: c.ID, SpotVerdict: c.SpotVerdict, At: c.Made.At})
		}
	}
	for _, r := range j.Releases {
		if r.Stage == stage && r.State != decision.SpotConfirmed {
			spots = append(spots, SheetSpot{ID: r.ID, SpotVerdict: r.SpotVerdict, By: r.ByName, At: r.Made.At})
		}
	}
	return spots
}
