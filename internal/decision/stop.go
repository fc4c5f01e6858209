package decision

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
