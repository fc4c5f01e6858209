package ui

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"log/slog"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/jba/templatecheck"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
)

// newUI is the pages without an application behind them: what is rendered needs none.
func newUI(t *testing.T) *UI {
	t.Helper()
	u, err := New(nil, nil, slog.New(slog.DiscardHandler), nil)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// allPages is one of every page struct.
func allPages() []page {
	return []page{
		&SignInPage{}, &NoSignalPage{}, &InvitationPage{}, &ForgottenPage{}, &VerifyPage{}, &FaultPage{}, &TasksPage{}, &StopPage{}, &PlanPage{}, &WorkPage{}, &JudgePage{}, &WorkshopPage{}, &BenchPage{}, &BoardPage{},
		&CohortsPage{}, &MembersPage{}, &BriefsPage{}, &BriefPage{}, &EditPage{}, &LiveForm{}, &WorkThroughPage{}, &DifferencePage{}, &BlankPage{}, &ReferencePage{}, &TrialPage{}, &PeoplePage{}, &PortfoliosPage{}, &FeedbackPage{}, &SecondPage{}, &MarkSheetPage{},
		&CorrectionsPage{}, &CorrectionPage{}, &TermPage{}, &InsightPage{}, &ProgressPage{},
		&CentrePage{}, &PersonPage{}, &PeopleListPage{}, &UnitsPage{}, &InvitationsPage{}, &EnterUnitPage{}, &ConflictsPage{},
		&VisitsPage{}, &VisitReportPage{}, &VisitOpenPage{}, &VisitPage{}, &VisitReachPage{}, &VisitSheetPage{}, &KeepingPage{}, &PurgePage{}, &LogPage{}, &LogEntryPage{},
		&RegisterPage{}, &InstrumentPage{}, &TouchedPage{}, &AlikePage{}, &AlikePairPage{}, &AlikeReadingsPage{},
		&SamplingPage{}, &SamplingPlanPage{}, &SamplePage{}, &DrawnAgainPage{}, &SampledPage{}, &ActionsPage{}, &ClaimsPage{}, &ClaimablePage{}, &ClaimPage{},
		&RulesPage{}, &RulePage{}, &EditRulesPage{}, &ConcernedPage{}, &AsReadPage{}, &RemarksPage{}, &SpotPage{}, &CardPage{},
		&StandardisationsPage{}, &NewStandardisationPage{}, &StandardisationPage{}, &BlindPage{}, &RulingsPage{}, &RulingPage{},
		&RegisterListPage{},
		&SmallFilesPage{}, &PriorsPage{}, &PriorPage{}, &OpenInquiryPage{}, &InquiryPage{},
	}
}

func TestTemplatesFitTheirStructs(t *testing.T) {
	u := newUI(t)
	checked := map[string]bool{}
	for _, p := range allPages() {
		tmpl, ok := u.pages[p.template()]
		if !ok {
			t.Errorf("there is no template %q", p.template())
			continue
		}
		checked[p.template()] = true
		if err := templatecheck.CheckHTML(tmpl.Lookup("layout"), p); err != nil {
			t.Errorf("%s: %v", p.template(), err)
		}
	}
	for name := range u.pages {
		if !checked[name] {
			t.Errorf("template %q has no struct in allPages", name)
		}
	}
}

func draw(t *testing.T, u *UI, p page) string {
	t.Helper()
	f := p.frame()
	f.SignedIn, f.Name = true, "Owen Tranter"
	f.Places = places(account.Caller{Roles: account.Roles()}, f.Here)
	var b bytes.Buffer
	if err := u.write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var (
	headings  = regexp.MustCompile(`<h1[ >]`)
	inline    = regexp.MustCompile(`(?i)<[a-z](?:[^>"]|"[^"]*")*\s(style|on[a-z]+)=`) // outside what stands in quotes
	script    = regexp.MustCompile(`(?i)<script[^>]*>`)
	idAttr    = regexp.MustCompile(`\sid="([^"]*)"`)
	pointers  = regexp.MustCompile(`\s(?:for|form|aria-describedby|aria-labelledby)="([^"]+)"`)
	forbidden = regexp.MustCompile(`(?i)\b(oops|invalid|error)\b|%!|ZgotmplZ|&lt;no value&gt;`)
)

func TestEveryPageRenders(t *testing.T) {
	u := newUI(t)
	for name, p := range samplePages(t) {
		t.Run(name, func(t *testing.T) {
			html := draw(t, u, p)
			if n := len(headings.FindAllString(html, -1)); n != 1 {
				t.Errorf("got %d headings of the first rank, want 1", n)
			}
			if m := inline.FindString(html); m != "" {
				t.Errorf("an inline style or handler: %q", m)
			}
			if m := forbidden.FindString(strings.ReplaceAll(html, "aria-invalid", "")); m != "" {
				t.Errorf("%q has no place on a page", m)
			}
			got := script.FindAllString(html, -1)
			if len(got) == 0 || slices.ContainsFunc(got, func(s string) bool { return !strings.Contains(s, `src="/static/`) }) {
				t.Errorf("scripts are %q, want only our own", got)
			}
			checkIDs(t, html)
			checkNesting(t, html)
		})
	}
}

// checkIDs refuses doubled ids, and labels and descriptions that point nowhere.
func checkIDs(t *testing.T, html string) {
	t.Helper()
	ids := map[string]bool{}
	for _, m := range idAttr.FindAllStringSubmatch(html, -1) {
		if ids[m[1]] {
			t.Errorf("id %q is there twice", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range pointers.FindAllStringSubmatch(html, -1) {
		for _, want := range strings.Fields(m[1]) {
			if !ids[want] {
				t.Errorf("%q points at no id", strings.TrimSpace(m[0]))
			}
		}
	}
}

// checkNesting reads the page with the standard library's tokens: what is opened is closed, in order.
func checkNesting(t *testing.T, html string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(html))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Errorf("the page is not well nested: %v", err)
			return
		}
	}
}

func TestHostileTextIsEscaped(t *testing.T) {
	u := newUI(t)
	for name, p := range samplePages(t) {
		if !strings.HasSuffix(name, "-hostile") {
			continue
		}
		html := draw(t, u, p)
		if !strings.Contains(html, "&lt;script&gt;") {
			t.Errorf("%s: the hostile text is not there", name)
		}
		for _, bad := range []string{`<script>alert`, `<img src=x`} {
			if strings.Contains(html, bad) {
				t.Errorf("%s: %q came through", name, bad)
			}
		}
	}
}

func TestTheStarterCanBeRead(t *testing.T) {
	if _, err := brief.Read([]byte(starter)); err != nil {
		t.Errorf("the text that a new brief starts from: %v", err)
	}
}
