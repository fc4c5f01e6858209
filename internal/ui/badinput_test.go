package ui

import (
	"bytes"
	"mime/multipart"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"
)

// Bad input on the pages. The list of what is tried where stands in internal/api/badinput_test.go.

func TestATooLongFormula(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	tutor.post(t, "/briefs", url.Values{"source": {strings.Repeat("1+", 5<<20)}, "do": {"save"}}).want(t, 413, "more than can be taken at once")
}

// upload is a form of one file with the given bytes.
func upload(t *testing.T, item string, data []byte) (string, *bytes.Buffer) {
	t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for _, f := range [][2]string{{"id", uuid.NewString()}, {"item", item}} {
		must(t, w.WriteField(f[0], f[1]))
	}
	part, err := w.CreateFormFile("file", "rig.jpg")
	must(t, err)
	_, err = part.Write(data)
	must(t, err)
	must(t, w.Close())
	return w.FormDataContentType(), &body
}

func TestAHalfPictureOnThePage(t *testing.T) {
	s := newSite(t)
	trainee := s.in(t, "trainee")
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	_, whole := photo(t, "before", "rig.jpg")
	from := bytes.Index(whole.Bytes(), []byte("\xff\xd8"))
	good := whole.Bytes()[from : from+bytes.Index(whole.Bytes()[from:], []byte("\xff\xd9"))+2]
	for _, c := range []struct {
		name string
		data []byte
		say  string
	}{
		{"cut in half", good[:len(good)/2], "stops half-way"},
		{"no bytes", nil, "0 bytes arrived"},
		{"a text", []byte("hello, this is text and nothing else at all"), ""},
	} {
		kind, body := upload(t, "before", c.data)
		trainee.send(t, "POST", s.attempt+"/files", kind, body).want(t, 422, c.say, `role="alert"`)
	}
	sheet, err := s.Sheet(t.Context(), s.people["trainee"], s.id)
	must(t, err)
	if n := len(sheet.Stages[0].Items[0].Files); n != 0 {
		t.Errorf("%d of the bad files were kept", n)
	}
	kind, body := upload(t, "before", good)
	trainee.send(t, "POST", s.attempt+"/files", kind, body).sent(t, s.attempt+"#item-before")
}

// TestTheWayBackLosesNothing sends a form that a browser's way back has brought up again: its ids are those of the first
// sending, and what stands in it is new. The trainee is told that it is not kept, has it in the form, and keeps it by
// pressing the button once more.
func TestTheWayBackLosesNothing(t *testing.T) {
	s := newSite(t)
	trainee := s.in(t, "trainee")
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	form := stageForm(trainee.get(t, s.attempt).want(t, 200).body, "stage-3-form")
	form.Set("stage", "3")
	form.Set("text:tf@as-left", "69.8")
	trainee.post(t, s.attempt+"/entries", form).sent(t, s.attempt+"#stage-3")
	form.Set("text:tf@as-left", "70.2")
	page := trainee.post(t, s.attempt+"/entries", form).want(t, 409, "not kept yet", `value="70.2"`)
	again := stageForm(page.body, "stage-3-form")
	if again.Get("id:tf@as-left") == form.Get("id:tf@as-left") {
		t.Fatal("the form comes back with the id that is taken")
	}
	again.Set("stage", "3")
	again.Set("text:tf@as-left", "70.2")
	trainee.post(t, s.attempt+"/entries", again).sent(t, s.attempt+"#stage-3")
	sheet, err := s.Sheet(t.Context(), s.people["trainee"], s.id)
	must(t, err)
	if l := line(t, sheet, "tf@as-left"); l.Entry == nil || l.Entry.Text != "70.2" || len(l.Earlier) != 1 || l.Earlier[0].Text != "69.8" {
		t.Errorf("the line has %+v after %+v, want 70.2 after 69.8", l.Entry, l.Earlier)
	}
}
