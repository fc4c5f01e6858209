package ui

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// sheetOf is the front of the sheet as it is sent.
func sheetOf(t *testing.T, b *brief.Brief, source, over, do string) url.Values {
	t.Helper()
	form := url.Values{"source": {source}, "side": {front}, "over": {over}, "do": {do}, "whole": {"yes"}}
	for path, texts := range brief.FieldsOf(b) {
		form[path] = texts
	}
	return form
}

// fresh is a brief of its own, as text.
func fresh(t *testing.T, key string) (*brief.Brief, string) {
	t.Helper()
	b := sample.Brief()
	b.Key, b.Stages[1].Hold.Entitlement = key, ""
	src, err := brief.Print(b)
	must(t, err)
	return b, string(src)
}

var overOf = regexp.MustCompile(`name="over" value="([0-9a-f]*)"`)

// The front is filled in, entries are added and moved, the sheet is turned over and back, and saved: all by sending forms.
func TestBriefIsWrittenOnItsFront(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	b, source := fresh(t, "bay-9")
	source = "# for the spring course\n" + source

	b.Title = "Bay 9 <new>"
	page := tutor.post(t, "/briefs", sheetOf(t, b, source, "", "add:stages[0].items=reading")).want(t, 200, "Bay 9 &lt;new&gt;", `name="stages[0].items[5].reading.unit"`, `name="stages[0].items[5].form" value="reading"`)
	if !strings.Contains(page.body, "autofocus") {
		t.Error("the page does not open at what was added")
	}
	tutor.post(t, "/briefs", sheetOf(t, b, source, "", "turn")).want(t, 200, `data-side="back"`, "# for the spring course", "Bay 9 &lt;new&gt;")
	form := sheetOf(t, b, source, "", "check")
	form.Set("stages[3].items[1].figure.formula", "qv × tx")
	form.Set("stages[0].items[0].photo.at-least", "two")
	tutor.post(t, "/briefs", form).want(t, 200, `value="two"`, "whole number from 0 to 9999", "to mend before it can be published")
	form.Set("do", "save")
	tutor.post(t, "/briefs", form).want(t, 422, `value="two"`, "whole number from 0 to 9999")
	form.Set("do", "look")
	form.Del("stages[0].items[0].photo.at-least")
	tutor.post(t, "/briefs", form).want(t, 200, `id="b-stages-3--items-1--figure-formula-mend"`, "There is no &#34;tx&#34; here", `id="b-stages-3--items-1--figure-formula-set"`)

	saved := tutor.post(t, "/briefs", sheetOf(t, b, source, "", "save"))
	at := saved.header.Get("Location")
	saved.sent(t, at)
	tutor.get(t, at).want(t, 200, "Ask for it to be checked", "Being written", "Throw the draft away")
	file := tutor.get(t, at+"/file").want(t, 200, "# for the spring course", "Bay 9 <new>")
	if got := file.header.Get("Content-Disposition"); got != "attachment; filename=bay-9-version-1.yaml" {
		t.Errorf("the file is sent as %q", got)
	}
}

// The back turns to the front only once it can be read; what was typed stays.
func TestBackThatCannotBeReadStaysUp(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	_, source := fresh(t, "bay-9")
	form := url.Values{"source": {strings.Replace(source, "title:", "titel:", 1)}, "side": {back}, "do": {"turn"}, "whole": {"yes"}}
	tutor.post(t, "/briefs", form).want(t, 200, `data-side="back"`, "titel:", "once the text can be read", "Did you mean “title”?")
	form.Set("source", source)
	tutor.post(t, "/briefs", form).want(t, 200, `data-side="front"`, `name="stages[0].title"`)
}

// Two tutors have the same draft open. The second to save is told what the first one saved, and nothing of theirs is gone.
func TestTwoTutorsOnOneDraft(t *testing.T) {
	s := newSite(t)
	one, two := s.in(t, "tutor"), s.in(t, "second")
	b, source := fresh(t, "bay-9")
	at := one.post(t, "/briefs", sheetOf(t, b, source, "", "save")).header.Get("Location")
	over := overOf.FindStringSubmatch(one.get(t, at+"/edit").want(t, 200).body)[1]

	b.Title = "What the first one wrote"
	one.post(t, "/briefs", sheetOf(t, b, source, over, "save")).sent(t, at)
	b.Title = "What the second one wrote"
	page := two.post(t, "/briefs", sheetOf(t, b, source, over, "save")).want(t, http.StatusConflict,
		"Person tutor saved in between", "<del>title: What the first one wrote</del>", "<ins>title: What the second one wrote</ins>", `value="What the second one wrote"`, "1 line taken out, 1 put in")
	one.get(t, at).want(t, 200, "What the first one wrote")

	form := sheetOf(t, b, source, over, "save-over")
	form.Set("theirs", regexp.MustCompile(`name="theirs" value="([0-9a-f]*)"`).FindStringSubmatch(page.body)[1])
	two.post(t, "/briefs", form).sent(t, at)
	one.get(t, at).want(t, 200, "What the second one wrote")
}

