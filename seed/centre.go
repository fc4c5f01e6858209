package seed

import (
	"time"

	"witnessmark/internal/account"
)

// Password is what every person of the demonstration signs in with.
const Password = "bay-seven-demo"

// Centre is the demonstration centre before anything has happened in it.
type Centre struct {
	Code, Name string
	Unit       Unit
	People     []Person
	Cohorts    []Cohort
}

// Unit is the qualification unit that the centre teaches.
type Unit struct {
	Code, Title, Edition string
	Outcomes             []Outcome
}

// Outcome is a learning outcome with its assessment criteria, in order.
type Outcome struct {
	Code, Title string
	Criteria    []Criterion
}

// Criterion is an assessment criterion.
type Criterion struct{ Code, Text string }

// Person is somebody of the centre.
type Person struct {
	Name, SignInName string
	Role             account.Role
	Registered       []string // kinds of registration or approval, in date
}

// Cohort is trainees who learn together, by their sign-in names.
type Cohort struct {
	Name     string
	Tutors   []string
	Trainees []string
}

// SignIn is a line of the list that the demonstration prints.
type SignIn struct {
	Name, SignInName string
	Role             account.Role
}

// SignIns lists who may sign in, tutors first. All of them have Password.
func SignIns() []SignIn {
	var out []SignIn
	for _, p := range Demonstration().People {
		out = append(out, SignIn{p.Name, p.SignInName, p.Role})
	}
	return out
}

// registrations gives a person's registrations, in date from two years before now to one year after it.
func (p Person) registrations(now time.Time) []account.Registration {
	var out []account.Registration
	day := now.UTC().Truncate(24 * time.Hour)
	for _, kind := range p.Registered {
		out = append(out, account.Registration{
			Kind: kind, Number: "HBS-" + kind[:2] + "-0417", ValidFrom: day.AddDate(-2, 0, 0), ValidTo: day.AddDate(1, 0, 0),
		})
	}
	return out
}

// Demonstration is the invented centre: its unit, people and cohorts.
func Demonstration() Centre {
	return Centre{
		Code: "HBS", Name: "Hobsgarth Building Services Centre", Unit: unit(), People: people(),
		Cohorts: []Cohort{
			{
				Name: "Heating 1, day release", Tutors: []string{"ellingham", "aspinal"},
				Trainees: []string{"sian", "lukasz", "alexis", "anna", "tomas", "aicha", "bich-ha", "chidera", "zoe", "ipek", "jayden", "malin"},
			},
			{Name: "Heating 1, evenings", Tutors: []string{"aspinal"}, Trainees: []string{"priya", "hakon", "beatriz"}},
		},
	}
}

func people() []Person {
	return []Person{
		{"Morag Ellingham", "ellingham", account.Tutor, []string{"electrical", "unvented"}},
		{"Dafydd Aspinal", "aspinal", account.Tutor, nil},
		{"Kwabena Rathmell", "rathmell", account.QualityAssurer, nil},
		{"Imelda Farrowby", "farrowby", account.Manager, nil},
		{"Jörn Halvorsen", "halvorsen", account.Technician, nil},
		{"Siân Gwynallt", "sian", account.Trainee, nil},
		{"Łukasz Wiśniorek", "lukasz", account.Trainee, nil},
		{"Αλέξης Μαρκίδης", "alexis", account.Trainee, nil},
		{"Анна Беркутова", "anna", account.Trainee, nil},
		{"Tomás Ó Ruairc", "tomas", account.Trainee, nil},
		{"Aïcha Benzouaï", "aicha", account.Trainee, nil},
		{"Nguyễn Thị Bích Hà", "bich-ha", account.Trainee, nil},
		{"Chidera Okonvale", "chidera", account.Trainee, nil},
		{"Zoë Threlkirk", "zoe", account.Trainee, nil},
		{"İpek Şahinay", "ipek", account.Trainee, nil},
		{"Jayden Coldwell-Marsh", "jayden", account.Trainee, nil},
		{"Malin Åkerstrand", "malin", account.Trainee, nil},
		{"Priya Moss-Venkat", "priya", account.Trainee, nil},
		{"Håkon Ytterås", "hakon", account.Trainee, nil},
		{"Beatriz Gonçalvo", "beatriz", account.Trainee, nil},
	}
}

func unit() Unit {
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
