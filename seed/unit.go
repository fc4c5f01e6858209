package seed

// units is what the invented centre teaches. Codes, titles and criteria are our own.
func units() []Unit { return []Unit{isolate(), alter(), commission()} }

func isolate() Unit {
	return Unit{
		Code: "BSX-114", Title: "Isolate, test and prove installations safe before and after work", Edition: "edition 1, 2026",
		Outcomes: []Outcome{
			{"1", "Make an installation safe to work on", []Criterion{
				{"1.1", "Find the hazards of the job before it starts and put controls against them in place."},
				{"1.2", "Carry out safe isolation in its whole order, and keep it."},
				{"1.3", "Say what is not theirs to do, and whom to call."},
			}},
			{"2", "Prove instruments before trusting them", []Criterion{
				{"2.1", "Show that each instrument is in date, whole and fit for the reading."},
				{"2.2", "Compare instruments with a reference, apply corrections and judge what the difference means."},
			}},
			{"3", "Test in the right order and judge each reading", []Criterion{
				{"3.1", "Carry out dead tests in order and judge each reading against its limit."},
				{"3.2", "Test a gas or water installation for soundness before anything is put to use."},
				{"3.3", "Prove combustion, relief and other protection before the installation is left."},
				{"3.4", "Find a fault from what an installation does and does not do, and prove the cause."},
			}},
			{"4", "Leave it safe and recorded", []Criterion{
				{"4.1", "Put the installation back into use, or leave it isolated and labelled, and say which."},
				{"4.2", "Record readings, instruments and decisions so that another person could repeat them."},
			}},
		},
	}
}

func alter() Unit {
	return Unit{
		Code: "BSX-207", Title: "Alter, seal, control and commission a wet heating system", Edition: "edition 1, 2026",
		Outcomes: []Outcome{
			{"1", "Prepare the work so that nobody is hurt and nothing is guessed", []Criterion{
				{"1.1", "Find the hazards of the job before it starts and put controls against them in place."},
				{"1.2", "Make heat, water and electricity safe, and prove that they are."},
				{"1.3", "Choose tube, vessel and materials from figures worked out for the job."},
			}},
			{"2", "Alter pipework and leave it sound", []Criterion{
				{"2.1", "Fit pump, valves and connections in the order and position that the design and the makers call for."},
				{"2.2", "Fill, treat and test pipework, and judge the readings against their limits."},
				{"2.3", "Work out, set and prove the parts that let a sealed system expand."},
				{"2.4", "Leave work supported, clean and labelled."},
			}},
			{"3", "Wire controls and prove them", []Criterion{
				{"3.1", "Carry out safe isolation in its whole order."},
				{"3.2", "Carry out dead tests in order and judge each reading."},
				{"3.3", "Show that every demand brings what it should, and nothing else."},
				{"3.4", "Choose a protective device from the load."},
			}},
			{"4", "Commission and hand over", []Criterion{
				{"4.1", "Take readings as found and as left that another person could repeat, and work out what they mean."},
				{"4.2", "Compare what was measured with what was planned, and decide what follows from it."},
				{"4.3", "Record the work and explain it to the person who will live with it."},
			}},
		},
	}
}

func commission() Unit {
	return Unit{
		Code: "BSX-231", Title: "Measure, calculate and commission building-services systems", Edition: "edition 1, 2026",
		Outcomes: []Outcome{
			{"1", "Work out what a system has to do", []Criterion{
				{"1.1", "Work out heat losses, loads and emitter outputs for stated conditions."},
				{"1.2", "Work out flow, velocity, pressure loss and pump head for a circuit."},
				{"1.3", "Work out stored water, storage, expansion and discharge for a hot-water system."},
				{"1.4", "Work out gas rate, heat input and combustion figures from what was measured."},
				{"1.5", "Work out loads, resistances and protective devices for a circuit."},
			}},
			{"2", "Measure so that another person could repeat it", []Criterion{
				{"2.1", "Choose and place instruments, and take readings as found and as left."},
				{"2.2", "State the unit and the digits that the instrument supports."},
				{"2.3", "Say how sure a figure is, and what that means near a limit."},
			}},
			{"3", "Choose and set", []Criterion{
				{"3.1", "Choose sizes from figures worked out for the job, and never below them."},
				{"3.2", "Set flow, pressure, temperature and controls to what was planned, and prove them."},
			}},
			{"4", "Commission and hand over", []Criterion{
				{"4.1", "Compare what was measured with what was planned, and decide what follows from it."},
				{"4.2", "Record the work and explain it to the person who will live with it."},
			}},
		},
	}
}