// A file comes in, goes out, and a version is copied, written on from an earlier one and held against another.
// Another key in the text of a brief that was opened starts no brief unasked, and never writes over one that has it.
func TestAnotherKeyIsAskedAbout(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	b, source := fresh(t, "bay-9")
	at := tutor.post(t, "/briefs", sheetOf(t, b, source, "", "save")).header.Get("Location")
	other, otherSource := fresh(t, "bay-10")
	tutor.post(t, "/briefs", sheetOf(t, other, otherSource, "", "save"))
	over := overOf.FindStringSubmatch(tutor.get(t, at+"/edit").want(t, 200).body)[1]
	briefs := func() int {
		list, err := s.Briefs(t.Context(), s.people["tutor"])
		must(t, err)
		return len(list)
	}
	were := briefs()
	send := func(key, do string) answer {
		b.Key = key
		form := sheetOf(t, b, source, over, do)
		form.Set("back", at)
		return tutor.post(t, "/briefs", form)
	}
	send("bay-11", "save").want(t, 409, "“bay-11” is a new key.", `value="save-new"`, `value="`+over+`"`)
	taken := send("bay-10", "save").want(t, 409, "is that of another brief", "put back the key")
	if strings.Contains(taken.body, "save-over") || strings.Contains(taken.body, "save-new") {
		t.Error("it offers to write over another brief")
	}
	if n := briefs(); n != were {
		t.Fatalf("there are %d versions of briefs, want %d still", n, were)
	}
	send("bay-9", "save").sent(t, at)
	over = overOf.FindStringSubmatch(tutor.get(t, at+"/edit").want(t, 200).body)[1]
	saved := send("bay-11", "save-new")
	if where := saved.header.Get("Location"); where == at || briefs() != were+1 {
		t.Errorf("a new brief was saved at %s", where)
	}
}

func TestBriefsComeAndGoAsFiles(t *testing.T) {
	s := newSite(t)
	tutor, second := s.in(t, "tutor"), s.in(t, "second")
	b, source := fresh(t, "bay-9")
	open := func(text string) answer {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		part, err := w.CreateFormFile("file", "bay-9.yaml")
		must(t, err)
		_, err = part.Write([]byte(text))
		must(t, err)
		must(t, w.Close())
		return tutor.send(t, "POST", "/briefs/open", w.FormDataContentType(), &body)
	}
	open(source).want(t, 200, `data-side="front"`, `value="bay-9"`)
	open("\xff\x00").want(t, 422, "no text file")
	open("titel: x\n").want(t, 200, `data-side="back"`, "Did you mean “title”?")
	tutor.post(t, "/briefs/open", url.Values{}).want(t, 422, "Choose a brief file")

	at := tutor.post(t, "/briefs", sheetOf(t, b, source, "", "save")).header.Get("Location")
	open(source).want(t, 200, "There is a draft of this brief already")
	digest := brief.Digest([]byte(source))
	tutor.post(t, at+"/ask", url.Values{"digest": {digest}}).sent(t, at)
	second.get(t, at).want(t, 200, "I have checked it: publish")
	second.post(t, at+"/publish", url.Values{"digest": {digest}}).sent(t, at)
	tutor.get(t, at+"/differences").want(t, 404, "first version")
	tutor.get(t, at+"/copy").want(t, 200, `value="bay-9-copy"`)

	b.Title = "The next one"
	two := tutor.post(t, "/briefs", sheetOf(t, b, source, digest, "save")).header.Get("Location")
	tutor.get(t, two+"/differences").want(t, 200, "<ins>title: The next one</ins>", "1 line taken out, 1 put in")
	tutor.get(t, two+"/differences?from=7").want(t, 404)
	tutor.get(t, two).want(t, 200, "What changed")
	page := tutor.get(t, at+"/edit").want(t, 200, "From version 1", "There is a draft of this brief already, version 2").body
	over := overOf.FindStringSubmatch(page)[1]
	b.Title = "Back to the first"
	tutor.post(t, "/briefs", sheetOf(t, b, source, over, "save")).sent(t, two)

	now, err := brief.Print(b)
	must(t, err)
	tutor.post(t, two+"/discard", url.Values{"digest": {brief.Digest(now)}}).sent(t, "/briefs")
	tutor.get(t, two).want(t, 404)
	tutor.get(t, at).want(t, 200)
}

// Working through says what is right, how far off is right as well, and what each slip gives.
func TestBriefIsWorkedThrough(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	b, source := fresh(t, "bay-9")
	at := tutor.post(t, "/briefs", sheetOf(t, b, source, "", "save")).header.Get("Location")
	// dt = 70 − 50 = 20 K, 0.1 K either way; heat = 12/60 × 0.988 × 4.18 × 20 kW, sixty times that with L/min taken as L/s.
	tutor.get(t, at+"/work?v.qv=12+L%2Fmin&v.tf=70&v.tr=50").want(t, 200, "The model answer marks itself full", "20.00\u2009K", "19.90\u2009K to 20.10\u2009K",
		fmt.Sprintf("%.2f", 12.0/60*0.988*4.18*20), "L/min taken as L/s", fmt.Sprintf("%.1f", 12.0*0.988*4.18*20), "told apart", "What trainees meet, side by side")
	tutor.get(t, at+"/work?v.tf=7+bar").want(t, 200, `aria-invalid="true"`, "is not known")
	tutor.get(t, at+"/work?draw=x").want(t, 404)
}

// A page that is sent before all of it has come must not lose what stands further down.
func TestASheetThatHadNotComeWholeIsNotTaken(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	b, source := fresh(t, "half")
	half := sheetOf(t, b, source, "", "save")
	half.Del("whole")
	tutor.post(t, "/briefs", half).want(t, http.StatusConflict, "had not come to its end")
}
