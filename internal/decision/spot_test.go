package decision

import (
	"testing"
	"time"

	"github.com/google/uuid"
)

// The codes of the vectors bind to attempt, stage, day and list as another program reckons it.
func TestSpotMAC(t *testing.T) {
	for _, c := range readVectors(t).Codes {
		if got := SpotMAC(c.Code, uuid.MustParse(c.Attempt), c.Stage, c.Day, c.List); got != c.MAC {
			t.Errorf("SpotMAC(%s, …) = %s, want %s", c.Code, got, c.MAC)
		}
	}
}

func TestJudgeSpot(t *testing.T) {
	noon := time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)
	attempt, tutor := uuid.MustParse("01a21aeb-db3e-75c5-aec2-f4be1ef2b000"), uuid.MustParse("01a21aeb-db3e-75c5-aec2-f4be1ef2b001")
	items := readVectors(t).Lists[2].Items
	const code, day = "483920175564", "2026-05-04"
	list := ListDigest(items)
	number, err := EvidenceNumber(list)
	if err != nil {
		t.Fatal(err)
	}
	good := func() SpotCase {
		return SpotCase{
			Attempt: attempt, Code: code,
			Claim: SpotClaim{Stage: "wire", Day: day, Made: Moment{At: noon, Steady: true}, ReceivedAt: noon.Add(time.Hour), Items: items, MAC: SpotMAC(code, attempt, "wire", day, list)},
			Releases: []SpotRelease{
				{ID: attempt, Stage: "wire", Day: day, Number: "000001", Made: Moment{At: noon, Steady: true}, ReceivedAt: noon.Add(time.Hour), By: tutor, ByName: "Tess"}, // misread, then read again
				{ID: tutor, Stage: "wire", Day: day, Number: number, Made: Moment{At: noon, Steady: true}, ReceivedAt: noon.Add(time.Hour), By: tutor, ByName: "Tess"},
				{ID: uuid.Nil, Stage: "other", Day: day, Number: "000002", By: tutor, ByName: "Tess"},
			},
			On:       func(at time.Time) string { return at.Format(time.DateOnly) },
			Entitled: func(by uuid.UUID, at time.Time) bool { return by == tutor },
			Unproved: func() []string { return nil },
		}
	}
	for _, c := range []struct {
		name    string
		change  func(*SpotCase)
		state   SpotState
		refusal Refusal
		by      bool // a release is named
	}{
		{"agreed", func(*SpotCase) {}, SpotConfirmed, "", true},
		{"no record of the releaser", func(c *SpotCase) { c.Releases = nil }, SpotWaiting, "", false},
		{"a record for another stage alone", func(c *SpotCase) { c.Releases = c.Releases[2:] }, SpotWaiting, "", false},
		{"a record for another number alone", func(c *SpotCase) { c.Releases = c.Releases[:1] }, SpotRefused, RefusedAltered, true},
		{"used", func(c *SpotCase) { c.Used = true }, SpotRefused, RefusedReplayed, false},
		{"elsewhere", func(c *SpotCase) { c.Elsewhere = true }, SpotRefused, RefusedReplayed, false},
		{"for another attempt", func(c *SpotCase) { c.Attempt = tutor }, SpotRefused, RefusedAltered, false},
		{"for another stage", func(c *SpotCase) { c.Claim.Stage = "other" }, SpotRefused, RefusedAltered, false},
		{"for another stage, nobody's record", func(c *SpotCase) { c.Claim.Stage, c.Releases = "other", nil }, SpotRefused, RefusedSelfMade, false},
		{"no code that day", func(c *SpotCase) { c.Code, c.Releases = "", nil }, SpotRefused, RefusedSelfMade, false},
		{"a digest changed", func(c *SpotCase) { c.Claim.Items = c.Claim.Items[1:] }, SpotRefused, RefusedAltered, false},
		{"typed the day after", func(c *SpotCase) { c.Claim.Made.At = noon.AddDate(0, 0, 1) }, SpotRefused, RefusedExpired, true},
		{"typed by a clock that nobody knows", func(c *SpotCase) { c.Claim.Made = Moment{At: noon.AddDate(0, 0, 1)} }, SpotConfirmed, "", true},
		{"given the day after", func(c *SpotCase) {
			c.Releases[1].Made.At, c.Releases[1].ReceivedAt = noon.AddDate(0, 0, 1), noon.AddDate(0, 0, 2)
		}, SpotRefused, RefusedExpired, true},
		{"given by a clock that nobody knows, told the day after", func(c *SpotCase) { c.Releases[1].Made.Steady, c.Releases[1].ReceivedAt = false, noon.AddDate(0, 0, 1) }, SpotRefused, RefusedExpired, true},
		{"not entitled", func(c *SpotCase) { c.Entitled = func(uuid.UUID, time.Time) bool { return false } }, SpotRefused, RefusedNotEntitled, true},
		{"released before", func(c *SpotCase) { c.Released = &Record{ByName: "Ruben", At: noon.Add(-time.Hour)} }, SpotRefused, RefusedReplayed, true},
		{"released on line since", func(c *SpotCase) { c.Released = &Record{ByName: "Ruben", At: noon.Add(time.Hour)} }, SpotConfirmed, "", true},
		{"its evidence on the way", func(c *SpotCase) { c.Awaited = 1 }, SpotWaiting, "", true},
		{"its evidence not right", func(c *SpotCase) { c.Unproved = func() []string { return []string{"Continuity."} } }, SpotRefused, RefusedNotRight, true},
	} {
		k := good()
		c.change(&k)
		v, by := k.Judge()
		if v.State != c.state || v.Refusal != c.refusal || (by != nil) != c.by || (v.Why == "") != (v.State == SpotConfirmed) {
			t.Errorf("%s: %+v by %+v; want %s %s", c.name, v, by, c.state, c.refusal)
		}
		if v.State == SpotConfirmed && by.ID != tutor {
			t.Errorf("%s: confirmed by the release for number %s", c.name, by.Number)
		}
	}
}
