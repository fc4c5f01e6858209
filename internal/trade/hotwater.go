package trade

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// declaredExcess is the difference between store and surroundings, K, that a cylinder's standing loss is declared at
// (EN 12897, from memory).
const declaredExcess = 45.0

var (
	unitHeat   = quantity.MustUnit("kWh")
	unitOutput = quantity.MustUnit("kW")
	unitMinute = quantity.MustUnit("min")
	unitDaily  = quantity.MustUnit("kWh/d")
)

// CylinderEnergy is the energy, J, that heats volume m³ of water from t1 to t2 kelvin: volume · ρ · cp · (t2 − t1), with
// density and specific heat at the mean temperature and ConventionPressure.
//
// Range: a volume above zero, both temperatures from 0 °C to 127.4 °C, t2 above t1; outside it a RangeError. Source:
// the first law; water as WaterVolume. Example: 144 L from 10 °C to 60 °C, 8.307 86 kWh.
func CylinderEnergy(volume, t1, t2 float64) (float64, error) {
	if err := positive("V", "The volume", volume); err != nil {
		return 0, err
	}
	if err := warmer("t1", t1, "t2", t2); err != nil {
		return 0, err
	}
	mean := (t1 + t2) / 2
	density, err := WaterDensity(mean, ConventionPressure)
	if err != nil {
		return 0, err
	}
	capacity, err := WaterHeatCapacity(mean, ConventionPressure)
	if err != nil {
		return 0, err
	}
	return volume * density * capacity * (t2 - t1), nil
}

// ReheatTime is the time, s, in which a constant power in W heats volume m³ of water from t1 to t2 kelvin.
//
// Range: as CylinderEnergy, and a power above zero. Source: the first law; that the power stays constant is common
// practice, no source. Example: 144 L from 10 °C to 60 °C with 12.5 kW, 39.8777 min.
func ReheatTime(volume, t1, t2, power float64) (float64, error) {
	if err := positive("P", "The heat output", power); err != nil {
		return 0, err
	}
	energy, err := CylinderEnergy(volume, t1, t2)
	if err != nil {
		return 0, err
	}
	return energy / power, nil
}

// StandingLoss is what a store at ts kelvin loses, W, to surroundings at ta kelvin, of a declared loss in W that was
// measured at a difference of 45 K. The unit kWh/d is 1000 W·h over 24 h.
//
// Range: a declared loss above zero and a store warmer than its surroundings by up to 90 K, twice the test's difference
// (common practice, no source: the loss grows a little faster than the difference); outside it a RangeError. Source:
// EN 12897 (from memory). Example: 1.62 kWh/d, store 60 °C, room 18 °C, 63 W.
func StandingLoss(declared, ts, ta float64) (float64, error) {
	if err := positive("Q", "The declared loss", declared); err != nil {
		return 0, err
	}
	excess := ts - ta
	if !(excess > 0 && excess <= 2*declaredExcess) {
		return 0, beyond("ts", "A declared loss is carried over to a store that is warmer than its surroundings, by up to "+
			"90 K; here the store is at %s and the surroundings at %s. Check both temperatures.", celsius(ts), celsius(ta))
	}
	return declared * (excess / declaredExcess), nil
}

// HotShare is the share of hot water, a plain number from 0 to 1, in a mix at tm of hot at th and cold at tc, all in
// kelvin: (tm − tc)/(th − tc). It holds for volumes and flows alike.
//
// Range: th and tc from 0 °C to 127.4 °C, th above tc, tm neither below the cold nor above the hot; outside it a
// RangeError. Source: energy balance with constant specific heat. Example: hot 60 °C, cold 12 °C, mix 41 °C, 0.604 167.
func HotShare(th, tc, tm float64) (float64, error) {
	if err := warmer("tc", tc, "th", th); err != nil {
		return 0, err
	}
	if !(tm >= tc && tm <= th) {
		return 0, beyond("tm", "A mix of water at %s and %s lies between the two; this is %s. Check the three temperatures.",
			celsius(th), celsius(tc), celsius(tm))
	}
	return (tm - tc) / (th - tc), nil
}

// MixedVolume is the volume, m³, at tm that volume m³ of hot water at th makes with cold at tc, temperatures in kelvin:
// volume · (th − tc)/(tm − tc). At tm = 40 °C it is the V40 of a store.
//
// Range: as HotShare, a volume above zero and tm above tc. Source: energy balance with constant specific heat.
// Example: 118 L at 58 °C with cold at 10 °C make 188.8 L at 40 °C.
func MixedVolume(volume, th, tc, tm float64) (float64, error) {
	if err := positive("V", "The volume", volume); err != nil {
		return 0, err
	}
	share, err := HotShare(th, tc, tm)
	if err != nil {
		return 0, err
	}
	if share == 0 {
		return 0, beyond("tm", "The mix is as cold as the cold water (%s): no hot water goes into it. Check the temperatures.",
			celsius(tm))
	}
	return volume * (th - tc) / (tm - tc), nil
}

