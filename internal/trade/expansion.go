package trade

import (
	"slices"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// WaterExpansion is the share by which water grows from t1 to t2 kelvin at p pascal absolute, a plain number: density at
// t1 over density at t2, less one. It is negative where the water shrinks, as from 0 °C to 4 °C.
//
// Range and source as WaterVolume. Example: from 10 °C to 80 °C at 2.5 bar absolute, 0.028 710 9.
func WaterExpansion(t1, t2, p float64) (float64, error) {
	cold, err := WaterDensity(t1, p)
	if err != nil {
		return 0, renamed(err, "t", "t1")
	}
	hot, err := WaterDensity(t2, p)
	if err != nil {
		return 0, renamed(err, "t", "t2")
	}
	return cold/hot - 1, nil
}

// VesselAcceptance is the share of a vessel's volume that can take up water while the pressure goes from preCharge to
// final, both in pascal ABSOLUTE: (final − preCharge)/final. The gas keeps its temperature.
//
// Range: pressures above zero, the final one above the pre-charge; outside it a RangeError. Source: Boyle's law, as
// EN 12828 annex D uses it. Example: 0.75 bar gauge to 2.5 bar gauge with 1 bar of air, 0.5.
func VesselAcceptance(preCharge, final float64) (float64, error) {
	if err := positive("p0", "The pre-charge as an absolute pressure", preCharge); err != nil {
		return 0, err
	}
	if err := positive("pe", "The final pressure as an absolute pressure", final); err != nil {
		return 0, err
	}
	if final <= preCharge {
		return 0, beyond("pe", "A vessel takes up water only if the final pressure (%s absolute) is above the "+
			"pre-charge (%s absolute). Check both, and that both are absolute.", bar(final), bar(preCharge))
	}
	return (final - preCharge) / final, nil
}

// VesselSize is the least nominal volume, m³, of a vessel for an expansion and a water reserve in m³, between a
// pre-charge and a final pressure in pascal ABSOLUTE: (expansion + reserve)·final/(final − preCharge).
//
// Range: as VesselAcceptance, an expansion above zero and a reserve of zero or more. Source: EN 12828 annex D (form from
// memory), which writes final + 1 bar over final − preCharge in bar gauge. Example: 2.5266 L and 3 L between 0.75 and
// 2.5 bar gauge with 1 bar of air, 11.053 L.
func VesselSize(expansion, reserve, preCharge, final float64) (float64, error) {
	if err := positive("Ve", "The expansion volume", expansion); err != nil {
		return 0, err
	}
	if !(reserve >= 0) {
		return 0, beyond("VWR", "The water reserve cannot be less than nothing. Check the figure and its sign.")
	}
	share, err := VesselAcceptance(preCharge, final)
	if err != nil {
		return 0, err
	}
	return (expansion + reserve) / share, nil
}

// VesselFillPressure is the least cold pressure, pascal ABSOLUTE, at which a vessel of volume m³ and pre-charge
// pascal ABSOLUTE holds its water reserve in m³: preCharge·volume/(volume − reserve).
//
// Range: volume and pre-charge above zero, a reserve of zero or more and less than the volume. Source: Boyle's law, as
// EN 12828 annex D uses it. Example: 12 L at 0.75 bar gauge with 2.4 L and 1 bar of air, 1.1875 bar gauge.
func VesselFillPressure(volume, reserve, preCharge float64) (float64, error) {
	if err := positive("VN", "The vessel's volume", volume); err != nil {
		return 0, err
	}
	if err := positive("p0", "The pre-charge as an absolute pressure", preCharge); err != nil {
		return 0, err
	}
	if !(reserve >= 0 && reserve < volume) {
		return 0, beyond("VWR", "The water reserve must be nothing or more, and less than the vessel's volume "+
			"of %s L. Check both figures and their units.", number(volume*1e3))
	}
	return preCharge * volume / (volume - reserve), nil
}

// VesselHotPressure is the pressure, pascal ABSOLUTE, that a vessel of volume m³ reaches when the water grows by
// expansion m³ after a cold fill: the gas, volume·preCharge/fill of it at the fill, gives way by the expansion.
//
// Range: all above zero, the fill not below the pre-charge, and gas left after the expansion; outside it a RangeError.
// Source: Boyle's law, as EN 12828 annex D uses it.
// Example: 12 L at 0.75 bar gauge, filled to 1.2 bar gauge, takes 2.2 L: 1.8589 bar gauge with 1 bar of air.
func VesselHotPressure(volume, expansion, preCharge, fill float64) (float64, error) {
	if err := positive("VN", "The vessel's volume", volume); err != nil {
		return 0, err
	}
	if err := positive("Ve", "The expansion volume", expansion); err != nil {
		return 0, err
	}
	if err := positive("p0", "The pre-charge as an absolute pressure", preCharge); err != nil {
		return 0, err
	}
	if !(fill >= preCharge) {
		return 0, beyond("pa", "The cold fill (%s absolute) is below the pre-charge (%s absolute), so the vessel "+
			"is empty and cannot be worked this way. Check both, and that both are absolute.", bar(fill), bar(preCharge))
	}
	gas := volume * preCharge / fill
	if gas <= expansion {
		return 0, beyond("Ve", "The water grows by %s L and only %s L of gas is left in the vessel at the cold "+
			"fill, so no pressure holds it. Check the figures, or choose a larger vessel.",
			number(expansion*1e3), number(gas*1e3))
	}
	return fill * gas / (gas - expansion), nil
}

func sealedSubject() Subject {
	const (
		boyle    = "Boyle's law; EN 12828 annex D"
		absolute = " Pressures are absolute: write absolute(p) for a gauge reading."
	)
	final := formula.Param{Name: "pe", Unit: unitAbsolute, About: "final pressure, absolute"}
	return Subject{Key: "sealed", Title: "Sealed systems",
		About: "How much the water grows, what vessel takes it up and what the gauge will show. All pressures are absolute here; " +
			"the air added to a gauge reading stands in the formula, as absolute(p).",
		Entries: []Entry{
			{Function: formula.Function{Name: "expansion", About: "Share by which water grows between two temperatures at 2.5 bar absolute, 0 °C to 127.4 °C.",
				Source: "IAPWS R7-97(2012), region 1",
				Params: []formula.Param{
					{Name: "t1", Unit: unitPoint, About: "temperature at the fill"},
					{Name: "t2", Unit: unitPoint, About: "highest temperature"},
				}, Result: quantity.One,
				Thumb: &thumbGrowth, Call: func(x []float64) (float64, error) { return WaterExpansion(x[0], x[1], ConventionPressure) },
				Turns: slices.Concat(densest, densest)},
				Formula: "rho(t1) / rho(t2) − 1", Range: holdsConvention, Example: []string{"10 °C", "80 °C"}, Gives: "0.02871", Chart: Chart{"t2", "20 °C", "95 °C"}},
			{Function: formula.Function{Name: "acceptance", About: "Share of a vessel that takes up water between two absolute pressures.", Source: boyle,
				Params: []formula.Param{paramP0, final}, Result: quantity.One, Call: of2(VesselAcceptance), Turns: steady(2)},
				Formula: "(pe − p0) / pe", Range: "Pressures above zero, the final one above the pre-charge." + absolute,
				Example: []string{"1.75 bar(a)", "3.5 bar(a)"}, Gives: "0.500", Chart: Chart{"pe", "2 bar(a)", "4 bar(a)"}},
			{Function: formula.Function{Name: "vessel", About: "Least volume of an expansion vessel between two absolute pressures.", Source: boyle,
				Params: []formula.Param{paramVe, paramVWR, paramP0, final}, Result: unitVolume, Call: of4(VesselSize), Turns: steady(4)},
				Formula: "(Ve + VWR) × pe / (pe − p0)", Range: "An expansion above zero, a reserve of zero or more, the final pressure above the pre-charge." + absolute,
				Example: []string{"2.5266 L", "3 L", "1.75 bar(a)", "3.5 bar(a)"}, Gives: "11.053 L", Chart: Chart{"p0", "1.2 bar(a)", "2.5 bar(a)"}},
			{Function: formula.Function{Name: "fill_pressure", About: "Least cold fill, absolute, at which a vessel holds its water reserve.", Source: boyle,
				Params: []formula.Param{paramVN, paramVWR, paramP0}, Result: unitAbsolute, Call: of3(VesselFillPressure), Turns: steady(3)},
				Formula: "p0 × VN / (VN − VWR)", Range: "Volume and pre-charge above zero, a reserve of zero or more and below the volume." + absolute,
				Example: []string{"12 L", "2.4 L", "1.75 bar(a)"}, Gives: "2.1875 bar(a)", Chart: Chart{"VWR", "0 L", "4 L"}},
			{Function: formula.Function{Name: "hot_pressure", About: "Absolute pressure that a vessel reaches when the water has grown.", Source: boyle,
				Params: []formula.Param{paramVN, paramVe, paramP0, {Name: "pa", Unit: unitAbsolute, About: "cold fill, absolute"}},
				Result: unitAbsolute, Call: of4(VesselHotPressure), Turns: steady(4)},
				Formula: "VN × p0 / (VN × p0 / pa − Ve)", Range: "All above zero, the fill not below the pre-charge, and gas left after the expansion." + absolute,
				Example: []string{"12 L", "2.2 L", "1.75 bar(a)", "2.2 bar(a)"}, Gives: "2.8589 bar(a)", Chart: Chart{"Ve", "0.5 L", "4 L"}},
		}}
}
