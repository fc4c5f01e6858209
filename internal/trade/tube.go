package trade

import (
	"math"

	"witnessmark/internal/formula"
)

// TubeBore is the bore, m, of a tube of the outside diameter and wall given in m: the outside diameter less both walls.
//
// Range: both above zero and the two walls together less than the outside diameter; outside it a RangeError. Source:
// geometry; EN 1057 names copper tube by outside diameter × wall. Example: 22 mm × 0.9 mm, 20.2 mm.
func TubeBore(outside, wall float64) (float64, error) {
	if err := positive("od", "The outside diameter", outside); err != nil {
		return 0, err
	}
	if err := positive("wall", "The wall", wall); err != nil {
		return 0, err
	}
	bore := outside - 2*wall
	if bore <= 0 {
		return 0, beyond("wall", "Two walls of %s mm leave no bore in a tube of %s mm outside. "+
			"Check both figures and their units.", number(wall*1e3), number(outside*1e3))
	}
	return bore, nil
}

// TubeArea is the area of the bore, m², of a tube of the outside diameter and wall given in m. It is the content per
// metre too: 1 m²·m of water in a metre of tube is 1 m³/m.
//
// Range and source as TubeBore. Example: 22 mm × 0.9 mm, 320.474 mm² or 0.320 474 L/m.
func TubeArea(outside, wall float64) (float64, error) {
	bore, err := TubeBore(outside, wall)
	if err != nil {
		return 0, err
	}
	return math.Pi * bore * bore / 4, nil
}

// TubeContent is the water content, m³, of a run of tube: length, outside diameter and wall in m.
//
// Range: as TubeBore, and a length above zero. Source: geometry. Example: 10 m of 15 mm × 0.7 mm hold 1.4527 L.
func TubeContent(outside, wall, length float64) (float64, error) {
	area, err := TubeArea(outside, wall)
	if err != nil {
		return 0, err
	}
	if err := positive("length", "The length", length); err != nil {
		return 0, err
	}
	return area * length, nil
}

// TubeVelocity is the mean velocity, m/s, of a volume flow in m³/s through a tube of the outside diameter and wall
// given in m.
//
// Range: as TubeBore, and a flow above zero. Source: continuity. Example: 12.4 L/min in 22 mm × 0.9 mm, 0.644 878 m/s.
func TubeVelocity(flow, outside, wall float64) (float64, error) {
	if err := positive("flow", "The flow", flow); err != nil {
		return 0, err
	}
	area, err := TubeArea(outside, wall)
	if err != nil {
		return 0, err
	}
	return flow / area, nil
}

// TubeFlow is the volume flow, m³/s, that a mean velocity in m/s makes in a tube of the outside diameter and wall given
// in m.
//
// Range: as TubeBore, and a velocity above zero. Source: continuity. Example: 1 m/s in 15 mm × 0.7 mm, 0.145 267 L/s.
func TubeFlow(velocity, outside, wall float64) (float64, error) {
	if err := positive("v", "The velocity", velocity); err != nil {
		return 0, err
	}
	area, err := TubeArea(outside, wall)
	if err != nil {
		return 0, err
	}
	return velocity * area, nil
}

func tubeSubject() Subject {
	const source = "geometry; EN 1057 names copper tube by outside diameter × wall"
	const holds = "Outside diameter and wall above zero, with some bore between the walls."
	flow := formula.Param{Name: "flow", Unit: unitFlow, About: "volume flow"}
	velocity := formula.Param{Name: "v", Unit: unitVelocity, About: "mean velocity"}
	length := formula.Param{Name: "length", Unit: unitLength, About: "length of the run"}
	overOD := Chart{"od", "8 mm", "54 mm"}
	return Subject{Key: "tube", Title: "Tube",
		About: "Bore, content and velocity of tube named by outside diameter × wall. Which sizes there are, and how fast water may " +
			"run, are tables and limits: the centre's rule set holds them.",
		Entries: []Entry{
			{Function: formula.Function{Name: "bore", About: "Bore of a tube: the outside diameter less both walls.", Source: source,
				Params: []formula.Param{paramOD, paramWall}, Result: unitSize, Call: of2(TubeBore), Turns: steady(2)},
				Formula: "od − 2 × wall", Range: holds, Example: []string{"22 mm", "0.9 mm"}, Gives: "20.2 mm", Chart: overOD},
			{Function: formula.Function{Name: "bore_area", About: "Area of a tube's bore; in L/m it is the content per metre.", Source: source,
				Params: []formula.Param{paramOD, paramWall}, Result: unitArea, Call: of2(TubeArea), Turns: steady(2)},
				Formula: "π × bore(od, wall)² / 4", Range: holds, Example: []string{"22 mm", "0.9 mm"}, Gives: "320.47 mm²", Chart: overOD},
			{Function: formula.Function{Name: "content", About: "Water content of a run of tube.", Source: source,
				Params: []formula.Param{paramOD, paramWall, length}, Result: unitVolume, Call: of3(TubeContent), Turns: steady(3)},
				Formula: "bore_area(od, wall) × length", Range: holds + " A length above zero.", Example: []string{"15 mm", "0.7 mm", "10 m"}, Gives: "1.4527 L", Chart: overOD},
			{Function: formula.Function{Name: "velocity", About: "Mean velocity of a volume flow in a tube.", Source: source,
				Params: []formula.Param{flow, paramOD, paramWall}, Result: unitVelocity, Call: of3(TubeVelocity), Turns: steady(3)},
				Formula: "flow / bore_area(od, wall)", Range: holds + " A flow above zero.", Example: []string{"12.4 L/min", "22 mm", "0.9 mm"}, Gives: "0.64488 m/s",
				Chart: Chart{"flow", "1 L/min", "40 L/min"}},
			{Function: formula.Function{Name: "tube_flow", About: "Volume flow that a mean velocity makes in a tube.", Source: source,
				Params: []formula.Param{velocity, paramOD, paramWall}, Result: unitFlow, Call: of3(TubeFlow), Turns: steady(3)},
				Formula: "v × bore_area(od, wall)", Range: holds + " A velocity above zero.", Example: []string{"1 m/s", "15 mm", "0.7 mm"}, Gives: "8.7160 L/min",
				Chart: Chart{"v", "0.1 m/s", "1.5 m/s"}},
		}}
}