// warmer refuses a pair of water temperatures unless both are liquid at ConventionPressure and the one named hotName is
// above the other.
func warmer(coldName string, cold float64, hotName string, hot float64) error {
	if err := liquid(cold, ConventionPressure); err != nil {
		return renamed(err, "t", coldName)
	}
	if err := liquid(hot, ConventionPressure); err != nil {
		return renamed(err, "t", hotName)
	}
	if hot <= cold {
		return beyond(hotName, "The warmer water (%s) must be above the colder (%s). Check whether the two are swapped.",
			celsius(hot), celsius(cold))
	}
	return nil
}

func hotWaterSubject() Subject {
	volume := formula.Param{Name: "V", Unit: unitVolume, About: "volume of water"}
	cold := formula.Param{Name: "t1", Unit: unitPoint, About: "temperature before"}
	stored := formula.Param{Name: "t2", Unit: unitPoint, About: "temperature after"}
	th := formula.Param{Name: "th", Unit: unitPoint, About: "hot water"}
	tc := formula.Param{Name: "tc", Unit: unitPoint, About: "cold water"}
	tm := formula.Param{Name: "tm", Unit: unitPoint, About: "mixed water"}
	const (
		balance = "energy balance with constant specific heat"
		heated  = "A volume above zero; both temperatures from 0 °C to 127.4 °C, the second above the first."
		mixing  = "Hot and cold from 0 °C to 127.4 °C, the hot above the cold, the mix from the one to the other."
	)
	return Subject{Key: "hot-water", Title: "Hot water",
		About: "Heating a store, what it loses, and mixing at a tap. Least store and highest tap temperatures are limits: " +
			"the centre's rule set holds them.",
		Entries: []Entry{
			{Function: formula.Function{Name: "cylinder_energy", About: "Energy that heats a volume of water.",
				Source: "first law; IAPWS R7-97(2012), region 1", Params: []formula.Param{volume, cold, stored},
				Result: unitHeat, Call: of3(CylinderEnergy), Turns: steady(3)},
				Formula: "V × rho((t1 + t2)/2) × cp((t1 + t2)/2) × (t2 − t1)", Range: heated,
				Example: []string{"144 L", "10 °C", "60 °C"}, Gives: "8.308 kWh", Chart: Chart{"t2", "30 °C", "70 °C"}},
			{Function: formula.Function{Name: "reheat_time", About: "Time in which a constant heat output heats a volume of water.",
				Source: "first law; constant output: common practice, no source",
				Params: []formula.Param{volume, cold, stored, {Name: "P", Unit: unitOutput, About: "heat output into the water"}},
				Result: unitMinute, Call: of4(ReheatTime), Turns: steady(4)},
				Formula: "cylinder_energy(V, t1, t2) / P", Range: heated + " An output above zero.",
				Example: []string{"144 L", "10 °C", "60 °C", "12.5 kW"}, Gives: "39.88 min", Chart: Chart{"P", "3 kW", "25 kW"}},
			{Function: formula.Function{Name: "standing_loss", About: "Heat that a store loses, from its loss declared at a difference of 45 K.",
				Source: "EN 12897 (from memory)",
				Params: []formula.Param{{Name: "Q", Unit: unitDaily, About: "declared standing loss"},
					{Name: "ts", Unit: unitPoint, About: "temperature of the store"},
					{Name: "ta", Unit: unitPoint, About: "temperature around it"}},
				Result: unitPower, Call: of3(StandingLoss), Turns: steady(3)},
				Formula: "Q × (ts − ta) / 45 K", Range: "A loss above zero; the store warmer than its surroundings, by up to 90 K.",
				Example: []string{"1.62 kWh/d", "60 °C", "18 °C"}, Gives: "63 W", Chart: Chart{"ts", "30 °C", "80 °C"}},
			{Function: formula.Function{Name: "hot_share", About: "Share of hot water in a mix, of volume or flow.", Source: balance,
				Params: []formula.Param{th, tc, tm}, Result: quantity.One, Call: of3(HotShare), Turns: steady(3)},
				Formula: "(tm − tc) / (th − tc)", Range: mixing,
				Example: []string{"60 °C", "12 °C", "41 °C"}, Gives: "0.6042", Chart: Chart{"th", "45 °C", "70 °C"}},
			{Function: formula.Function{Name: "mixed_volume", About: "Volume at the mixed temperature that a volume of hot water makes; at 40 °C it is V40.",
				Source: balance, Params: []formula.Param{volume, th, tc, tm}, Result: unitVolume, Call: of4(MixedVolume), Turns: steady(4)},
				Formula: "V × (th − tc) / (tm − tc)", Range: "A volume above zero. " + mixing + " The mix is above the cold.",
				Example: []string{"118 L", "58 °C", "10 °C", "40 °C"}, Gives: "188.8 L", Chart: Chart{"tm", "36 °C", "55 °C"}},
		}}
}
