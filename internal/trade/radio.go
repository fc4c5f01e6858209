package trade

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// speedOfLight in m/s, exactly (SI).
const speedOfLight = 299792458

// PowerOfLevel is the power, W, of a level in dBm: 10^(level/10) mW.
//
// Range: −200 dBm to 100 dBm; outside it a RangeError. Source: IEC 60027-3, level of a power; dBm is re 1 mW. Example:
// −30 dBm, 0.001 mW.
func PowerOfLevel(level float64) (float64, error) {
	if err := inLevels("L", level); err != nil {
		return 0, err
	}
	return 1e-3 * formula.Power(10, level/10), nil
}

// LevelOfPower is the level, dBm, of a power in W: 10·lg(power/1 mW).
//
// Range: a power above zero; outside it a RangeError. Source as PowerOfLevel. Example: 25 mW, 13.9794 dBm.
func LevelOfPower(power float64) (float64, error) {
	if err := positive("P", "The power", power); err != nil {
		return 0, err
	}
	return 10 * formula.Log10(power/1e-3), nil
}

// PathLoss is the loss, dB, between two aerials in free space, of isotropic gain, at a distance in m and a frequency in
// Hz: 20·lg(4π·d·f/c).
//
// Range: a frequency above zero and a distance of a wavelength or more, since nearer the aerials' own fields count;
// outside it a RangeError. Walls and floors add to it. Source: ITU-R P.525, free-space attenuation. Example: 12 m at
// 868.3 MHz, 52.8048 dB.
func PathLoss(distance, frequency float64) (float64, error) {
	if err := positive("d", "The distance", distance); err != nil {
		return 0, err
	}
	if err := positive("f", "The frequency", frequency); err != nil {
		return 0, err
	}
	if waves := distance * frequency / speedOfLight; !(waves >= 1 && waves <= math.MaxFloat32) {
		return 0, beyond("d", "The formula holds from a wavelength on, which is %s m here; the distance is %s m. Check both figures and their units.",
			number(speedOfLight/frequency), number(distance))
	}
	return 20 * formula.Log10(4*math.Pi*distance*frequency/speedOfLight), nil
}

// LinkMargin is what is left, dB, between the level that a receiver gets and the least that it needs, both in dBm. It is
// negative where the link does not hold.
//
// Range: levels from −200 dBm to 100 dBm; outside it a RangeError. Source: common practice, no source. Example: −71 dBm
// at a sensitivity of −104 dBm, 33 dB.
func LinkMargin(level, sensitivity float64) (float64, error) {
	if err := inLevels("level", level); err != nil {
		return 0, err
	}
	if err := inLevels("sensitivity", sensitivity); err != nil {
		return 0, err
	}
	return level - sensitivity, nil
}

func inLevels(name string, level float64) error {
	if level >= -200 && level <= 100 {
		return nil
	}
	return beyond(name, "Levels of radio are from -200 dBm to 100 dBm; this is %s dBm. Check the figure and its sign.", number(level))
}

func radioSubject() Subject {
	level, loss := quantity.MustUnit("dBm"), quantity.MustUnit("dB")
	const levels = "Levels from -200 dBm to 100 dBm."
	return Subject{Key: "radio", Title: "Radio controls",
		About: "Levels and powers of wireless controls, and what is left of a signal. The least margin is a limit: the maker's instructions or the centre's rule set hold it.",
		Entries: []Entry{
			{Function: formula.Function{Name: "power_of_level", About: "Power of a level in dBm.", Source: "IEC 60027-3; dBm is re 1 mW",
				Params: []formula.Param{{Name: "L", Unit: level, About: "level"}}, Result: quantity.MustUnit("mW"), Call: of1(PowerOfLevel), Turns: steady(1)},
				Formula: "1 mW × 10^((L − 0 dBm) / 10)", Range: levels, Example: []string{"14 dBm"}, Gives: "25.119 mW", Chart: Chart{"L", "0 dBm", "20 dBm"}},
			{Function: formula.Function{Name: "level_of_power", About: "Level in dBm of a power; powers are averaged, levels are not.", Source: "IEC 60027-3; dBm is re 1 mW",
				Params: []formula.Param{{Name: "P", Unit: quantity.MustUnit("mW"), About: "power"}}, Result: level, Call: of1(LevelOfPower), Turns: steady(1)},
				Formula: "0 dBm + 10 dB × log10(P / 1 mW)", Range: "A power above zero.", Example: []string{"25 mW"}, Gives: "13.979 dBm", Chart: Chart{"P", "0.1 mW", "100 mW"}},
			{Function: formula.Function{Name: "path_loss", About: "Loss between two aerials in free space; walls and floors add to it.", Source: "ITU-R P.525, free-space attenuation",
				Params: []formula.Param{{Name: "d", Unit: unitLength, About: "distance"}, {Name: "f", Unit: quantity.MustUnit("MHz"), About: "frequency"}},
				Result: loss, Call: of2(PathLoss), Turns: steady(2)},
				Formula: "20 dB × log10(4 × π × d × f / (299792458 m/s))", Range: "A distance of a wavelength or more; a wavelength is 0.35 m at 868 MHz.",
				Example: []string{"12 m", "868.3 MHz"}, Gives: "52.80 dB", Chart: Chart{"d", "1 m", "60 m"}},
			{Function: formula.Function{Name: "link_margin", About: "What is left between the worst level received and the receiver's sensitivity.", Source: "common practice, no source",
				Params: []formula.Param{{Name: "level", Unit: level, About: "worst level received"}, {Name: "sensitivity", Unit: level, About: "least level that the receiver needs"}},
				Result: loss, Call: of2(LinkMargin), Turns: steady(2)},
				Formula: "level − sensitivity", Range: levels, Example: []string{"-71 dBm", "-104 dBm"}, Gives: "33 dB", Chart: Chart{"level", "-110 dBm", "-40 dBm"}},
		}}
}
