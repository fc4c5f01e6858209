package upload

import (
	"encoding/base64"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// metadata reads the header Upload-Metadata to the letter (tus 1.0.0, extension Creation: pairs of a key and a value in
// base64, apart by commas): what cannot be read, and a key given twice, is refused.
func metadata(h http.Header) (map[string]string, error) {
	lines := h.Values("Upload-Metadata")
	if len(lines) != 1 {
		return nil, unreadable("Upload-Metadata has to be there once.")
	}
	got := map[string]string{}
	for pair := range strings.SplitSeq(lines[0], ",") {
		key, coded, _ := strings.Cut(strings.TrimSpace(pair), " ")
		value, err := base64.StdEncoding.DecodeString(coded)
		if err != nil || !utf8.Valid(value) {
			return nil, unreadable("In Upload-Metadata, " + strconv.Quote(key) + " is not text in base64.")
		}
		if _, twice := got[key]; twice {
			return nil, unreadable("In Upload-Metadata, " + strconv.Quote(key) + " is there twice.")
		}
		got[key] = string(value)
	}
	return got, nil
}

func unreadable(title string) error { return &refusal{http.StatusBadRequest, title} }

// announced reads what a file is announced with.
func announced(h http.Header) (attempt uuid.UUID, f app.NewFile, err error) {
	m, err := metadata(h)
	if err != nil {
		return uuid.Nil, app.NewFile{}, err
	}
	var sent, believed *int64
	for key, value := range m {
		switch key {
		case "id":
			f.ID, err = readID(key, value)
		case "attempt":
			attempt, err = readID(key, value)
		case "item":
			f.Item = value
		case "name":
			f.Name = value
		case "caption":
			f.Caption = value
		case "digest":
			f.Digest = value
		case "at":
			f.DeviceAt, err = readTime(key, value)
		case "sent":
			sent, err = readMS(key, value)
		case "clock":
			believed, err = readMS(key, value)
		case "covers":
			f.Covers, err = readCovers(value)
			f.LookedOver = true // none of them is an answer too
		default:
			err = unreadable("Upload-Metadata has no " + strconv.Quote(key) + " here.")
		}
		if err != nil {
			return uuid.Nil, app.NewFile{}, err
		}
	}
	if sent != nil {
		f.SentAt = time.UnixMilli(*sent).UTC()
	}
	f.Believed = believed
	return attempt, f, nil
}

func readID(key, value string) (uuid.UUID, error) {
	id, ok := parseID(value)
	if !ok {
		return uuid.Nil, fault.Invalid(key, "%q is not an id. Load the page again and add the file once more.", value)
	}
	return id, nil
}

// mostMS is the year 2200: no clock is that wrong, and every date up to it can be kept (our own value).
const mostMS = 7_258_118_400_000

func readMS(key, value string) (*int64, error) {
	ms, err := strconv.ParseInt(value, 10, 64)
	if err != nil || ms < -mostMS || ms > mostMS {
		return nil, fault.Invalid(key, "%q is not a time in milliseconds.", value)
	}
	return &ms, nil
}

func readTime(key, value string) (time.Time, error) {
	ms, err := readMS(key, value)
	if err != nil {
		return time.Time{}, err
	}
	return time.UnixMilli(*ms).UTC(), nil
}

func readCovers(value string) (covers []store.Cover, err error) {
	d := json.NewDecoder(strings.NewReader(value))
	d.DisallowUnknownFields()
	if err := d.Decode(&covers); err != nil || d.More() {
		return nil, fault.Invalid("covers", "The covers over this photo cannot be read. Lay them again.")
	}
	return covers, nil
}
