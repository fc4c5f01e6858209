package ui

// WorkshopPage is an attempt that is being worked on, as everybody but its trainee sees it.
type WorkshopPage struct {
	Frame
	Sheet *SheetView
}

func (*WorkshopPage) template() string { return "workshop" }

func newWorkshopPage(v *SheetView) *WorkshopPage {
	v.Tutor = true
	return &WorkshopPage{Frame: Frame{Title: v.Trainee + ": " + v.BriefTitle, Here: "/cohorts"}, Sheet: v}
}

// tutorsPage is the page of an attempt for everybody but its trainee: at work until it is handed over, then as it is judged.
func tutorsPage(v *SheetView) page {
	if v.HandedAt.IsZero() {
		return newWorkshopPage(v)
	}
	return newJudgePage(v)
}
