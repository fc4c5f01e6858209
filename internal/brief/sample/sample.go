// Package sample holds a brief for tests: valid, small, and with every form of item in it. A test takes it and changes
// only what the test is about. The task, its figures and its limits are invented; none comes from a standard.
package sample

import "witnessmark/internal/brief"

// Brief is a new valid brief that uses every form of item. It names no rules and has no tables; RuleSet has both.
func Brief() *brief.Brief {
	return &brief.Brief{
		Edition: brief.Edition,
		Key:     "bay-7-heat-output",
		Title:   "Prove the heat output of Bay 7",
		About: "The rig in Bay 7 was re-piped from gravity hot water to fully pumped. Nobody has measured it since.\n" +
			"Put the controls right, balance it, and show what heat it gives.\n",
		Cautions:    []string{"Pipes above 60 °C burn. Let them cool or wear gloves; the maker's instructions decide."},
		Conventions: []string{"The flow meter sits in the return.", "Water: 0.988 kg/L and 4.18 kJ/(kg·K)."},
		Criteria: []brief.CriterionRef{
			{Unit: "H2", Codes: []string{"1.1", "1.2", "2.1"}},
			{Unit: "H3", Codes: []string{"1.10"}},
		},
		Given: []brief.Given{
			{Name: "load", Is: "design heat load", Value: "14.5 kW", From: "12 kW", To: "18 kW", Step: "0.5 kW"},
			{Name: "pr", Is: "pump electrical power", Value: "45 W"},
		},
		Stages:      []brief.Stage{prepare(), wire(), measure(), workOut()},
		CrossChecks: []brief.CrossCheck{{Is: "The return is cooler than the flow.", When: "tr < tf"}},
		Model:       model(),
	}
}

func prepare() brief.Stage {
	return brief.Stage{
		Key: "prepare", Title: "Look and make safe", About: "Before anything is touched.",
		Items: []brief.Item{
			{
				Key: "before", Title: "The rig as you find it", About: "Stand back so that the whole rig is in.", Criteria: []string{"H2/1.1"},
				Photo: &brief.Photo{Visible: []string{"the whole rig", "the pump and its isolating valves"}, AtLeast: 2},
			},
			{
				Key: "isolation", Title: "Safe isolation", Criteria: []string{"H3/1.10"}, MustBeSeen: true,
				Sequence: &brief.Sequence{Safety: true, Steps: []brief.Step{
					{Key: "prove", Text: "Prove the tester on the proving unit."},
					{Key: "test", Text: "Test every pair of conductors dead."},
					{Key: "prove-again", Text: "Prove the tester again.", Wait: "10 s", Within: "15 min"},
				}},
			},
			{
				Key: "continuity", Title: "Continuity of the protective conductor", Criteria: []string{"H3/1.10"},
				Reading: &brief.Reading{
					Is: "resistance, end to end", Unit: "Ω", Limit: &brief.Limit{AtMost: "0.5 Ω", Source: "Bay 7 rig sheet, edition 1, 2026", Margin: true},
					Believable: &brief.Range{From: "0 Ω", To: "5 Ω"}, Instrument: "low-resistance ohmmeter", Accuracy: "2 %",
					Safety: true, CheckWithin: "0.05 Ω", Overload: "fail",
				},
			},
			{
				Key: "agreed", Title: "Risk assessment", Criteria: []string{"H2/1.1"},
				Confirm: &brief.Confirm{Text: "I have read and signed the risk assessment for Bay 7.", Safety: true},
			},
			{
				Key: "sheet", Title: "Wiring sheet", Optional: true,
				Document: &brief.Document{Is: "the wiring sheet that you filled in, as a PDF or a photo"},
			},
		},
		Questions: []brief.Question{{Ask: "Why is the tester proved twice?", Listen: "It may have failed while testing: a broken one shows dead everywhere."}},
	}
}

