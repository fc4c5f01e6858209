package pdf_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"testing"
	"time"

	"witnessmark/internal/pdf"
)

// photograph draws a picture of the size asked for, no two numbers alike, and
// gives it as a JPEG: pipes on a wall, a dark corner at the upper left.
func photograph(t testing.TB, number, wide, high int) []byte {
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

// picture makes a block's picture of bytes held in memory.
func picture(data []byte, wide, high, orientation int) *pdf.Picture {
	return &pdf.Picture{Wide: wide, High: high, Orientation: orientation,
		Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }}
}

var created = time.Date(2026, 5, 4, 15, 30, 0, 0, time.UTC)

// sample is a small portfolio with every kind of block; centre and people are
// invented.
func sample(t testing.TB) (pdf.Document, [][]byte) {
	t.Helper()
	photos := [][]byte{photograph(t, 1, 640, 480), photograph(t, 2, 480, 640), photograph(t, 3, 800, 600)}
	d := pdf.Document{
		Title: "Portfolio of Ines Okafor-Lindqvist", Author: "Harbour Lane Training Centre", Subject: "Unit 7",
		Language: "en-GB", Created: created,
		HeadLeft: "Ines Okafor-Lindqvist", HeadRight: "Unit 7: Re-pipe, seal and commission a heating system",
		Foot: "Harbour Lane Training Centre · portfolio of 4 May 2026",
	}
	d.Blocks = []pdf.Block{
		pdf.Cover{Keeper: "Harbour Lane Training Centre", Kind: "Portfolio of evidence", Title: "Ines Okafor-Lindqvist",
			Subtitle: "Unit 7: Re-pipe, seal and commission a heating system",
			Facts: []pdf.Fact{{"Cohort", pdf.Plain("Evening group, spring 2026")}, {"Tutor", pdf.Plain("Marit Solheim")},
				{"Signed off", pdf.Plain("4 May 2026, 15:12")}, {"Attempts", pdf.Plain("2, both in this file")}},
			Note:     pdf.Plain("The program teaches and records. Local codes, the maker's instructions and licensed practice decide."),
			Identity: "9f2c 71aa 03de 5b18 c4e0 77f1 2a6d 90b3"},
		pdf.Heading{Level: 1, Title: "Contents"},
		pdf.Contents{Depth: 2},
		pdf.Heading{Level: 1, Title: "Index of criteria", OnNew: true, Anchor: "index"},
		indexTable(),
		pdf.Heading{Level: 1, Title: "The brief", OnNew: true},
		pdf.Para{Text: pdf.Join(pdf.Plain("The rig in "), pdf.Strong("Bay 7"), pdf.Plain(" was piped for gravity hot water. Re-pipe it fully pumped, "+
			"seal it, fill and vent it, and show by your own readings that the flow through the heat emitter is what it needs. "+
			"Keep every photo upright and whole, with the label of the bay in it."))},
		pdf.Caution{Text: pdf.Plain("Isolate and prove dead before the controls are touched. Pipes may be hot: let them cool below 40 °C. The qualified person in the bay decides.")},
		pdf.List{Items: []pdf.Text{pdf.Plain("A photo of the finished pipework with all valves in view."), pdf.Plain("Flow and return at the emitter, as found and as left."), pdf.Plain("Your working for the heat carried, line by line.")}},
		pdf.Heading{Level: 1, Title: "Attempt 2", OnNew: true, Anchor: "attempt-2"},
		pdf.Stage{Number: "1", Title: "Strip out and re-pipe", Note: pdf.Plain("Criteria 2.1, 2.3 · opened 21 April 2026, handed over 30 April 2026"), Anchor: "stage-1"},
		pdf.Beside{Evidence: []pdf.Block{
			pdf.Heading{Level: 3, Title: "2.1  Install pipework to the layout given", Anchor: "c21"},
			pdf.Figure{Picture: picture(photos[0], 640, 480, 1), Label: "Photo 1", Caption: pdf.Plain("Finished pipework, pump to the right of the three-port valve."),
				Notes:  pdf.Plain("On the phone 21 April 2026 10:42:07 · received 10:44:31\nsha-256 4be1c0d2 … 77a0"),
				Anchor: "photo-1"},
		}, Decision: pdf.Decision{Word: "met", Tone: pdf.Good, Witnessed: true, Lines: []pdf.Text{
			pdf.Strong("Marit Solheim, tutor"), pdf.Plain("4 May 2026, 15:08"), pdf.Plain("Runs are clipped and level, no stress on the pump unions. Asked why the bypass sits before the valve: answered well.")}}},
		pdf.Bar{Label: "Hold 1", Text: pdf.Plain("Pressure test at 1.5 times working pressure, shown to a tutor before anything is covered or filled. May be released by any tutor of this cohort."),
			Word: "released", Tone: pdf.Good, State: pdf.Plain("Marit Solheim, 22 April 2026, 11:20\non the spot, gauge G-14"), Anchor: "hold-1"},
		pdf.Stage{Number: "2", Title: "Fill, vent and commission", Anchor: "stage-2"},
		pdf.Beside{Evidence: []pdf.Block{
			pdf.Heading{Level: 3, Title: "3.2  Measure and record at the emitter", Anchor: "c32"},
			readings(), pdf.Working{Label: "Heat carried, as written", Lines: []pdf.Text{
				pdf.Plain("Q = 12.4 ÷ 60 × 0.988 × 4.18 × (69.8 − 51.3)"), pdf.Plain("  = 15.8 kW")}},
		}, Decision: pdf.Decision{Word: "not yet met", Tone: pdf.Wrong, Lines: []pdf.Text{
			pdf.Strong("Marit Solheim, tutor"), pdf.Plain("4 May 2026, 15:11"), pdf.Plain("The return was read before the system had settled.")}}},
		pdf.Gallery{Figures: []pdf.Figure{
			{Picture: picture(photos[1], 480, 640, 1), Label: "Photo 2", Caption: pdf.Plain("Expansion vessel, charge 1.0 bar."), Notes: pdf.Plain("On the phone 22 April 2026 11:02:51 · received 11:09:40"), Anchor: "photo-2"},
			{Picture: picture(photos[2], 800, 600, 1), Label: "Photo 3", Caption: pdf.Plain("Gauge at the start of the test."), Anchor: "photo-3"},
			{Instead: "Kept as a file: loft.heic, 2.1 MB. Pictures of this kind are not shown on paper.", Label: "Photo 4", Caption: pdf.Plain("The loft.")},
		}},
		pdf.Stamp{Word: "signed off", Tone: pdf.Good, Text: pdf.Plain("Marit Solheim, 4 May 2026, 15:12")},
	}
	return d, photos
}

