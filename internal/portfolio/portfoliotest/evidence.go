package portfoliotest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
)

// model is every slot of the brief filled in as the model answer has it, a minute apart.
func (m *maker) model(from time.Time) []portfolio.Entry {
	var es []portfolio.Entry
	for _, st := range m.brief.Stages {
		for i := range st.Items {
			for _, s := range st.Items[i].Slots() {
				a, ok := m.brief.ModelAnswer(&st.Items[i], s)
				if !ok {
					a.Text = "The pump ran the wrong way round the mixing valve. I put it right, balanced the rig and showed that it gives its load."
				}
				es = append(es, m.entry(st.Items[i].Key, s.Part, s.Phase, a.Text, a.Unit, a.Working, "", from.Add(time.Duration(len(es))*time.Minute)))
			}
		}
	}
	return es
}

func (m *maker) entry(item, part string, phase brief.Phase, text, unit, working, note string, when time.Time) portfolio.Entry {
	return portfolio.Entry{
		Entry: marking.Entry{Item: item, Part: part, Phase: phase, Text: text, Unit: unit, Working: working},
		Note:  note, By: "Ines Okafor-Lindqvist", CapturedAt: when, ReceivedAt: when.Add(94 * time.Second),
	}
}

// replace puts other words into one entry; about is its working, or the note of one without.
func replace(es []portfolio.Entry, item, part string, phase brief.Phase, text, unit, about string) []portfolio.Entry {
	for i := range es {
		e := &es[i]
		if e.Item == item && e.Part == part && e.Phase == phase {
			e.Text, e.Unit = text, unit
			if e.Working != "" {
				e.Working = about
			} else {
				e.Note = about
			}
		}
	}
	return es
}

// evidence is two photos of the rig (one stored on its side), a sheet as PDF, a photo as PNG with its preview, and a
// picture of a kind that cannot be shown.
func (m *maker) evidence(from time.Time) []portfolio.Evidence {
	day := from.YearDay()
	wide := m.keep(Photograph(m.t, day, 160, 120), "image/jpeg", "before", "IMG_0412.jpg", from)
	wide.Width, wide.Height, wide.Orientation = 160, 120, 1
	wide.Caption, wide.TakenAt, wide.TakenZoned = "The whole rig before anything was touched, boiler on the left.", from.Add(-8*time.Second), true
	turned := m.keep(Photograph(m.t, day+1, 120, 90), "image/jpeg", "before", "IMG_0413.jpg", from.Add(time.Minute))
	turned.Width, turned.Height, turned.Orientation = 120, 90, 6
	turned.Caption, turned.TakenAt = "The pump with its arrow and both isolating valves.", from.Add(time.Hour)
	sheet := m.keep([]byte("%PDF-1.7 the wiring sheet"), "application/pdf", "sheet", "wiring sheet.pdf", from.Add(2*time.Minute))
	drawing := m.keep(drawn(m.t), "image/png", "sheet", "terminals.png", from.Add(3*time.Minute))
	preview := Photograph(m.t, day+2, 160, 100)
	drawing.Width, drawing.Height, drawing.Orientation, drawing.PreviewDigest = 160, 100, 1, digest(preview)
	drawing.Caption, drawing.Order = "Terminals with the wires' numbers.", decision.Before
	m.files[drawing.PreviewDigest] = preview
	other := m.keep([]byte("\x00\x00\x00\x18ftypheic"), "image/heic", "sheet", "IMG_0414.heic", from.Add(4*time.Minute))
	other.Caption = "The covers on."
	return []portfolio.Evidence{wide, turned, sheet, drawing, other}
}

func (m *maker) keep(data []byte, media, item, name string, when time.Time) portfolio.Evidence {
	m.files[digest(data)] = data
	return portfolio.Evidence{
		ID: m.id(name + when.String()), Item: item, Name: name, MediaType: media, Digest: digest(data), Size: int64(len(data)),
		DeviceAt: when, ReceivedAt: when.Add(3 * time.Minute), By: "Ines Okafor-Lindqvist",
	}
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// Photograph draws a picture of pipes on a wall, no two numbers alike, with a dark corner at the upper left, as a JPEG.
func Photograph(t testing.TB, number, wide, high int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			c := color.RGBA{uint8(190 + 30*y/high), uint8(180 + 20*x/wide), 165, 255}
			if pipe := (x + number*37) % (wide / 4); pipe < wide/18 {
				shade := 1 - 2*float64(pipe)/float64(wide/9)
				c = color.RGBA{uint8(120 + 90*shade), uint8(60 + 60*shade), uint8(30 + 30*shade), 255}
			}
			if x < wide/8 && y < high/8 {
				c = color.RGBA{20, 30, 60, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 85}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func drawn(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 160, 100))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
