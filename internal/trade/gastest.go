package trade

import (
	"math"

	"witnessmark/internal/formula"
)

// The shares of IGEM/UP/1B (a public extract of the pocket guide): fittings count a tenth of the pipes, and a purge
// passes one and a half times the installation's volume. Another edition may say otherwise: a brief that follows it
// writes its own formula.
const (
	fittingsShare = 0.1
	purgeTimes    = 1.5
)

// InstallationVolume is the gas volume, m³, of an installation: the meter's and that of the pipes with a tenth for
// fittings, both in m³.
//
// Range: a meter of zero (a section behind it) or more, pipes above zero; outside it a RangeError. Source: IGEM/UP/1B
// (public extract). Example: a meter of 0.008 m³ and 0.003 44 m³ of pipe, 0.011 784 m³.
func InstallationVolume(meter, pipes float64) (float64, error) {
	if !(meter >= 0) || math.IsInf(meter, 1) {
		return 0, beyond("meter", "The meter's volume cannot be less than nothing. Check the figure and its sign.")
	}
	if err := positive("pipes", "The volume of the pipes", pipes); err != nil {
		return 0, err
	}
	return meter + float64(pipes*(1+fittingsShare)), nil
}

// PurgeVolume is the least volume, m³, that a purge passes through an installation of a meter and pipes in m³: one and a
// half times InstallationVolume.
//
// Range and source as InstallationVolume. Example: a meter of 0.008 m³ and 0.003 44 m³ of pipe, 0.017 676 m³.
func PurgeVolume(meter, pipes float64) (float64, error) {
	volume, err := InstallationVolume(meter, pipes)
	if err != nil {
		return 0, err
	}
	return purgeTimes * volume, nil
}

// LeakRate is the volume flow, m³/s at p pascal ABSOLUTE, that escapes from an installation of volume m³ whose pressure
// drops by drop Pa over a time in s: volume · drop/p/time. The gas keeps its temperature; p is the pressure at which the
// escaped gas is counted, the air's.
//
// Range: volume and time above zero, a drop of zero or more and less than p, p from 500 mbar to 2 bar absolute; outside
// it a RangeError. Source: Boyle's law. Example: 0.011 784 m³, 2 mbar in 120 s, 1013.25 mbar, 6.977 94e-4 m³/h.
func LeakRate(volume, drop, time, p float64) (float64, error) {
	if err := positive("IV", "The installation's volume", volume); err != nil {
		return 0, err
	}
	if err := positive("time", "The time", time); err != nil {
		return 0, err
	}
	if err := aboutAir("p", p); err != nil {
		return 0, err
	}
	if !(drop >= 0) {
		return 0, beyond("dp", "The pressure rose: a drop cannot be less than nothing. Check the two readings, or wait until "+
			"the temperature has settled and test again.")
	}
	if drop >= p {
		return 0, beyond("dp", "A drop of %s mbar is as much as the air's pressure. Check the drop and its unit.", number(drop/100))
	}
	return volume * (drop / p) / time, nil
}

func gasTestEntries() []Entry {
	const guide = "IGEM/UP/1B (public extract of the pocket guide)"
	parts := []formula.Param{{Name: "meter", Unit: unitCubic, About: "volume of the meter"},
		{Name: "pipes", Unit: unitCubic, About: "volume of the pipes"}}
	chart := Chart{"pipes", "0.001 m³", "0.02 m³"}
	const limits = "A meter of nothing (a section behind it) or more, pipes above zero."
	example := []string{"0.008 m³", "0.00344 m³"}
	return []Entry{
		{Function: formula.Function{Name: "installation_volume", About: "Gas volume of meter and pipes, with a tenth of the pipes for fittings. " + gasDecides,
			Source: guide, Params: parts, Result: unitCubic, Call: of2(InstallationVolume), Turns: steady(2)},
			Formula: "meter + 1.1 × pipes", Range: limits, Example: example, Gives: "0.011784 m³", Chart: chart},
		{Function: formula.Function{Name: "purge_volume", About: "Least volume that a purge passes: one and a half times the installation's. " + gasDecides,
			Source: guide, Params: parts, Result: unitCubic, Call: of2(PurgeVolume), Turns: steady(2)},
			Formula: "1.5 × (meter + 1.1 × pipes)", Range: limits, Example: example, Gives: "0.017676 m³", Chart: chart},
		{Function: formula.Function{Name: "leak_rate", About: "Flow that escapes where the pressure drops over a time, counted at an absolute pressure. " + gasDecides,
			Source: "Boyle's law",
			Params: []formula.Param{{Name: "IV", Unit: unitCubic, About: "volume of the installation"},
				{Name: "dp", Unit: unitMbar, About: "pressure drop"},
				{Name: "time", Unit: unitSecond, About: "time it took"},
				{Name: "p", Unit: unitAbsoluteMbar, About: "absolute pressure of the air"}},
			Result: unitHourly, Call: of4(LeakRate), Turns: steady(4)},
			Formula: "IV × dp / p / time",
			Range:   "Volume and time above zero, a drop of nothing or more, the air at 500 mbar to 2000 mbar absolute.",
			Example: []string{"0.011784 m³", "2 mbar", "120 s", "1013.25 mbar(a)"}, Gives: "0.0006978 m³/h", Chart: Chart{"dp", "0 mbar", "8 mbar"}},
	}
}