func indexTable() pdf.Table {
	row := func(anchor, no, what, evidence, decision string, signed bool) pdf.Row {
		return pdf.Row{Witnessed: signed, Cells: []pdf.Cell{{Text: pdf.To(anchor, no)}, {Text: pdf.Plain(what)}, {Text: pdf.Plain(evidence)},
			{Text: pdf.PageOf(anchor)}, {Text: pdf.Plain(decision)}, {Text: pdf.Plain("M. Solheim")}, {Text: pdf.Plain("4 May 2026")}}}
	}
	return pdf.Table{Caption: "Where each criterion is shown", RuleAt: 4,
		Columns: []pdf.Column{{Title: "Criterion", Fixed: 46}, {Title: "What it asks", Share: 1}, {Title: "Evidence", Fixed: 78},
			{Title: "Page", Fixed: 34, Align: pdf.Right}, {Title: "Decision", Fixed: 68}, {Title: "By", Fixed: 62}, {Title: "Date", Fixed: 60}},
		Rows: []pdf.Row{
			{Group: true, Cells: []pdf.Cell{{Text: pdf.Plain("Learning outcome 2: install")}}},
			row("c21", "2.1", "Install pipework to the layout given", "Photo 1", "met", true),
			{Group: true, Cells: []pdf.Cell{{Text: pdf.Plain("Learning outcome 3: commission")}}},
			row("c32", "3.2", "Measure and record flow, return and flow rate at the heat emitter", "Readings, working", "not yet met", false),
		}}
}

func readings() pdf.Table {
	row := func(what, found, left, limits string) pdf.Row {
		return pdf.Row{Cells: []pdf.Cell{{Text: pdf.Plain(what)}, {Text: pdf.Plain(found)}, {Text: pdf.Plain(left)}, {Text: pdf.Plain(limits)}}}
	}
	return pdf.Table{Caption: "Readings", Columns: []pdf.Column{{Title: "Reading", Share: 1}, {Title: "As found", Fixed: 62, Align: pdf.Decimal},
		{Title: "As left", Fixed: 62, Align: pdf.Decimal}, {Title: "Limits", Fixed: 92}}, Rows: []pdf.Row{
		row("Flow", "58\u2009°C", "69.8\u2009°C", "at most 80\u2009°C"), row("Return", "49.25\u2009°C", "51.3\u2009°C", "cooler than flow"),
		row("Flow rate", "8.9\u2009L/min", "12.4\u2009L/min", "12 to 13\u2009L/min")}}
}

// long is a document whose one table has n rows.
func long(n int) pdf.Document {
	t := pdf.Table{Caption: "Every item", Columns: []pdf.Column{{Title: "Item", Fixed: 60}, {Title: "What was recorded", Share: 1}, {Title: "Page", Fixed: 40, Align: pdf.Right}}}
	for i := range n {
		t.Rows = append(t.Rows, pdf.Row{Anchor: fmt.Sprintf("item-%d", i+1), Cells: []pdf.Cell{{Text: pdf.Plain(fmt.Sprintf("R-%03d", i+1))},
			{Text: pdf.Plain("Flow temperature at the emitter, as left, with the instrument that was issued for the day.")}, {Text: pdf.PageOf(fmt.Sprintf("item-%d", n-i))}}})
	}
	return pdf.Document{Title: "Long", HeadLeft: "A", HeadRight: "B", Created: created, Blocks: []pdf.Block{t}}
}
