package decision

import "time"

// Stops lists the stops for safety that stand, the first first: nobody has cleared them yet. Each may say more of what was seen.
func Stops(records []Record) []Record {
	var stops []Record
	for _, r := range records {
		switch r.Kind {
		case KindSafetyStop:
			stops = append(stops, r)
		case KindClearStop:
			stops = nil
		}
	}
	return stops
}

// ClearingStop is the event that clears the stop of an attempt that was opened at a time, zero for never. Work that had not begun
// is not begun by it: the plan, the risk assessment, the first day and the site are still to be asked for.
func ClearingStop(opened time.Time) Event {
	if opened.IsZero() {
		return EventUnstop
	}
	return EventClearStop
}
