package account

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// everyone is a caller with one role each.
func everyone() map[Role]Caller {
	out := map[Role]Caller{}
	for _, r := range Roles() {
		out[r] = Caller{Centre: 1, Name: string(r), Roles: []Role{r}}
	}
	return out
}

// The policy, row by row: who may, standing how. Everybody who is not named may not.
func TestWhoMayDoWhat(t *testing.T) {
	type allow struct {
		role     Role
		standing Standing
	}
	teaches, own, any, afresh := Teaches, Own, SameCentre, Afresh
	policy := map[Action][]allow{
		SeeSampling: {{QualityAssurer, any}, {Manager, any}}, PlanSample: {{QualityAssurer, any}}, DrawSample: {{QualityAssurer, any}},
		SaySample: {{QualityAssurer, any}}, ClearClaim: {{QualityAssurer, any}},
		SeeActions: {{Tutor, any}, {QualityAssurer, any}, {Manager, any}}, RaiseAction: {{QualityAssurer, any}}, CloseAction: {{QualityAssurer, any}, {Manager, any}},
		SeeClaims: {{Manager, any}, {QualityAssurer, any}}, MakeClaim: {{Manager, any}},
		SeeOwnTasks:    {{Trainee, any}},
		SeeAttempt:     {{Trainee, own}, {Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},
		OpenAttempt:    {{Trainee, own}},
		CoverFile:      {{Trainee, own}, {Tutor, teaches}},
		WithdrawFile:   {{Tutor, teaches}},
		SeeOriginal:    {{Tutor, teaches}, {QualityAssurer, any}},
		Record:         {{Trainee, own}},
		HandOver:       {{Trainee, own}},
		SeeCohorts:     {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		SeeBriefs:      {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		WriteBrief:     {{Tutor, any}},
		SetBrief:       {{Tutor, teaches}},
		ReleaseHold:    {{Tutor, teaches}},
		EnterCheck:     {{Tutor, teaches}},
		Decide:         {{Tutor, teaches}, {QualityAssurer, afresh}},
		Override:       {{Tutor, teaches}, {QualityAssurer, afresh}},
		SignOff:        {{Tutor, teaches}, {QualityAssurer, afresh}},
		AskForMore:     {{Tutor, teaches}, {QualityAssurer, afresh}},
		SafetyStop:     {{Trainee, any}, {Tutor, any}, {QualityAssurer, any}, {Manager, any}, {Technician, any}},
		SeeAtWork:      {{Trainee, own}, {Tutor, any}, {QualityAssurer, any}, {Manager, any}, {Technician, any}},
		ClearStop:      {{Tutor, teaches}},
		SeePeople:      {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		ManagePeople:   {{Manager, any}},
		ManageCohorts:  {{Manager, any}},
		BuildPortfolio: {{Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},
		ReadPortfolio:  {{Trainee, own}, {Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},
		SeeRules:       {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		EnterRules:     {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		CheckRules:     {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		MarkAgain:      {{Tutor, teaches}},
		TakeIn:         {{Tutor, teaches}},
		GoOnWithout:    {{Tutor, teaches}},

		CheckBrief:   {{Tutor, any}, {QualityAssurer, any}},
		Adjust:       {{Tutor, teaches}},
		Observe:      {{Tutor, teaches}},
		AskOrally:    {{Tutor, teaches}},
		Question:     {{Tutor, teaches}, {QualityAssurer, afresh}},
		TakeBack:     {{Tutor, teaches}, {QualityAssurer, afresh}},
		Countersign:  {{Tutor, teaches}, {QualityAssurer, any}},
		Acknowledge:  {{Trainee, own}},
		Appeal:       {{Trainee, own}},
		SettleAppeal: {{QualityAssurer, any}, {Manager, any}},
		SeeTerm:      {{Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},
		SeeRegister:  {{Technician, any}, {Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		KeepRegister: {{Technician, any}, {Manager, any}},
		CheckInHouse: {{Technician, any}, {Tutor, any}, {Manager, any}},
		SeeTouched:   {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		LookAgain:    {{Tutor, teaches}, {QualityAssurer, any}},
		SeeAlike:     {{Tutor, any}, {QualityAssurer, any}},
		SetAlike:     {{QualityAssurer, any}, {Manager, any}},
		RemarkBrief:  {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		TakeRemark:   {{Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},

		DeclareConflict: {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		EndConflict:     {{Manager, any}},
		ChoosePhotos:    {{Manager, any}},
		EnterUnits:      {{QualityAssurer, any}, {Manager, any}},
		SeeCentre:       {{Tutor, any}, {QualityAssurer, any}, {Manager, any}, {Technician, any}},

		ArrangeVisit: {{QualityAssurer, any}, {Manager, any}},
		Visit:        {{ExternalVerifier, any}},
		SeeLog:       {{QualityAssurer, any}, {Manager, any}},
		KeepRecords:  {{Manager, any}},
		Erase:        {{QualityAssurer, any}, {Manager, any}},
		ExportPerson: {{Manager, any}, {Trainee, own}},

		Standardise:     {{QualityAssurer, any}},
		JudgeBlind:      {{Tutor, any}, {QualityAssurer, any}},
		SeeStandard:     {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		SeeAllStandard:  {{QualityAssurer, any}, {Manager, any}},
		Rule:            {{QualityAssurer, any}},
		LookUnderRuling: {{QualityAssurer, any}},
		CommentBrief:    {{Tutor, any}, {QualityAssurer, any}},
		AnswerComment:   {{Tutor, any}},
		SeePrior:        {{Trainee, own}, {Tutor, teaches}, {QualityAssurer, any}, {Manager, any}},
		ClaimPrior:      {{Trainee, own}, {Tutor, teaches}},
		DecidePrior:     {{Tutor, teaches}},
		LookAtPrior:     {{QualityAssurer, any}},
		SeeFiles:        {{Tutor, any}, {QualityAssurer, any}, {Manager, any}},
		Inquire:         {{QualityAssurer, any}, {Manager, any}},
		SetAside:        {{QualityAssurer, any}, {Manager, any}},
		WithdrawTrainee: {{Manager, any}},
	}
	for _, r := range rules {
		if _, ok := policy[r.action]; !ok {
			t.Errorf("the table allows %s, which the policy does not know", r.action)
		}
	}
	for action, allowed := range policy {
		for role, c := range everyone() {
			for _, st := range []Standing{SameCentre, Own, Teaches, Afresh} {
				want := false
				for _, a := range allowed {
					want = want || a.role == role && (a.standing == SameCentre || a.standing == st)
				}
				err := May(c, action, st)
				if got := err == nil; got != want {
					t.Errorf("May(%s, %s, standing %d) = %v, want allowed %v", role, action, st, err, want)
				}
				if err != nil && fault.KindOf(err) != fault.KindForbidden {
					t.Errorf("May(%s, %s) refuses with %v, want a Forbidden", role, action, err)
				}
			}
		}
	}
}

// Nobody judges their own work, whatever other roles they have.
func TestNobodyJudgesTheirOwnWork(t *testing.T) {
	both := Caller{Roles: []Role{Trainee, Tutor}}
	for _, a := range []Action{ReleaseHold, EnterCheck, Decide, Override, SignOff, AskForMore, ClearStop, MarkAgain, TakeIn, GoOnWithout, Adjust, Observe, AskOrally, Question, TakeBack, Countersign} {
		if err := May(both, a, Own, Teaches); err == nil {
			t.Errorf("May(trainee and tutor of the cohort, %s, of their own) allows it, want a refusal", a)
		}
	}
}

// On a visit nothing else is there, whatever the verifier may do otherwise.
func TestAVisitIsAllThereIs(t *testing.T) {
	c := Caller{Centre: 1, Roles: Roles()}.Visiting(uuid.MustParse("00000000-0000-4000-8000-000000000001"))
	for _, r := range rules {
		err := May(c, r.action, r.standing)
		if r.action == Visit {
			if err != nil {
				t.Errorf("May(on a visit, %s) = %v, want nil", r.action, err)
			}
		} else if fault.KindOf(err) != fault.KindNotFound {
			t.Errorf("May(on a visit, %s) = %v, want NotFound", r.action, err)
		}
	}
}

func TestRefusalNamesWhoMay(t *testing.T) {
	err := May(Caller{Roles: []Role{Trainee}}, Decide, Own)
	if want := "This is for a tutor of the cohort."; err == nil || err.Error() != want {
		t.Errorf("got %v, want %q", err, want)
	}
	err = May(Caller{}, CheckBrief)
	if want := "This is for a tutor or an internal quality assurer."; err == nil || err.Error() != want {
		t.Errorf("got %v, want %q", err, want)
	}
}

func TestRegisteredOnTheDay(t *testing.T) {
	day := func(s string) time.Time {
		d, err := time.Parse(time.DateOnly, s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	c := Caller{Registrations: []Registration{{Kind: "gas", Number: "1", ValidFrom: day("2026-03-01"), ValidTo: day("2026-03-31")}}}
	for _, x := range []struct {
		kind string
		day  time.Time
		want bool
	}{
		{"gas", day("2026-02-28"), false},
		{"gas", day("2026-03-01"), true},
		{"gas", day("2026-03-31"), true},
		{"gas", day("2026-04-01"), false},
		{"electrical", day("2026-03-15"), false},
	} {
		if got := c.Registered(x.kind, x.day); got != x.want {
			t.Errorf("Registered(%s, %s) = %v, want %v", x.kind, x.day, got, x.want)
		}
	}
}
