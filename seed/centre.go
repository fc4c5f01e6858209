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
	Units      []Unit
	People     []Person
	Cohorts    []Cohort
}

// Unit is a qualification unit that the centre teaches.
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

// Demonstration is the invented centre: its units, people and cohorts.
func Demonstration() Centre {
	return Centre{
		Code: "HBS", Name: "Hobsgarth Building Services Centre", Units: units(), People: people(),
		Cohorts: []Cohort{
			{
				Name: "Heating 1, day release", Tutors: []string{"ellingham", "aspinal"},
				Trainees: []string{"sian", "lukasz", "alexis", "anna", "tomas", "aicha", "bich-ha", "chidera", "zoe", "ipek", "jayden", "malin"},
			},
			{Name: "Building services 2, block release", Tutors: []string{"ellingham", "aspinal"}, Trainees: []string{"wren", "idris"}},
			{Name: "Heating 1, evenings", Tutors: []string{"aspinal"}, Trainees: []string{"priya", "hakon", "beatriz"}},
		},
	}
}

func people() []Person {
	return []Person{
		{"Morag Ellingham", "ellingham", account.Tutor, []string{"electrical", "unvented"}},
		{"Dafydd Aspinal", "aspinal", account.Tutor, []string{"gas"}},
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
		{"Wren Castellow", "wren", account.Trainee, nil},
		{"Idris Penharrow", "idris", account.Trainee, nil},
	}
}
