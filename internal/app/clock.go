package app

import (
	"time"

	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// PhoneClock is what a phone says of its own clock along with what it captured.
type PhoneClock struct {
	SentAt   time.Time // by the phone, as it sent this; zero where it does not say
	Believed *int64    // by how much the server was ahead of the phone when it last heard of it before capturing, ms; nil where never
}

// moment is something that the phone says was at the time, with what is known of its clock now.
func (p PhoneClock) moment(at, now time.Time) decision.Moment {
	k := p.clock(now)
	m := decision.Moment{At: at, Steady: k.Steady}
	if k.OffsetMS != nil {
		m.Offset = time.Duration(*k.OffsetMS) * time.Millisecond
	}
	return m
}

// clock compares the phone's clock with the server's, which reads now.
func (p PhoneClock) clock(now time.Time) store.Clock {
	if p.SentAt.IsZero() {
		return store.Clock{}
	}
	offset := now.Sub(p.SentAt)
	ms := offset.Milliseconds()
	steady := p.Believed != nil && (offset-time.Duration(*p.Believed)*time.Millisecond).Abs() <= decision.ClockSlack
	return store.Clock{OffsetMS: &ms, Steady: steady}
}