func wire() brief.Stage {
	return brief.Stage{
		Key: "wire", Title: "Controls", Cautions: []string{"Live tests are done by your tutor's leave only."},
		Hold: &brief.Hold{Show: "The wiring is tested dead and the covers are on.", Entitlement: "electrical", Needs: []string{"isolation", "continuity"}},
		Items: []brief.Item{
			{
				Key: "demand", Title: "Controls do what they should", Criteria: []string{"H2/1.2"}, ReopenedBy: []string{"continuity"},
				Test: &brief.FunctionalTest{
					Demands: []string{"room thermostat", "cylinder thermostat"},
					Checks: []brief.Column{
						{Key: "pump", Title: "pump", Options: []string{"runs", "stands"}},
						{Key: "valve", Title: "valve", Options: []string{"heating", "mid", "hot water", "held"}, Held: "held"},
					},
					Rows: []brief.TestRow{
						{Key: "heat", Set: []string{"calls", "satisfied"}, Expect: []string{"runs", "heating"}},
						{Key: "both", Set: []string{"calls", "calls"}, Expect: []string{"runs", "mid"}},
						{Key: "none", Set: []string{"satisfied", "satisfied"}, Expect: []string{"stands", "held"}},
						{Key: "water", Set: []string{"satisfied", "calls"}, Expect: []string{"runs", "hot water"}},
					},
					Ordered: true, Live: true, Safety: true, Complete: true,
					Faults: []brief.GridFault{{
						Key: "grey-broken", Is: "the wire from the cylinder thermostat to grey is broken", Look: "at the cylinder thermostat, dead and isolated",
						Shows: []brief.FaultRow{
							{Row: "heat", Cells: []string{"stands", "mid"}},
							{Row: "none", Cells: []string{"", "hot water"}},
						},
					}},
				},
			},
			{
				Key: "noise", Title: "Pump noise", Criteria: []string{"H2/1.2"},
				Observation: &brief.Observation{Options: []string{"quiet", "rattles", "screams"}, Expect: "quiet", Safety: true},
			},
		},
	}
}

func measure() brief.Stage {
	return brief.Stage{
		Key: "measure", Title: "Measure",
		Items: []brief.Item{
			{
				Key: "qv", Title: "Flow rate", Criteria: []string{"H2/1.2"},
				Reading: &brief.Reading{
					Is: "flow rate at the meter", Unit: "L/min", Repeats: 3, Believable: &brief.Range{From: "6 L/min", To: "20 L/min"},
					Instrument: "flow meter", Accuracy: "3 %",
				},
			},
			{
				Key: "tf", Title: "Flow temperature", Criteria: []string{"H2/1.2"},
				Reading: &brief.Reading{
					Is: "flow temperature", Unit: "°C", Phases: []brief.Phase{brief.AsFound, brief.AsLeft},
					Limit: &brief.Limit{
						AtLeast: "60 °C", AtMost: "80 °C", Source: "Bay 7 rig sheet, edition 1, 2026",
						Guard: &brief.GuardBand{Rule: brief.RuleThreeState, Share: "100 %", Because: "to see what an accuracy is for"},
					},
					Believable: &brief.Range{From: "30 °C", To: "85 °C"}, Accuracy: "0.5 K",
				},
			},
			{
				Key: "tr", Title: "Return temperature", Criteria: []string{"H2/1.2"},
				Reading: &brief.Reading{Is: "return temperature", Unit: "°C", Phases: []brief.Phase{brief.AsLeft}, Believable: &brief.Range{From: "20 °C", To: "70 °C"}},
			},
		},
	}
}

