package store

import (
	"encoding/json"
	"fmt"
	"time"
)

// The keys under which a session holds what it knows; it may hold nothing else.
const (
	SessionCentre = "centre" // int64: whose it is
	SessionPerson = "person" // a UUID as text: whose it is
	SessionNotice = "notice" // a sentence left for the next page
	SessionVisit  = "visit"  // a UUID as text: the verifier's visit that it is limited to
)

// SessionCodec writes a session as the few things that one may hold. It is an scs.Codec: the library's own describes the
// types of a map anew in each session, and reading that took longer than asking the database for it.
type SessionCodec struct{}

// session is a session's data as it is kept.
type session struct {
	Deadline time.Time `json:"deadline"`
	Centre   int64     `json:"centre"`
	Person   string    `json:"person"`
	Notice   string    `json:"notice,omitempty"`
	Visit    string    `json:"visit,omitempty"`
}

// Encode refuses a value that no session has a place for.
func (SessionCodec) Encode(deadline time.Time, values map[string]any) ([]byte, error) {
	s := session{Deadline: deadline}
	for key, v := range values {
		var ok bool
		switch key {
		case SessionCentre:
			s.Centre, ok = v.(int64)
		case SessionPerson:
			s.Person, ok = v.(string)
		case SessionNotice:
			s.Notice, ok = v.(string)
		case SessionVisit:
			s.Visit, ok = v.(string)
		}
		if !ok {
			return nil, fmt.Errorf("write a session: no place for %q with a %T", key, v)
		}
	}
	return json.Marshal(s)
}

// Decode gives what Encode was given. A session in another form, from before this one, is one of nobody: they sign in again.
func (SessionCodec) Decode(data []byte) (time.Time, map[string]any, error) {
	var s session
	if err := json.Unmarshal(data, &s); err != nil {
		return time.Time{}, map[string]any{}, nil
	}
	values := make(map[string]any, 4)
	if s.Centre != 0 {
		values[SessionCentre] = s.Centre
	}
	if s.Person != "" {
		values[SessionPerson] = s.Person
	}
	if s.Notice != "" {
		values[SessionNotice] = s.Notice
	}
	if s.Visit != "" {
		values[SessionVisit] = s.Visit
	}
	return s.Deadline, values, nil
}
