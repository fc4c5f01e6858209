package trade

// AbsolutePressure is the absolute pressure, Pa, of a gauge reading in pascal where the air around stands at air pascal.
//
// Range: air above zero, and a sum above zero, since nothing is emptier than a vacuum; outside it a RangeError. Source:
// definition; EN 12828 takes the air as 1 bar, the standard atmosphere is 1.013 25 bar, and the formula says which.
// Example: 1.5 bar gauge with 1 bar of air, 2.5 bar absolute.
func AbsolutePressure(gauge, air float64) (float64, error) {
	if err := positive("air", "The pressure of the air", air); err != nil {
		return 0, err
	}
	if !(gauge+air > 0) {
		return 0, beyond("p", "A gauge reading of %s lies below a vacuum with %s of air around. "+
			"Check the reading and its sign.", bar(gauge), bar(air))
	}
	return gauge + air, nil
}

// GaugePressure is what a gauge shows, Pa, at an absolute pressure in pascal where the air around stands at air pascal.
//
// Range: both above zero; outside it a RangeError. Source as AbsolutePressure. Example: 2.5 bar absolute with 1 bar of
// air, 1.5 bar gauge.
func GaugePressure(absolute, air float64) (float64, error) {
	if err := positive("p", "An absolute pressure", absolute); err != nil {
		return 0, err
	}
	if err := positive("air", "The pressure of the air", air); err != nil {
		return 0, err
	}
	return absolute - air, nil
}