func workOut() brief.Stage {
	return brief.Stage{
		Key: "work-out", Title: "Work it out",
		Items: []brief.Item{
			{
				Key: "dt", Title: "Temperature difference", Criteria: []string{"H2/2.1"},
				Figure: &brief.Figure{Ask: "temperature difference", Unit: "K", Formula: "tf − tr", Tolerance: &brief.Tolerance{Absolute: "0.1 K"}},
			},
			{
				Key: "heat", Title: "Heat output", Criteria: []string{"H2/2.1"},
				Figure: &brief.Figure{
					Ask: "heat output", Unit: "kW", Formula: "qv × 0.988 kg/L × 4.18 kJ/(kg·K) × dt",
					Tolerance: &brief.Tolerance{Absolute: "0.1 kW", Relative: "3 %"}, AskUnit: true, Working: true, Marks: 3,
					Slips: []brief.Slip{{Key: "per-second", Is: "L/min taken as L/s", Formula: "qv × 60 × 0.988 kg/L × 4.18 kJ/(kg·K) × dt"}},
				},
			},
			{
				Key: "share", Title: "Pump power for each kilowatt of heat", Criteria: []string{"H2/2.1"},
				Figure: &brief.Figure{Ask: "pump power over heat output", Unit: "%", Formula: "pr / heat", Tolerance: &brief.Tolerance{Figures: 2}},
			},
			{
				Key: "lift", Title: "Heat still missing", Criteria: []string{"H2/2.1"},
				Figure: &brief.Figure{
					Ask: "boiler output to allow for the rig", Unit: "kW", Formula: "load + 2 kW", Safety: true, Limit: &brief.Limit{
						AtMost: "24 kW", Source: "data plate of the Bay 7 boiler",
						Guard: &brief.GuardBand{Rule: brief.RuleGuarded, Amount: "0.5 kW", Because: "the plate is rounded to whole kilowatts"},
					},
					Tolerance: &brief.Tolerance{AtLeast: true, Bound: "25 kW", Because: "the boiler gives no more"},
				},
			},
			{
				Key: "enough", Title: "Is it enough?", Criteria: []string{"H2/2.1"},
				Choice: &brief.Choice{
					Ask: "Does the rig give its design heat load?", Marks: 1,
					Options: []brief.Option{{Text: "it gives the load", When: "heat ≥ load"}, {Text: "it gives less than the load"}},
					Slips:   []brief.Slip{{Key: "upside-down", Is: "compared the wrong way round", Option: "it gives less than the load"}},
				},
			},
			{
				Key: "tube", Title: "Tube size", Criteria: []string{"H2/2.1"},
				Choice: &brief.Choice{
					Ask: "Which bore do you choose for 1.5 m/s at most?", Safety: true,
					Size:  &brief.Size{Formula: "sqrt(4 × qv / (π × 1.5 m/s))", Unit: "mm", Sizes: []string{"10", "13.6", "20.2", "26.2"}, Larger: true},
					Slips: []brief.Slip{{Key: "radius", Is: "took the radius for the bore", Formula: "sqrt(qv / (π × 1.5 m/s))"}},
				},
			},
			{
				Key: "why", Title: "What you would tell the customer", Criteria: []string{"H2/2.1"},
				Answer: &brief.Answer{Ask: "Say in your own words what you found and what you did.", Words: 80, Guide: "Names the fault, the remedy and the proof."},
			},
		},
	}
}

func model() []brief.ModelAnswer {
	return []brief.ModelAnswer{
		{Item: "continuity", Text: "0.12", Unit: "Ω"},
		{Item: "qv", Part: "1", Text: "12.3"},
		{Item: "qv", Part: "2", Text: "12.4"},
		{Item: "qv", Part: "3", Text: "12.5"},
		{Item: "tf", Phase: brief.AsFound, Text: "58.0"},
		{Item: "tf", Phase: brief.AsLeft, Text: "69.8"},
		{Item: "tr", Phase: brief.AsLeft, Text: "51.3"},
		{Item: "dt", Text: "18.5"},
		{Item: "heat", Text: "15.8", Unit: "kW", Working: "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 15.8"},
		{Item: "share", Text: "0.28"},
		{Item: "lift", Text: "16.5"},
		{Item: "enough", Text: "it gives the load"},
		{Item: "tube", Text: "13.6 mm"},
	}
}
